"""The trainer's own settings for what leaves the house: name, mark, colours, paper, language."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Literal, get_args

from linewright.lesson.spoken import CASTLES, NAGS, SAN, move_number, white_to_move
from linewright.support.errors import UnusableInput

Paper = Literal["a4", "letter"]
Language = Literal["en", "de", "fr", "es"]
Pieces = Literal["figurines", "letters"]

#: Where a theme is looked for: beside the talk, and as ``theme.toml`` in Linewright's folder.
THEME_FILE = "linewright-theme.toml"

#: Contrast that text must have at least against its ground: WCAG 2.2, success criterion 1.4.3 (AA).
LEAST_CONTRAST = 4.5

#: Figurines of the bundled font (Unicode U+2654-2658), in the order of :data:`PIECE_ORDER`.
FIGURINES, PIECE_ORDER = "♔♕♖♗♘", "KQRBN"

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, slots=True)
class Theme:
    """How what is given away looks and in which language its labels are.

    :param trainer: a name to sign with, or ``""``.
    :param mark: an SVG or PNG file with the trainer's mark, or None.
    :param paper: of hand-outs: ``a4`` or ``letter``.
    :param columns: of hand-outs: 1 or 2.
    :param language: of labels: ``en``, ``de``, ``fr``, ``es``; the talk's own words stay as they are.
    :param pieces: ``figurines``, or the language's piece ``letters``.
    :param ground: the page's colour, ``#rrggbb``.
    :param ink: the text's.
    :param accent: of headings and rules.
    """

    trainer: str = ""
    mark: Path | None = None
    paper: Paper = "a4"
    columns: int = 2
    language: Language = "en"
    pieces: Pieces = "figurines"
    ground: str = "#faf5e7"
    ink: str = "#1d1a16"
    accent: str = "#1d1a16"

    def label(self, key: str, **parts: str) -> str:
        """A label in the theme's language.

        :raises KeyError: when there is none of that name.
        """
        return labels()[self.language][key].format(**parts)

    def labels(self) -> Mapping[str, str]:
        """All labels in the theme's language."""
        return labels()[self.language]

    def san(self, san: str) -> str:
        """A move in SAN with figurines, or with the language's piece letters."""
        signs = FIGURINES if self.pieces == "figurines" else labels()[self.language]["letters"]
        return re.sub(f"[{PIECE_ORDER}]", lambda m: signs[PIECE_ORDER.index(m[0])], san) if san[:1] != "O" else san

    def move(self, before: str, san: str) -> str:
        """A numbered move: ``4.♘xd4``, ``4…♕h4``."""
        return move_number(before).replace("...", "…") + self.san(san)

    def moves(self, written: Iterable[tuple[str, str]], numbered: bool = True) -> list[str]:
        """Moves that follow each other, White's with their numbers.

        :param written: FEN before and SAN of each.
        :param numbered: the first has its number too, where it is Black's.
        """
        return [
            self.move(before, san) if (numbered and not index) or white_to_move(before) else self.san(san)
            for index, (before, san) in enumerate(written)
        ]

    def words(self, san: str) -> str:
        """A move as it is said in the theme's language: "knight takes d4", „Springer schlägt d4“.

        Text that is not a move in SAN comes back as it is.
        """
        said = self.labels()
        castles = CASTLES.fullmatch(san)
        if castles:
            side = "castles_queenside" if castles["way"] == "O-O-O" else "castles_kingside"
            return said[side] + self._check(castles["check"])
        move = SAN.fullmatch(san)
        if not move:
            return san
        piece = said[f"piece_{move['piece'].lower()}"] if move["piece"] else ""
        parts = [piece, move["file"], move["rank"], said["takes"] if move["takes"] else "", move["to"]]
        words = " ".join(part for part in parts if part)
        if move["promotes"]:
            words += ", " + said["promotes"].format(piece=said[f"piece_{move['promotes'].lower()}"])
        return words + self._check(move["check"])

    def _check(self, sign: str | None) -> str:
        return f", {self.labels()['check' if sign == '+' else 'checkmate']}" if sign else ""

    def glyph(self, nag: int) -> str:
        """What a numeric annotation glyph says: "good move"; in English for those that books seldom print."""
        return self.labels().get(f"nag_{nag}", NAGS[nag].words)

    def date(self, day: date) -> str:
        """A day as the language writes it: "3 May 2026", „3. Mai 2026“."""
        month = self.label("months").split()[day.month - 1]
        return self.label("date", day=str(day.day), month=month, year=str(day.year))

    def side(self, white: bool) -> str:
        return self.label("white" if white else "black")

    def to_move(self, fen: str) -> str:
        """Whose move it is in a position."""
        return self.label("to_move_w" if white_to_move(fen) else "to_move_b")


PLAIN = Theme()


@cache
def labels() -> Mapping[str, Mapping[str, str]]:
    """All labels by language."""
    return tomllib.loads(resources.files("linewright.publish").joinpath("labels.toml").read_text(encoding="utf-8"))


def load_theme(path: Path) -> Theme:
    """Read a theme's TOML file.

    :raises UnusableInput: when it can't be read, holds an unknown key or value, or its colours are hard to read.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise UnusableInput(
            f"{path}: the theme can't be read: {error.strerror or error}", "Check the name and the folder."
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UnusableInput(f"{path}: no TOML: {error}", 'Lines are like: trainer = "Anna Lind"') from None
    theme = theme_of(table, str(path))
    if theme.mark is None:
        return theme
    mark = path.parent / theme.mark
    if mark.suffix.lower() not in (".svg", ".png") or not mark.is_file():
        raise UnusableInput(f"{path}: mark = “{theme.mark}” is not an SVG or PNG file", "Name one beside the theme.")
    return Theme(**{field.name: getattr(theme, field.name) for field in fields(Theme)} | {"mark": mark.resolve()})


def theme_of(table: Mapping[str, Any], source: str) -> Theme:
    """A theme from a TOML file's table; see :func:`load_theme`."""
    known = {field.name for field in fields(Theme)}
    for key in table:
        if key not in known:
            raise UnusableInput(f"{source}: unknown setting “{key}”", f"Settings are: {', '.join(sorted(known))}.")
    choices: dict[str, tuple[Any, ...]] = {
        "paper": get_args(Paper),
        "language": get_args(Language),
        "pieces": get_args(Pieces),
        "columns": (1, 2),
    }
    for key, allowed in choices.items():
        if key in table and (table[key] not in allowed or isinstance(table[key], bool)):
            raise UnusableInput(f"{source}: {key} = {table[key]!r}", f"It may be: {', '.join(map(str, allowed))}.")
    for key in ("ground", "ink", "accent"):
        if key in table and not (isinstance(table[key], str) and _COLOUR.fullmatch(table[key])):
            raise UnusableInput(f"{source}: {key} = {table[key]!r} is not a colour", 'Write it as in "#1d1a16".')
    for key in ("trainer", "mark"):
        if key in table and not isinstance(table[key], str):
            raise UnusableInput(f"{source}: {key} = {table[key]!r} is not text", 'Put it in quotes: "…".')
    theme = Theme(**{**table, **({"mark": Path(table["mark"])} if table.get("mark") else {"mark": None})})
    for name in ("ink", "accent"):
        found = contrast(getattr(theme, name), theme.ground)
        if found < LEAST_CONTRAST:
            raise UnusableInput(
                f"{source}: {name} {getattr(theme, name)} on {theme.ground} has a contrast of {found:.1f}:1",
                f"Text needs {LEAST_CONTRAST}:1 (WCAG 2.2, AA): choose a darker {name} or a lighter ground.",
            )
    if luminance(theme.ground) < luminance(theme.ink):
        raise UnusableInput(
            f"{source}: ground {theme.ground} is darker than ink {theme.ink}",
            "Give the light page's colours; the page makes its own dark ones.",
        )
    return theme


def contrast(one: str, other: str) -> float:
    """Contrast of two colours, 1-21 (WCAG 2.2, definition of "contrast ratio")."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0-1 (WCAG 2.2, definition of "relative luminance")."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue

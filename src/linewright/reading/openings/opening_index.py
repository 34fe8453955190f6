"""Openings' names and the lines they mean: the catalogue's entries under everyday names.

The names come from the catalogue (:mod:`linewright.lesson.opening`) and from ``opening_names.toml``, how often each
line is played and by which order of moves from ``opening_games.json``, which ``bench/count_openings.py`` counts.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import IntEnum
from functools import cache, cached_property
from importlib.resources import files

import chess
from ocn import Row, fen_key

from linewright.lesson.opening import catalogue, full_name
from linewright.lesson.opening_words import ORDINARY
from linewright.lesson.sounds import folded, sound

#: Nouns that say that the word before them names an opening, whichever word it is.
STRICT_NOUNS = frozenset("variation defence attack gambit countergambit system opening".split())
#: Nouns that do so for some words: "the French game" is an opening, "the Marshall game" may be any of his.
LOOSE_NOUNS = frozenset("game line lines complex structure structures setup position positions endgame".split())
#: Words of the catalogue's names that are the board's or the catalogue's own, not a trainer's.
_MOVE = re.compile(r".*\d.*|O-O.*|\.\.\..*")
_BOOKKEEPING = frozenset("prefix move-order transposition precursor via line main mainline castled proper".split())
#: Nouns at the end of a catalogue's name that a trainer leaves out; a gambit is another opening than its family.
_LEFT_OUT = frozenset("variation defence attack system opening game".split())
#: Longer names of the catalogue describe, trainers don't say them.
_MOST_WORDS = 5
#: Nats that a name of the catalogue alone is less likely meant than one that trainers are known to use.
UNKNOWN_TO_TRAINERS = 2.0
#: Nats for each of a name's deeper lines, more than the games say: the name means its own position first.
DEEPER = 1.0


class Kind(IntEnum):
    """How freely a name is used; see ``opening_names.toml``. RARE: a name of the catalogue that we don't list."""

    SURE = 0
    PEOPLE = 1
    SHY = 2
    RARE = 3
    PLAIN = 4
    CATALOGUED = 5  # ordinary words in a name of the catalogue alone


@dataclass(frozen=True, slots=True)
class Line:
    """An entry of the catalogue as a line that a name may mean.

    :param key: the catalogue's key.
    :param moves: UCI from the start position, by the commonest order.
    :param order: UCI by the catalogue's order, which says what it belongs to.
    :param games: games through its position, 0 where none is known.
    :param also: keys of deeper lines that its names stand for.
    :param under: keys of openings it belongs to.
    """

    key: str
    title: str
    moves: tuple[str, ...]
    order: tuple[str, ...]
    games: int
    also: tuple[str, ...]
    under: frozenset[str]


@dataclass(slots=True)
class Name:
    """A name and the lines it may mean.

    :param text: its words in lower case, without marks: ``"ruy lopez"``.
    :param kind: how freely it is used, at best.
    :param lines: kind by the line's key.
    """

    text: str
    kind: Kind
    lines: dict[str, Kind]


def plain_words(text: str) -> str:
    """Words in lower case without marks, apostrophes and hyphens, in British spelling.

    >>> plain_words("Queen's Gambit, Grünfeld-Defense")
    'queens gambit grunfeld defence'
    """
    words = re.split(r"[\s/,-]+", text.replace("'", "").replace("’", "").replace(".", ""))
    bare = (folded(word) for word in words)
    return " ".join(_BRITISH.get(word, word) for word in bare if word)


_BRITISH = {"defense": "defence", "defences": "defence", "center": "centre", "4": "four", "3": "three", "2": "two"}


class OpeningIndex:
    """All lines by key, all names by their letters and by their sounds; made once, see :func:`opening_index`."""

    def __init__(self) -> None:
        told = tomllib.loads((files("linewright.reading.openings") / "opening_names.toml").read_text("utf-8"))
        games = json.loads((files("linewright.reading.openings") / "opening_games.json").read_text("utf-8"))
        self.lines: dict[str, Line] = {}
        self.names: dict[str, Name] = {}
        self._at: dict[tuple[str, ...], list[str]] = {}
        self._above: dict[str, frozenset[str]] = {}
        for letter in "ABCDE":
            for row in catalogue().walk(letter):
                if row.moves_uci:
                    self._add(row, told.get(row.ocn1, {}), games.get(row.ocn1, [0]))
        for key, table in told.items():
            for kind in (Kind.SURE, Kind.PEOPLE, Kind.SHY, Kind.PLAIN):
                for text in table.get(kind.name.lower(), ()):
                    self._call(text, key, kind)
        self._share_kinds()

    def _share_kinds(self) -> None:
        """A catalogued name with its noun is used as freely for a line as without: "exchange variation"."""
        for name in self.names.values():
            words = name.text.split()
            bare = self.names.get("".join(words[:-1])) if words[-1] in STRICT_NOUNS else None
            if bare is not None:
                for key in name.lines.keys() & bare.lines.keys():
                    name.lines[key] = min(name.lines[key], bare.lines[key])

    def _add(self, row: Row, table: Mapping[str, object], counted: list[object]) -> None:
        order = " ".join(row.moves_uci) if len(counted) == 1 else str(counted[1])
        title = str(table.get("title", full_name(row)))
        also, under = table.get("also", ()), table.get("under", ())
        assert isinstance(also, list | tuple) and isinstance(under, list | tuple)
        line = Line(
            row.ocn1, title, tuple(order.split()), row.moves_uci, int(str(counted[0])), tuple(also), frozenset(under)
        )
        self.lines[row.ocn1] = line
        self._at.setdefault(row.moves_uci, []).append(row.ocn1)
        for text in _catalogued_names(row):
            self._call(text, row.ocn1, Kind.CATALOGUED if _ordinary(text) else Kind.RARE)

    def _call(self, text: str, key: str, kind: Kind) -> None:
        letters = text.replace(" ", "")
        name = self.names.get(letters)
        if name is None:
            self.names[letters] = Name(text, kind, {key: kind})
            return
        name.kind = min(name.kind, kind)
        name.lines[key] = min(kind, name.lines.get(key, kind))

    @cached_property
    def beginnings(self) -> frozenset[str]:
        """Letters that some name begins with."""
        return frozenset(letters[:end] for letters in self.names for end in range(1, len(letters) + 1))

    @cached_property
    def by_sound(self) -> Mapping[str, tuple[Name, ...]]:
        """The names by their sounds, those that trainers are known to use first."""
        found: dict[str, list[Name]] = {}
        for name in sorted(self.names.values(), key=lambda name: name.kind):
            if name.kind < Kind.PLAIN and len(name.text) > 3:
                found.setdefault(run_together(name.text.split()), []).append(name)
        return {sounds: tuple(names) for sounds, names in found.items()}

    @cached_property
    def family_ends(self) -> frozenset[str]:
        """Last words of the names that are openings wherever they stand, but for an opening's nouns."""
        ends = {name.text.split()[-1] for name in self.names.values() if name.kind <= Kind.PEOPLE}
        return frozenset(ends - STRICT_NOUNS - LOOSE_NOUNS)

    @cached_property
    def sound_beginnings(self) -> frozenset[str]:
        """Sounds that some name begins with."""
        return frozenset(sounds[:end] for sounds in self.by_sound for end in range(1, len(sounds) + 1))

    @cached_property
    def near_sounds(self) -> Mapping[tuple[str, int], tuple[str, ...]]:
        """Sounds of the names that trainers are known to use, by the first one and their number."""
        found: dict[tuple[str, int], list[str]] = {}
        for sounds, names in self.by_sound.items():
            if names[0].kind < Kind.RARE:
                found.setdefault((sounds[0], len(sounds)), []).append(sounds)
        return {key: tuple(sounds) for key, sounds in found.items()}

    def above(self, key: str) -> frozenset[str]:
        """Keys of the openings that a line belongs to, its own with them."""
        known = self._above.get(key)
        if known is None:
            line = self.lines[key]
            found = {key, *(row.ocn1 for row in catalogue().parents(key)), *line.under}
            found.update(k for n in range(1, len(line.order)) for k in self._at.get(line.order[:n], ()))
            for opening in line.under:
                found |= self.above(opening)
            known = self._above[key] = frozenset(found)
        return known

    def family(self, key: str) -> str:
        """The key of the named opening at the root of a line's branch."""
        return ".".join(key.split(".")[:2])

    def meant_by(self, names: Iterable[Name]) -> dict[str, Kind]:
        """The lines that several names mean together, each with the least free of their kinds.

        One of the names is the line's own, the others name it too or an opening it belongs to.
        """
        parts = [name.lines for name in names]
        if len(parts) == 1:
            return parts[0]
        found: dict[str, Kind] = {}
        for own in parts:
            others = [lines for lines in parts if lines is not own]
            for key, kind in own.items():
                above = self.above(key)
                if all(not above.isdisjoint(lines) for lines in others):
                    found[key] = kind
        return found


@cache
def position_key(moves: tuple[str, ...]) -> str:
    """The position after moves from the start, as the catalogue writes it.

    :raises ValueError: when a move is illegal.
    """
    return str(fen_key(board_after(moves).fen()))


def board_after(moves: Iterable[str]) -> chess.Board:
    """The board after moves (UCI) from the start position.

    :raises ValueError: when a move is illegal.
    """
    board = chess.Board()
    for uci in moves:
        board.push_uci(uci)
    return board


def run_together(words: Iterable[str]) -> str:
    """The sounds of words, each by itself, run together; doubled ones once.

    >>> run_together(["grew", "in", "felled"]) == run_together(["grunfeld"])
    True
    """
    return re.sub(r"(.)\1+", r"\1", "".join(map(sound, words)))


def _ordinary(text: str) -> bool:
    """Each of its words is an ordinary one, or a noun of openings."""
    return all(word in _ORDINARY_WORDS or word in STRICT_NOUNS for word in text.split())


_ORDINARY_WORDS = frozenset(plain_words(word) for word in ORDINARY) | frozenset("knight pawn".split())


def _catalogued_names(row: Row) -> Iterator[str]:
    """What a trainer may say of a catalogue's name and aliases: their last parts, with and without the noun."""
    family = full_name(row).split(", ")[0]
    for name in (full_name(row), *row.aliases):
        if ":" in name:
            continue
        own = name.rpartition(", ")[2]
        words = own.split()
        if any(_MOVE.fullmatch(word) or word.lower() in _BOOKKEEPING for word in words) or len(words) > _MOST_WORDS:
            continue
        yield plain_words(own)
        if words[-1].lower().replace("defense", "defence") in _LEFT_OUT and len(words) > 1:
            yield plain_words(" ".join(words[:-1]))
        if own == family and row.depth > 1 and len(words) > 1 and words[0] in _BRANCHED:
            yield plain_words(" ".join(words[1:]))  # "Sicilian Sveshnikov" has no comma


#: Families whose branches the catalogue names without a comma.
_BRANCHED = frozenset({"Sicilian"})


@cache
def opening_index() -> OpeningIndex:
    """The index, made when the first name is looked for."""
    return OpeningIndex()

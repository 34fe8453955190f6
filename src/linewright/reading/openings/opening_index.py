"""Openings' names and the lines they mean: the catalogue's entries under everyday names.

The names come from the catalogue (:mod:`linewright.lesson.opening`) and from the language's ``opening_names.toml``, how
often each line is played and by which order of moves from ``opening_games.json``, which ``bench/count_openings.py``
counts.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import IntEnum
from functools import cache, cached_property
from importlib.resources import files

import chess
from ocn import Row, fen_key

from linewright.language.name_words import name_words
from linewright.language.sounds import folded, sound
from linewright.language.tables import ENGLISH, Language
from linewright.lesson.opening import catalogue, full_name

#: Words of the catalogue's names that are moves.
_MOVE = re.compile(r".*\d.*|O-O.*|\.\.\..*")
#: Longer names of the catalogue describe, trainers don't say them.
_MOST_WORDS = 5
#: Nats that a name of the catalogue alone is less likely meant than one that trainers are known to use.
UNKNOWN_TO_TRAINERS = 2.0
#: Nats for each of a name's deeper lines, more than the games say: the name means its own position first.
DEEPER = 1.0


class Freedom(IntEnum):
    """How freely a name is used; see ``opening_names.toml``. RARE: a name of the catalogue that we don't list."""

    SURE = 0
    PEOPLE = 1
    SHY = 2
    RARE = 3
    PLAIN = 4
    CATALOGUED = 5  # ordinary words in a name of the catalogue alone


@dataclass(frozen=True, slots=True)
class CatalogueLine:
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
class OpeningName:
    """A name and the lines it may mean.

    :param text: its words in lower case, without marks: ``"ruy lopez"``.
    :param kind: how freely it is used, at best.
    :param lines: kind by the line's key.
    """

    text: str
    kind: Freedom
    lines: dict[str, Freedom]


def plain_words(text: str, language: Language = ENGLISH) -> str:
    """Words in lower case without marks, apostrophes and hyphens, in the spelling that names are compared in.

    >>> plain_words("Queen's Gambit, Grünfeld-Defense")
    'queens gambit grunfeld defence'
    """
    words = re.split(r"[\s/,-]+", text.replace("'", "").replace("’", "").replace(".", ""))
    bare = (folded(word) for word in words)
    spelling = name_words(language).spelling
    return " ".join(spelling.get(word, word) for word in bare if word)


class OpeningIndex:
    """All lines by key, all names by their letters and by their sounds; made once, see :func:`opening_index`."""

    def __init__(self, language: Language = ENGLISH) -> None:
        self.language = language
        self.words = name_words(language)
        everyday = language.table("opening_names").values
        games = json.loads((files("linewright.reading.openings") / "opening_games.json").read_text("utf-8"))
        self.lines: dict[str, CatalogueLine] = {}
        self.names: dict[str, OpeningName] = {}
        self._at: dict[tuple[str, ...], list[str]] = {}
        self._above: dict[str, frozenset[str]] = {}
        for letter in "ABCDE":
            for row in catalogue().walk(letter):
                if row.moves_uci:
                    self._add(row, everyday.get(row.ocn1, {}), games.get(row.ocn1, [0]))
        for key, table in everyday.items():
            for kind in (Freedom.SURE, Freedom.PEOPLE, Freedom.SHY, Freedom.PLAIN):
                for text in table.get(kind.name.lower(), ()):
                    self._call(text, key, kind)
        self._share_kinds()

    def _share_kinds(self) -> None:
        """A catalogued name with its noun is used as freely for a line as without: "exchange variation"."""
        for name in self.names.values():
            words = name.text.split()
            bare = self.names.get("".join(words[:-1])) if words[-1] in self.words.strict_nouns else None
            if bare is not None:
                for key in name.lines.keys() & bare.lines.keys():
                    name.lines[key] = min(name.lines[key], bare.lines[key])

    def _add(self, row: Row, table: Mapping[str, object], counted: list[object]) -> None:
        order = " ".join(row.moves_uci) if len(counted) == 1 else str(counted[1])
        title = str(table.get("title", full_name(row)))
        also, under = table.get("also", ()), table.get("under", ())
        assert isinstance(also, list | tuple) and isinstance(under, list | tuple)
        line = CatalogueLine(
            row.ocn1, title, tuple(order.split()), row.moves_uci, int(str(counted[0])), tuple(also), frozenset(under)
        )
        self.lines[row.ocn1] = line
        self._at.setdefault(row.moves_uci, []).append(row.ocn1)
        for text in self._catalogued_names(row):
            ordinary = self._is_ordinary(text)
            self._call(text, row.ocn1, Freedom.CATALOGUED if ordinary else Freedom.RARE)

    def _call(self, text: str, key: str, kind: Freedom) -> None:
        letters = text.replace(" ", "")
        name = self.names.get(letters)
        if name is None:
            self.names[letters] = OpeningName(text, kind, {key: kind})
            return
        name.kind = min(name.kind, kind)
        name.lines[key] = min(kind, name.lines.get(key, kind))

    def plain(self, text: str) -> str:
        """Words as names are compared; see :func:`plain_words`."""
        return plain_words(text, self.language)

    def _is_ordinary(self, text: str) -> bool:
        """Each of its words is an ordinary one, or a noun of openings."""
        return all(word in self._ordinary or word in self.words.strict_nouns for word in text.split())

    @cached_property
    def _ordinary(self) -> frozenset[str]:
        return frozenset(map(self.plain, self.words.ordinary)) | self.words.ordinary_men

    def _catalogued_names(self, row: Row) -> Iterator[str]:
        """What a trainer may say of a catalogue's name and aliases: their last parts, with and without the noun."""
        family, known = full_name(row).split(", ")[0], self.words
        for name in (full_name(row), *row.aliases):
            if ":" in name:
                continue
            own = name.rpartition(", ")[2]
            words = own.split()
            bookkeeping = any(_MOVE.fullmatch(word) or word.lower() in known.bookkeeping for word in words)
            if bookkeeping or len(words) > _MOST_WORDS:
                continue
            yield self.plain(own)
            noun = words[-1].lower()
            if known.spelling.get(noun, noun) in known.left_out and len(words) > 1:
                yield self.plain(" ".join(words[:-1]))
            if own == family and row.depth > 1 and len(words) > 1 and words[0] in known.branched:
                yield self.plain(" ".join(words[1:]))  # "Sicilian Sveshnikov" has no comma

    @cached_property
    def beginnings(self) -> frozenset[str]:
        """Letters that some name begins with."""
        return frozenset(letters[:end] for letters in self.names for end in range(1, len(letters) + 1))

    @cached_property
    def by_sound(self) -> Mapping[str, tuple[OpeningName, ...]]:
        """The names by their sounds, those that trainers are known to use first."""
        found: dict[str, list[OpeningName]] = {}
        for name in sorted(self.names.values(), key=lambda name: name.kind):
            if name.kind < Freedom.PLAIN and len(name.text) > 3:
                found.setdefault(run_together(name.text.split(), self.language), []).append(name)
        return {sounds: tuple(names) for sounds, names in found.items()}

    @cached_property
    def family_ends(self) -> frozenset[str]:
        """Last words of the names that are openings wherever they stand, but for an opening's nouns."""
        ends = {name.text.split()[-1] for name in self.names.values() if name.kind <= Freedom.PEOPLE}
        return frozenset(ends - self.words.strict_nouns - self.words.loose_nouns)

    @cached_property
    def sound_beginnings(self) -> frozenset[str]:
        """Sounds that some name begins with."""
        return frozenset(sounds[:end] for sounds in self.by_sound for end in range(1, len(sounds) + 1))

    @cached_property
    def near_sounds(self) -> Mapping[tuple[str, int], tuple[str, ...]]:
        """Sounds of the names that trainers are known to use, by the first one and their number."""
        found: dict[tuple[str, int], list[str]] = {}
        for sounds, names in self.by_sound.items():
            if names[0].kind < Freedom.RARE:
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

    def meant_by(self, names: Iterable[OpeningName]) -> dict[str, Freedom]:
        """The lines that several names mean together, each with the least free of their kinds.

        One of the names is the line's own, the others name it too or an opening it belongs to.
        """
        parts = [name.lines for name in names]
        if len(parts) == 1:
            return parts[0]
        found: dict[str, Freedom] = {}
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


def run_together(words: Iterable[str], language: Language = ENGLISH) -> str:
    """The sounds of words, each by itself, run together; doubled ones once.

    >>> run_together(["grew", "in", "felled"]) == run_together(["grunfeld"])
    True
    """
    return re.sub(r"(.)\1+", r"\1", "".join(sound(word, language) for word in words))


@cache
def opening_index(language: Language = ENGLISH) -> OpeningIndex:
    """The index of a language, made when the first name is looked for."""
    return OpeningIndex(language)

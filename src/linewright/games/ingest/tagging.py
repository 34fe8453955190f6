"""The tag pairs of many games, as columns.

The same values come again and again: each is decoded and tidied once, and remembered. Games with unusual tags are read
by :func:`linewright.games.ingest.headers.read_tags`; both ways give the same (a test compares them).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from typing import Any, Final

import numpy as np

from linewright.games.index.arrays import U8, U64
from linewright.games.ingest import headers
from linewright.games.ingest.columns import UNKNOWN, TableColumns
from linewright.games.ingest.headers import Tags, decode, plain_name, read_tags, tag_lines
from linewright.games.ingest.splitting import Cut

#: The tags that have a column; then those of games that may be no ordinary ones.
NAMES: Final = "Event Site Date Round White Black Result WhiteElo BlackElo ECO TimeControl".split()
_TELLING: Final = "FEN SetUp Variant".split()

#: What stands between and behind the values of ordinary tag pairs.
_BETWEEN: Final = re.compile(rb"\]\s*+(?:\[([A-Za-z0-9_-]++)[ \t]++)?+")

#: Bytes that may be part of a character that steers a terminal (:func:`linewright.talk.decode.unsteered`), 0x80 to 0x9F
#: unless inside a longer UTF-8 sequence; and the escaping backslash.
_UNUSUAL: Final = re.compile(rb"[\x00-\x08\x0b-\x0c\x0e-\x1f\x7f\\]|(?<![\x80-\xc1\xc3-\xff])[\x80-\x9f]")
_USUAL: Final = bytes({*range(256)} - {*range(9), *range(11, 13), *range(14, 32), *range(127, 160), 92})


@dataclass(frozen=True, slots=True)
class TagColumns:
    """The tags of some games.

    :param columns: the columns of the base's ``games`` that come from tags, but for the result.
    :param half_points: White's, 0-2, else :data:`UNKNOWN`; shape (games,).
    :param hashes: of tidied names and date, shape (games,).
    :param apart: by game, why it is no ordinary one, as :attr:`linewright.games.ingest.headers.Tags.apart`.
    """

    columns: TableColumns
    half_points: U8
    hashes: U64
    apart: dict[int, tuple[str, str]]


class _Tidied(dict[bytes, Any]):
    """Values as they are tidied, each once; forgotten where they become too many."""

    MOST: Final = 1 << 18

    def __init__(self, tidy: Callable[[str], Any]) -> None:
        self._tidy = tidy

    def __missing__(self, value: bytes) -> Any:
        if len(self) >= self.MOST:
            self.clear()
        found = self[value] = self._tidy(decode(value))
        return found


@lru_cache(maxsize=1 << 18)
def _name_hash(name: str) -> int:
    return _hash(plain_name(name))


@lru_cache(maxsize=1 << 15)
def _hash(text: str) -> int:
    return int.from_bytes(blake2b(text.encode("utf-8", "replace"), digest_size=8).digest(), "little")


#: For each column of ``games``, and the result: the tag it comes from, and its tidied values.
_COLUMNS: Final[dict[str, tuple[bytes, _Tidied]]] = {
    name: (tag.encode(), _Tidied(tidy))
    for name, tag, tidy in (
        ("white", "White", headers.known),
        ("black", "Black", headers.known),
        ("white_rating", "WhiteElo", headers.rating),
        ("black_rating", "BlackElo", headers.rating),
        ("date", "Date", headers.clean_date),
        ("year", "Date", lambda date: headers.year(headers.clean_date(date))),
        ("event", "Event", headers.known),
        ("site", "Site", headers.known),
        ("round", "Round", headers.known),
        ("eco", "ECO", headers.known),
        ("time_control", "TimeControl", headers.known),
        ("half_points", "Result", headers.half_points),
    )
}
_KEPT: Final = frozenset(name.encode() for name in NAMES)
_ODD: Final = frozenset(name.encode() for name in _TELLING)


@dataclass(frozen=True, slots=True)
class _Layout:
    """What stands around the values of a game's tags, alike in many games.

    :param places: by tag, which of the values is its: the last, where it stands twice.
    :param lines: line ends; a value has none.
    """

    places: dict[bytes, int]
    lines: int

    @property
    def others(self) -> list[tuple[str, int]]:
        """The tags without a column, with their places."""
        return [(name.decode(), place) for name, place in self.places.items() if name not in _KEPT]


class _Layouts(dict[bytes, _Layout | None]):
    """By what stands between the values: the layout; None where it is unusual."""

    MOST: Final = 1 << 12

    def __missing__(self, between: bytes) -> _Layout | None:
        if len(self) >= self.MOST:
            self.clear()
        found = self[between] = _layout(between)
        return found


def _layout(between: bytes) -> _Layout | None:
    matches = [_BETWEEN.fullmatch(part) for part in between.split(b'"')]
    names = [match[1] if match else None for match in matches]
    if not all(matches) or names.pop() is not None or None in names or not _ODD.isdisjoint(names):
        return None
    places = {name: place for place, name in enumerate(names) if name is not None}
    return _Layout(places, between.count(b"\n"))


_LAYOUTS: Final = _Layouts()


def read_tag_columns(cut: Cut) -> TagColumns:
    """Read the tag pairs of the games of one stretch of text."""
    data = cut.data
    heads = [data[start:end] for start, end in zip(cut.starts.tolist(), cut.texts.tolist(), strict=True)]
    plain = not data.translate(None, _USUAL)
    single: dict[int, Tags] = {}
    alike: dict[int, tuple[_Layout, list[int], list[list[bytes]]]] = {}
    for i, head in enumerate(heads):
        parts = (b"]" + head).split(b'"')
        layout = _LAYOUTS[b'"'.join(parts[::2])]
        if layout is None or head.count(b"\n") != layout.lines or not (plain or not _UNUSUAL.search(head)):
            single[i] = read_tags(decode(head))
            continue
        _, games, values = alike.setdefault(id(layout), (layout, [], []))
        games.append(i)
        values.append(parts[1::2])
    lists: dict[str, list[Any]] = {name: [None] * len(heads) for name in (*_COLUMNS, "others")}
    for layout, games, values in alike.values():
        for name, column in _read_alike(layout, values).items():
            _put(lists[name], games, column)
    for i, tags in single.items():
        for name, values_of in lists.items():
            values_of[i] = getattr(tags, name)
    results = lists.pop("half_points")
    return TagColumns(
        TableColumns.of(lists),
        np.array([UNKNOWN if value is None else value for value in results], dtype=np.uint8),
        tag_hashes(lists["white"], lists["black"], lists["date"]),
        {i: tags.apart for i, tags in single.items() if tags.apart},
    )


def _read_alike(layout: _Layout, values: list[list[bytes]]) -> dict[str, list[Any]]:
    """The columns of games of one layout."""
    by_place = list(zip(*values, strict=True))
    found = {}
    for name, (tag, tidied) in _COLUMNS.items():
        place = layout.places.get(tag)
        found[name] = [tidied[b""]] * len(values) if place is None else list(map(tidied.__getitem__, by_place[place]))
    others = layout.others
    found["others"] = [
        tag_lines({name: decode(row[place]) for name, place in others}) if others else "" for row in values
    ]
    return found


def _put(column: list[Any], games: list[int], values: list[Any]) -> None:
    if len(games) == len(column):
        column[:] = values
        return
    for game, value in zip(games, values, strict=True):
        column[game] = value


def tag_hashes(white: Iterable[str], black: Iterable[str], date: Iterable[str]) -> U64:
    """What must agree, beside moves and result, for games to be certain duplicates: tidied names and date."""
    parts = (map(_name_hash, white), map(_name_hash, black), map(_hash, date))
    mixed: U64 = np.zeros(1, dtype=np.uint64)
    for part in parts:  # FNV-1a's step: the order of the parts counts
        mixed = (mixed ^ np.fromiter(part, dtype=np.uint64)) * np.uint64(0x100000001B3)
    return mixed

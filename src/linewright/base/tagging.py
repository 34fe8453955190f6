"""The tag pairs of many games, as columns.

The same values come again and again: each is decoded and tidied once, and remembered. Games with unusual tags are read
by :func:`linewright.base.headers.read_tags`; both ways give the same (a test compares them).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from typing import Any, Final

import numpy as np

from linewright.base import headers
from linewright.base.arrays import U8, U64
from linewright.base.columns import UNKNOWN, Columns
from linewright.base.headers import decode, plain_name, read_tags, tag_lines
from linewright.base.splitting import Cut

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
    :param apart: by game, why it is no ordinary one, as :attr:`linewright.base.headers.Tags.apart`.
    """

    columns: Columns
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

Pairs = dict[bytes, bytes]


class _Names(dict[bytes, bytes | None]):
    """By what stands before a value, the tag's name; empty behind the last, None where that is unusual."""

    MOST: Final = 1 << 12

    def __missing__(self, between: bytes) -> bytes | None:
        if len(self) >= self.MOST:
            self.clear()
        match = _BETWEEN.fullmatch(between)
        found = self[between] = (match[1] or b"") if match else None
        return found


_NAMES: Final = _Names()


def _ordinary(head: bytes) -> Pairs | None:
    """The tag pairs of a game; None where they aren't all ordinary: one a pair of quotation marks, on one line."""
    parts = (b"]" + head).split(b'"')
    values = parts[1::2]
    names = [_NAMES[between] for between in parts[::2]]
    if names.pop() != b"" or not all(names) or b"\n" in b"".join(values):
        return None
    pairs: Pairs = dict(zip(names, values, strict=True))  # type: ignore[arg-type]  # none of them is None
    return pairs if _ODD.isdisjoint(pairs) else None


def _others(pairs: Pairs) -> str:
    if _KEPT.issuperset(pairs):
        return ""
    return tag_lines({name.decode(): decode(value) for name, value in pairs.items() if name not in _KEPT})


def read_tag_columns(cut: Cut) -> TagColumns:
    """Read the tag pairs of the games of one stretch of text."""
    data = cut.data
    heads = [data[start:end] for start, end in zip(cut.starts.tolist(), cut.texts.tolist(), strict=True)]
    plain = not data.translate(None, _USUAL)
    games = [_ordinary(head) if plain or not _UNUSUAL.search(head) else None for head in heads]
    single = {i: read_tags(decode(heads[i])) for i, pairs in enumerate(games) if pairs is None}
    ordinary = [pairs or {} for pairs in games]
    lists = {name: [tidied[pairs.get(tag, b"")] for pairs in ordinary] for name, (tag, tidied) in _COLUMNS.items()}
    lists["others"] = [_others(pairs) for pairs in ordinary]
    for name, values in lists.items():
        for i, tags in single.items():
            values[i] = getattr(tags, name)
    results = lists.pop("half_points")
    return TagColumns(
        Columns.of(lists),
        np.array([UNKNOWN if value is None else value for value in results], dtype=np.uint8),
        tag_hashes(lists["white"], lists["black"], lists["date"]),
        {i: tags.apart for i, tags in single.items() if tags.apart},
    )


def tag_hashes(white: Iterable[str], black: Iterable[str], date: Iterable[str]) -> U64:
    """What must agree, beside moves and result, for games to be certain duplicates: tidied names and date."""
    parts = (map(_name_hash, white), map(_name_hash, black), map(_hash, date))
    mixed: U64 = np.zeros(1, dtype=np.uint64)
    for part in parts:  # FNV-1a's step: the order of the parts counts
        mixed = (mixed ^ np.fromiter(part, dtype=np.uint64)) * np.uint64(0x100000001B3)
    return mixed

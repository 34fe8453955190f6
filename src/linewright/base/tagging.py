"""The tag pairs of many games at once, as columns.

A compiled loop finds the values; what has to be decoded and tidied is each different value once, not each
game's. Games with unusual tags are read one by one by :func:`linewright.base.headers.read_tags`; both ways
give the same (a test compares them).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from linewright.base import headers
from linewright.base.headers import decode, plain_name, read_tags
from linewright.base.kernels import I64, U8, U64, jit
from linewright.base.splitting import Cut

U32 = npt.NDArray[np.uint32]

#: The tags that have a column, by their place in the spans; then those of games that may be no ordinary ones.
NAMES: Final = "Event Site Date Round White Black Result WhiteElo BlackElo ECO TimeControl".split()
_TELLING: Final = "FEN SetUp Variant".split()

#: Stands for an unknown result in :attr:`TagColumns.half_points`.
UNKNOWN: Final = 3


def _name_table() -> tuple[U8, I64]:
    names = [*NAMES, *_TELLING]
    table = np.zeros((len(names), max(map(len, names))), dtype=np.uint8)
    for row, name in enumerate(names):
        table[row, : len(name)] = list(name.encode())
    return table, np.array([len(name) for name in names], dtype=np.int64)


_TABLE, _LENGTHS = _name_table()


@dataclass(frozen=True, slots=True)
class TagColumns:
    """The tags of some games.

    :param columns: the columns of the base's ``games`` that come from tags, but for the result.
    :param half_points: White's, 0-2, else :data:`UNKNOWN`; shape (games,).
    :param hashes: of tidied names and date, shape (games,).
    :param apart: by game, why it is no ordinary one, as :attr:`linewright.base.headers.Tags.apart`.
    """

    columns: pa.Table
    half_points: U8
    hashes: U64
    apart: dict[int, tuple[str, str]]


@jit
def _known_tag(data: U8, first: int, size: int, table: U8, lengths: I64) -> int:
    """The row of the tag's name in the table, -1 if it isn't there."""
    for row in range(len(lengths)):
        if lengths[row] == size:
            same = True
            for k in range(size):
                if data[first + k] != table[row, k]:
                    same = False
                    break
            if same:
                return row
    return -1


@jit
def _blank(byte: int) -> bool:
    return byte == 32 or 9 <= byte <= 13


@jit
def _find_tags(
    data: U8,
    starts: I64,
    ends: I64,
    table: U8,
    lengths: I64,
    spans: npt.NDArray[np.uint32],
    odd: npt.NDArray[np.bool_],
    others: U8,
    bounds: I64,
) -> None:
    """Find each game's tag values: ``[Name "value"]``, where the value ends at a quotation mark before ``]`` or the
    line's end.

    :param spans: out, shape (tags, games, 2), zero: first byte of the value and one past its last.
    :param odd: out, shape (games,), false: whether the game must be read otherwise.
    :param others: out: the tag pairs that aren't in the table, one a line.
    :param bounds: out, shape (games + 1,): where each game's start in it, and the end.
    """
    known = spans.shape[0]
    out = 0
    for game in range(len(starts)):
        bounds[game] = out
        end = ends[game]
        i = starts[game]
        while i < end:
            if data[i] != 91:  # [
                i += 1
                continue
            j = i + 1
            i += 1
            while j < end and _blank(data[j]):
                j += 1
            first = j
            while j < end and (
                48 <= data[j] <= 57 or 65 <= data[j] <= 90 or 97 <= data[j] <= 122 or data[j] == 95 or data[j] == 45
            ):
                j += 1
            last = j
            while j < end and _blank(data[j]):
                j += 1
            if first == last or j == last or j >= end or data[j] != 34:
                continue
            j += 1
            value = j
            closed = -1
            escaped = False
            while j < end and data[j] != 10 and closed < 0:
                if data[j] == 92:
                    escaped = True
                elif data[j] == 34:
                    k = j + 1
                    while k < end and data[k] != 10 and _blank(data[k]):
                        k += 1
                    if k >= end or data[k] == 10 or data[k] == 93:
                        closed = k
                        break
                j += 1
            if closed < 0:
                continue
            i = closed + (1 if closed < end and data[closed] == 93 else 0)
            tag = _known_tag(data, first, last - first, table, lengths)
            if escaped or tag >= known:
                odd[game] = True
            if tag >= known:
                continue
            if tag < 0:
                others[out] = 91
                out += 1
                for k in range(first, last):
                    others[out] = data[k]
                    out += 1
                others[out] = 32
                others[out + 1] = 34
                out += 2
                for k in range(value, j):
                    others[out] = data[k]
                    out += 1
                others[out] = 34
                others[out + 1] = 93
                others[out + 2] = 10
                out += 3
                continue
            stop = j
            while value < stop and _blank(data[value]):
                value += 1
            while stop > value and _blank(data[stop - 1]):
                stop -= 1
            spans[tag, game, 0] = value
            spans[tag, game, 1] = stop
    bounds[len(starts)] = out


@jit
def _gather(data: U8, spans: U32, out: U8, bounds: I64) -> None:
    """Copy the spans' bytes one behind the other."""
    at = 0
    for game in range(len(spans)):
        bounds[game] = at
        for k in range(spans[game, 0], spans[game, 1]):
            out[at] = data[k]
            at += 1
    bounds[len(spans)] = at


@lru_cache(maxsize=1 << 18)
def _text(value: bytes) -> str:
    return headers.known(decode(value))


@lru_cache(maxsize=1 << 15)
def _date(value: bytes) -> str:
    return headers.clean_date(decode(value))


@lru_cache(maxsize=1 << 18)
def _name_hash(name: str) -> int:
    return _hash(plain_name(name))


@lru_cache(maxsize=1 << 15)
def _hash(text: str) -> int:
    return int.from_bytes(blake2b(text.encode("utf-8", "replace"), digest_size=8).digest(), "little")


def _other_lines(value: bytes) -> str:
    return decode(value).rstrip("\n")


#: For each column of ``games``: the tag it comes from, how a value is tidied, and its type.
_COLUMNS: Final[dict[str, tuple[str, Callable[[bytes], Any], pa.DataType]]] = {
    "white": ("White", _text, pa.string()),
    "black": ("Black", _text, pa.string()),
    "white_rating": ("WhiteElo", lambda value: headers.rating(decode(value)), pa.uint16()),
    "black_rating": ("BlackElo", lambda value: headers.rating(decode(value)), pa.uint16()),
    "date": ("Date", _date, pa.string()),
    "year": ("Date", lambda value: headers.year(_date(value)), pa.uint16()),
    "event": ("Event", _text, pa.string()),
    "site": ("Site", _text, pa.string()),
    "round": ("Round", _text, pa.string()),
    "eco": ("ECO", _text, pa.string()),
    "time_control": ("TimeControl", _text, pa.string()),
}


def _steering(cut: Cut) -> npt.NDArray[np.bool_]:
    """Which games' tags may hold a character that steers a terminal (:func:`linewright.talk.decode.unsteered`): those
    are read by themselves."""
    data = np.asarray(cut.data)
    before = np.concatenate([[0], data[:-1]]).astype(np.uint8)
    high = (data >= 0x80) & (data < 0xA0) & ((before == 0xC2) | (before < 0x80))
    places = np.flatnonzero((data < 9) | ((data > 13) & (data < 28)) | (data == 127) | high)
    games = np.searchsorted(cut.starts, places, "right") - 1
    places, games = places[games >= 0], games[games >= 0]
    odd = np.zeros(len(cut), dtype=np.bool_)
    odd[games[places < cut.texts[games]]] = True
    return odd


def read_tag_columns(cut: Cut) -> TagColumns:
    """Read the tag pairs of the games of one stretch of text."""
    games = len(cut)
    spans = np.zeros((len(NAMES), games, 2), dtype=np.uint32)
    odd = _steering(cut)
    room = int((cut.texts - cut.starts).sum())
    others, bounds = np.empty(2 * room + 16, dtype=np.uint8), np.empty(games + 1, dtype=np.int64)
    _find_tags(cut.data, cut.starts, cut.texts, _TABLE, _LENGTHS, spans, odd, others, bounds)
    single = {
        int(i): read_tags(decode(bytes(cut.data.data[cut.starts[i] : cut.texts[i]]))) for i in np.flatnonzero(odd)
    }
    values = {name: _values(cut.data, spans[row]) for row, name in enumerate(NAMES)}

    def column(name: str) -> pa.Array:
        tag, tidy, kind = _COLUMNS[name]
        return _replaced(_tidied(values[tag], tidy, kind), {i: getattr(tags, name) for i, tags in single.items()})

    columns = {name: column(name) for name in _COLUMNS}
    lines = _tidied(_binary(others[: bounds[-1]], bounds), _other_lines, pa.string())
    columns["others"] = _replaced(lines, {i: tags.others for i, tags in single.items()})
    results = _tidied(values["Result"], lambda value: headers.half_points(decode(value)), pa.uint8())
    results = _replaced(results, {i: tags.half_points for i, tags in single.items()})
    return TagColumns(
        pa.table(columns),
        results.fill_null(UNKNOWN).to_numpy(zero_copy_only=False),
        tag_hashes(columns["white"], columns["black"], columns["date"]),
        {i: tags.apart for i, tags in single.items() if tags.apart},
    )


def _values(data: U8, spans: U32) -> pa.DictionaryArray:
    """One tag's values, each different one once."""
    out = np.empty(int((spans[:, 1] - spans[:, 0]).sum()), dtype=np.uint8)
    bounds = np.empty(len(spans) + 1, dtype=np.int64)
    _gather(data, spans, out, bounds)
    return _binary(out, bounds)


def _binary(data: U8, bounds: I64) -> pa.DictionaryArray:
    texts = pa.LargeBinaryArray.from_buffers(
        pa.large_binary(), len(bounds) - 1, [None, pa.py_buffer(bounds), pa.py_buffer(data)]
    )
    return texts.dictionary_encode()


def _tidied(values: pa.DictionaryArray, tidy: Callable[[bytes], Any], kind: pa.DataType) -> pa.Array:
    return pa.array([tidy(value) for value in values.dictionary.to_pylist()], kind).take(values.indices)


def _replaced(column: pa.Array, by: dict[int, Any]) -> pa.Array:
    """The column with the values of some games replaced."""
    if not by:
        return column
    values = column.to_pylist()
    for game, value in by.items():
        values[game] = value
    return pa.array(values, column.type)


def tag_hashes(white: pa.Array, black: pa.Array, date: pa.Array) -> U64:
    """What must agree, beside moves and result, for games to be certain duplicates: tidied names and date."""
    parts = [_hashed(white, _name_hash), _hashed(black, _name_hash), _hashed(date, _hash)]
    mixed = np.zeros(len(white), dtype=np.uint64)
    for part in parts:  # FNV-1a's step: the order of the parts counts
        mixed = (mixed ^ part) * np.uint64(0x100000001B3)
    return mixed


def _hashed(column: pa.Array, hash_of: Callable[[str], int]) -> U64:
    encoded = column.dictionary_encode()
    hashes = np.array([hash_of(value) for value in encoded.dictionary.to_pylist()], dtype=np.uint64)
    return hashes[encoded.indices.to_numpy()] if len(hashes) else np.zeros(len(column), dtype=np.uint64)

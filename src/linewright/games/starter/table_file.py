"""How the starter table is stored: its columns of numbers, packed, and how positions are found in them."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass, fields
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import U8, U16, U32, U64, Bools

#: Games that must have come to a position within :data:`PLIES` half-moves for it to be in the table; what one game
#: alone played is that game. Without those of two to four games talks were read worse, by up to 0.016
#: (bench/READING.md).
FEWEST: Final = 2
#: Talks on openings end before; with ten half-moves more the table would have one position in a hundred more.
PLIES: Final = 40
#: Games that a position's replies must have together for scores, years and ratings to be given: fewer they
#: prove nothing (two points of four are a score of 15 to 85 %, Wilson).
FIGURED: Final = 5


@dataclass(frozen=True, slots=True)
class StarterColumns:
    """The table's numbers: P positions, R replies, F replies of positions with :data:`FIGURED` games, S steps, B bands.

    A position's key is that of the position before with some numbers taken out and put in by exclusive or, and the same
    few changes come again and again. So keys needn't be stored: a *step* is a move with its change of the key, and
    every position but the roots is the one that some reply leads to.

    :param counted: all games that were counted, shape (1,).
    :param moves: of the steps, packed (:func:`linewright.games.index.position_keys.unpack_move`), shape (S,).
    :param changes: of the steps, shape (S,).
    :param roots: keys of the first positions, those that no other leads to.
    :param replies: how many each position has, shape (P,); the replies lie one position after another, the most played
        first, then by UCI.
    :param repeats: by how much the replies' games together are more than the games that went on, shape (P,): a game
        that came back and then played another move counts with both.
    :param ended: games whose last move led to the position, shape (P,).
    :param steps: of the replies, shape (R,).
    :param leads: whether the reply leads to the next position behind the roots, in order; eight to a byte.
    :param games: that played the move, shape (R,).
    :param unscored: of them without a result, shape (F,).
    :param halves: the mover's half-points, shape (F,).
    :param first: the first year of a dated game, 0 where none is, shape (F,); ``last`` alike.
    :param band_games: games with both ratings and a result, by :data:`BANDS`, shape (B, F).
    :param band_halves: the mover's half-points in those, shape (B, F).
    """

    counted: U32
    moves: U16
    changes: U64
    roots: U64
    replies: U8
    repeats: U16
    ended: U16
    steps: U16
    leads: U8
    games: U32
    unscored: U16
    halves: U32
    first: U16
    last: U16
    band_games: U32
    band_halves: U32


#: Columns whose bytes lie apart, all lowest ones first: most of their numbers are small, so that they pack better.
_APART: Final = frozenset("games unscored halves first last band_games band_halves".split())


def pack(columns: StarterColumns) -> bytes:
    """The table as a file: a NumPy archive (``.npz``), always the same bytes for the same numbers and packer."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in (field.name for field in fields(StarterColumns)):
            values: npt.NDArray[Any] = getattr(columns, name)
            values = np.ascontiguousarray(values.astype(values.dtype.newbyteorder("<")))
            if name in _APART:
                apart = values.view(np.uint8).reshape(*values.shape, values.dtype.itemsize)
                values = np.ascontiguousarray(np.moveaxis(apart, -1, 0))
            content = io.BytesIO()
            np.lib.format.write_array(content, values, allow_pickle=False)
            # A plain ZipInfo bears no date of today.
            archive.writestr(zipfile.ZipInfo(f"{name}.npy"), content.getvalue(), zipfile.ZIP_DEFLATED, 9)
    return out.getvalue()


class PackedTable:
    """A packed table, whose columns are unpacked one by one as they are asked for."""

    def __init__(self, content: bytes) -> None:
        self._archive = zipfile.ZipFile(io.BytesIO(content))

    def column(self, name: str) -> npt.NDArray[Any]:
        """A column as :class:`StarterColumns` describes it."""
        with self._archive.open(f"{name}.npy") as file:
            values: npt.NDArray[Any] = np.lib.format.read_array(file, allow_pickle=False)
        if name not in _APART:
            return values
        together = np.ascontiguousarray(np.moveaxis(values, 0, -1))
        return together.view(f"<u{len(values)}")[..., 0]

    def leads(self, replies: int) -> Bools:
        """Which of so many replies lead to the next position in order, shape (replies,)."""
        return np.unpackbits(self.column("leads"), count=replies).astype(np.bool_)


def position_keys(roots: U64, replies: U8, leads: Bools, changes: U64) -> U64:
    """The keys of all positions in their order.

    Positions lie by how many steps they are from a root, so that each such level follows from the one before.

    :param roots: as ``replies`` in :class:`StarterColumns`.
    :param leads: shape (R,).
    :param changes: of the replies that lead on, in order.
    :returns: shape (P,).
    """
    before = np.repeat(np.arange(len(replies)), replies)[leads]
    keys = np.empty(len(replies), dtype=np.uint64)
    keys[: len(roots)] = roots
    done = len(roots)
    while done < len(keys):
        until = len(roots) + int(before.searchsorted(done))
        if until == done:
            raise ValueError(f"no reply leads to position {done} of {len(keys)}")
        level = slice(done - len(roots), until - len(roots))
        keys[done:until] = keys[before[level]] ^ changes[level]
        done = until
    return keys

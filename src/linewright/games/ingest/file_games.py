"""The games of a file, read without adding them to a base."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from linewright.games.ingest.file_blocks import pieces
from linewright.games.ingest.game_validation import read_games

#: What is read of a game's tags, by the base's names for them.
_COLUMNS: Final = ("white", "black", "date", "result", "event", "round", "white_rating", "black_rating")
_RESULTS: Final = {2: "1-0", 1: "1/2-1/2", 0: "0-1"}


@dataclass(frozen=True, slots=True)
class FileGame:
    """A game read from a file.

    :param number: its place in the file, from 1; ``moves`` packed.
    :param ratings: White's and Black's, 0 where unknown.
    """

    file: str
    number: int
    white: str
    black: str
    date: str
    result: str
    moves: tuple[int, ...]
    event: str = ""
    round: str = ""
    ratings: tuple[int, int] = (0, 0)

    @property
    def named(self) -> str:
        """Its players, for a heading."""
        return f"{self.white or '?'} – {self.black or '?'}"


def read_game_file(path: Path) -> Iterator[FileGame | str]:
    """The games of a PGN file, packed or plain; for what can't be read the reason, with its place."""
    trouble: list[str] = []
    number = 0
    for name, _, cut in pieces(path, trouble):
        read = read_games(name, cut)
        rows = read.columns.rows(_COLUMNS)
        ends = np.cumsum(read.plies)
        for row, end, plies in zip(rows, ends.tolist(), read.plies.tolist(), strict=True):
            number += 1
            yield FileGame(
                file=str(path),
                number=number,
                white=row["white"],
                black=row["black"],
                date=row["date"],
                result=_RESULTS.get(row["result"], "*"),
                moves=tuple(read.packed[end - plies : end].tolist()),
                event=row["event"],
                round=row["round"],
                ratings=(row["white_rating"] or 0, row["black_rating"] or 0),
            )
        yield from (str(one) for one in read.skipped)
    yield from trouble

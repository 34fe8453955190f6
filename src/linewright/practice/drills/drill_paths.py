"""Which drills lie on the way to which: a line's moves are practised as a line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import chess

from linewright.practice.drills.drill import Drill, Task, key_of


def drill_paths(drills: Iterable[Drill]) -> dict[str, tuple[str, ...]]:
    """For each drill (by id) the drills of the same side that its line comes through, nearest to the start first.

    Playing on is left out: the pupil chooses it, it is never due on a day.
    """
    all_of_them = tuple(drills)
    asked = {(key_of(d.fen), d.side): d.id for d in all_of_them if d.task in (Task.ANSWER, Task.PUNISH)}
    return {drill.id: tuple(_way(drill, asked)) for drill in all_of_them if drill.task is not Task.PLAY}


def _way(drill: Drill, asked: dict[tuple[str, str], str]) -> Iterator[str]:
    board = chess.Board(drill.start)
    for uci in drill.line:
        found = asked.get((key_of(board.fen()), drill.side))
        if found is not None and found != drill.id:
            yield found
        board.push_uci(uci)

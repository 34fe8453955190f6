"""What stood on the stage during a run, replayed from its log: the film shows just that."""

from __future__ import annotations

from dataclasses import replace

import chess

from linewright.lesson.walk import BoardMark, Walk
from linewright.publish.film.shots import FilmScene, Shot, Staged
from linewright.stage.runs import Run, RunEntry, logged_marks, stop_of
from linewright.stage.script import Stop, stops_of


def replay_run(walk: Walk, run: Run, offset: float = 0.0) -> Staged:
    """The scenes of a run, each from the moment at which it stood on the stage: stops gone to (also slips, and what
    was said again), asides move by move and the return from them, marks as they were drawn and wiped, the board
    turned. Lines of the log that can't have happened (a move that isn't legal, a stop that isn't there) change nothing.

    :param walk: as it was on the stage, before it got the run's times.
    :param offset: seconds to add to the run's times, where the recording began at another moment.
    """
    stops = stops_of(walk)
    now = _Replay(walk, stops)
    found = [Shot(offset, now.scene)]
    for entry in run.entries:
        now.take(entry)
        if now.scene != found[-1].scene:
            found.append(Shot(round(entry.t + offset, 3), now.scene))
    return Staged(tuple(found), max(0.0, run.seconds + offset))


class _Replay:
    """The stage while a log is replayed; the rules are those of :mod:`linewright.stage.scene`."""

    def __init__(self, walk: Walk, stops: tuple[Stop, ...]) -> None:
        self.walk, self.stops = walk, stops
        self.scene = FilmScene(0, stops[0].marks)
        self.kept: tuple[BoardMark, ...] = ()
        self.away = False

    def take(self, entry: RunEntry) -> None:
        scene, stop = self.scene, stop_of(entry)
        if stop is not None and 0 <= stop < len(self.stops):
            self.away = False
            self.scene = FilmScene(self.stops[stop].state, self.stops[stop].marks, turned=scene.turned)
        elif entry.do == "aside" and not self.away:
            self.away, self.kept = True, scene.marks
        elif entry.do == "walk" and self.away:
            self.away = False
            self.scene = replace(scene, aside=(), marks=self.kept)
        elif entry.do == "play" and self.away and self._legal(uci := str(entry.values.get("uci", ""))):
            self.scene = replace(scene, aside=(*scene.aside, uci), marks=())
        elif entry.do == "unplay" and self.away:
            self.scene = replace(scene, aside=scene.aside[:-1], marks=())
        elif entry.do == "mark":
            self.scene = replace(scene, marks=logged_marks(entry))
        elif entry.do == "turn":
            self.scene = replace(scene, turned=not scene.turned)

    def _legal(self, uci: str) -> bool:
        board = chess.Board(self.walk.nodes[self.walk.node_after(self.scene.state)].fen)
        for move in self.scene.aside:
            board.push_uci(move)
        try:
            board.parse_uci(uci)
        except ValueError:
            return False
        return True

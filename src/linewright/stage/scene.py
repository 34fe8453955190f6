"""What stands on the stage, and how each act of the trainer changes it. Pure: rooms do the sending and the logging."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.lesson.spoken import figurine, move_number
from linewright.lesson.walk import BoardMark, MoveStep
from linewright.stage.acts import DrawMarks, DrawnMark, GoToStop, HearPosition, PlayMove, PressKey, StageAct
from linewright.stage.runs import SHAPES
from linewright.stage.script import Script, line_shown
from linewright.support.errors import UnusableInput
from linewright.talk.model import Place

#: Stops that a heard move may lie ahead of the board: more is a slip of the ear rather than a leap.
AHEAD: Final = 6
#: Marks on the board at once, and half-moves in an aside: bounds against a page gone wild.
MOST_MARKS, MOST_PLIES = 64, 300


@dataclass(frozen=True, slots=True)
class StageScene:
    """The stage at one moment.

    :param at: the stop.
    :param aside: moves in UCI explored beside the walk, from the stop's position; None on the walk.
    :param marks: marks shown now: those prepared, and those drawn live.
    :param kept: marks that were shown when the aside began, and come back with the walk.
    :param side: ``"white"`` or ``"black"``: whose side is below.
    """

    at: int = 0
    aside: tuple[str, ...] | None = None
    marks: tuple[BoardMark, ...] = ()
    kept: tuple[BoardMark, ...] = ()
    paused: bool = False
    side: str = "white"


def opened(script: Script) -> StageScene:
    """The scene before the first word."""
    return StageScene(marks=script.stops[0].marks, side=script.walk.side or "white")


def after(scene: StageScene, script: Script, act: StageAct) -> StageScene:
    """The scene after an act; the same scene when it changes nothing.

    :raises UnusableInput: for a move that can't be played, or marks that are none.
    """
    match act:
        case PressKey(do=key):
            return _pressed(scene, script, key)
        case GoToStop(to=stop):
            return _stop(scene, script, stop)
        case PlayMove(uci=uci):
            return played(scene, script, uci)
        case HearPosition(fen=fen):
            return heard(scene, script, fen)
        case DrawMarks(marks=marks):
            return replace(scene, marks=board_marks(marks))


def _pressed(scene: StageScene, script: Script, key: str) -> StageScene:
    """After a key of :class:`PressKey`."""
    on_walk = scene.aside is None
    match key:
        case "next":
            return _stop(scene, script, scene.at + 1) if on_walk else _returned(scene)
        case "back":
            if on_walk:
                return _stop(scene, script, scene.at - 1)
            return replace(scene, aside=scene.aside[:-1], marks=()) if scene.aside else scene
        case "aside":
            return replace(scene, aside=(), kept=scene.marks) if on_walk else _returned(scene)
        case "wipe":
            return replace(scene, marks=())
        case "turn":
            return replace(scene, side="white" if scene.side == "black" else "black")
        case _:
            return replace(scene, paused=key == "pause")


def _stop(scene: StageScene, script: Script, at: int) -> StageScene:
    """On the walk, at a stop, with its marks."""
    at = min(max(at, 0), len(script.stops) - 1)
    if at == scene.at and scene.aside is None:
        return scene
    return replace(scene, at=at, aside=None, kept=(), marks=script.stops[at].marks)


def _returned(scene: StageScene) -> StageScene:
    """Back on the walk, exactly as it was left."""
    return replace(scene, aside=None, marks=scene.kept, kept=())


def played(scene: StageScene, script: Script, uci: str) -> StageScene:
    """After a move by hand: the walk's own next move goes on with the walk, any other begins or goes on an aside.

    :raises UnusableInput: when it isn't legal here.
    """
    board = board_of(scene, script)
    try:
        legal = chess.Move.from_uci(uci) in board.legal_moves
    except ValueError:
        legal = False
    if not legal:
        raise UnusableInput(f"{uci[:8]} can't be played here", "The board shows the position again.")
    if scene.aside is None and scene.at + 1 < len(script.stops):
        following = _next_step(script, scene.at)
        here = script.node(scene.at)
        if following and following[1].uci == uci and following[1].parent == here:
            return _stop(scene, script, following[0])
    moves = (*(scene.aside or ()), uci)[:MOST_PLIES]
    return replace(scene, aside=moves, marks=(), kept=scene.marks if scene.aside is None else scene.kept)


def _next_step(script: Script, at: int) -> tuple[int, MoveStep] | None:
    """The next stop with another step, if that is a move."""
    state = script.stops[at].state
    for stop in range(at + 1, len(script.stops)):
        if script.stops[stop].state != state:
            step = script.walk.steps[script.stops[stop].state - 1]
            return (stop, step) if isinstance(step, MoveStep) else None
    return None


def heard(scene: StageScene, script: Script, fen: str) -> StageScene:
    """After the ear has followed the voice to a position: the nearest stop ahead that shows it.

    Only ever forward and never out of an aside: keys overrule the ear, and a position named again in passing takes
    nobody back.
    """
    if scene.aside is not None or scene.paused:
        return scene
    wanted = _key(fen)
    for stop in range(scene.at + 1, min(scene.at + 1 + AHEAD, len(script.stops))):
        changed = script.stops[stop].state != script.stops[scene.at].state
        if changed and _key(script.walk.nodes[script.node(stop)].fen) == wanted:
            return _stop(scene, script, stop)
    return scene


def _key(fen: str) -> str:
    """Placement and side to move."""
    return " ".join(fen.split()[:2])


def board_of(scene: StageScene, script: Script) -> chess.Board:
    """The position on the stage."""
    board = chess.Board(script.walk.nodes[script.node(scene.at)].fen)
    for uci in scene.aside or ():
        board.push_uci(uci)
    return board


def board_marks(drawn: Sequence[DrawnMark]) -> tuple[BoardMark, ...]:
    """Marks drawn on the board.

    :raises UnusableInput: when they have another shape, or squares that are none.
    """
    for mark in drawn:
        if SHAPES.get(mark.shape) != len(mark.squares) or not set(mark.squares) <= set(chess.SQUARE_NAMES):
            raise UnusableInput("these are not marks", "Load the page again.")
    return tuple(BoardMark(mark.shape, mark.squares, 0, Place(1, 1)) for mark in drawn[:MOST_MARKS])


def moves_shown(scene: StageScene, script: Script) -> str:
    """The moves that led to the board, in figurines; those of an aside in brackets."""
    line = line_shown(script.walk, script.node(scene.at))
    return f"{line} ({_aside_shown(scene, script)})".strip() if scene.aside else line


def last_move(scene: StageScene, script: Script) -> str:
    """The last move on the board in UCI, ``""`` for none."""
    if scene.aside is not None:
        return scene.aside[-1] if scene.aside else ""
    return script.walk.nodes[script.node(scene.at)].uci


def _aside_shown(scene: StageScene, script: Script) -> str:
    board = chess.Board(script.walk.nodes[script.node(scene.at)].fen)
    shown = []
    for index, uci in enumerate(scene.aside or ()):
        number = move_number(board.fen()) if index == 0 or board.turn else ""
        move = chess.Move.from_uci(uci)
        shown.append(number + figurine(board.san(move)))
        board.push(move)
    return " ".join(shown)

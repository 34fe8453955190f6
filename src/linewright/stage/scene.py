"""What stands on the stage, and how each act of the trainer changes it. Pure: rooms do the sending and the logging."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

import chess

from linewright.lesson.spoken import figurine, in_words, move_number
from linewright.lesson.walk import BoardMark, MoveStep
from linewright.stage.runs import SHAPES
from linewright.stage.script import Script, line_shown, name_shown
from linewright.support.errors import UnusableInput
from linewright.talk.model import Place

#: Stops that a heard move may lie ahead of the board: more is a slip of the ear rather than a leap.
AHEAD: Final = 6
#: Marks on the board at once, and half-moves in an aside: bounds against a page gone wild.
MOST_MARKS, MOST_PLIES = 64, 300


@dataclass(frozen=True, slots=True)
class Scene:
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


def opened(script: Script) -> Scene:
    """The scene before the first word."""
    return Scene(marks=script.stops[0].marks, side=script.walk.side or "white")


def after(scene: Scene, script: Script, act: dict[str, Any]) -> Scene:
    """The scene after an act; the same scene when it changes nothing.

    Acts (``do``): ``next``, ``back``, ``go`` (``to`` a stop), ``aside`` (into one, or back to the walk), ``play``
    (``uci``), ``heard`` (``fen`` that the ear believes to be on the board), ``mark`` (``marks``), ``wipe``, ``turn``,
    ``pause``, ``on``.

    :raises UnusableInput: for an act that is none, or a move that can't be played.
    """
    match act.get("do"):
        case "next":
            return _stop(scene, script, scene.at + 1) if scene.aside is None else _returned(scene)
        case "back":
            if scene.aside is None:
                return _stop(scene, script, scene.at - 1)
            return replace(scene, aside=scene.aside[:-1], marks=()) if scene.aside else scene
        case "go":
            return _stop(scene, script, act["to"]) if isinstance(act.get("to"), int) else scene
        case "aside":
            return replace(scene, aside=(), kept=scene.marks) if scene.aside is None else _returned(scene)
        case "play":
            return played(scene, script, str(act.get("uci", "")))
        case "heard":
            return heard(scene, script, str(act.get("fen", "")))
        case "mark":
            return replace(scene, marks=marks_of(act.get("marks")))
        case "wipe":
            return replace(scene, marks=())
        case "turn":
            return replace(scene, side="white" if scene.side == "black" else "black")
        case "pause":
            return replace(scene, paused=True)
        case "on":
            return replace(scene, paused=False)
    raise UnusableInput(f"{act.get('do')!r} is nothing that the stage can do", "Load the page again.")


def _stop(scene: Scene, script: Script, at: int) -> Scene:
    """On the walk, at a stop, with its marks."""
    at = min(max(at, 0), len(script.stops) - 1)
    if at == scene.at and scene.aside is None:
        return scene
    return replace(scene, at=at, aside=None, kept=(), marks=script.stops[at].marks)


def _returned(scene: Scene) -> Scene:
    """Back on the walk, exactly as it was left."""
    return replace(scene, aside=None, marks=scene.kept, kept=())


def played(scene: Scene, script: Script, uci: str) -> Scene:
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


def heard(scene: Scene, script: Script, fen: str) -> Scene:
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


def board_of(scene: Scene, script: Script) -> chess.Board:
    """The position on the stage."""
    board = chess.Board(script.walk.nodes[script.node(scene.at)].fen)
    for uci in scene.aside or ():
        board.push_uci(uci)
    return board


def marks_of(rows: Any) -> tuple[BoardMark, ...]:
    """The marks that a page sent.

    :raises UnusableInput: when they are none.
    """
    out = []
    for row in rows if isinstance(rows, list) else [None]:
        shape, squares = (row.get("shape"), row.get("squares")) if isinstance(row, dict) else (None, None)
        if SHAPES.get(str(shape)) != len(squares if isinstance(squares, list) else ()) or any(
            square not in chess.SQUARE_NAMES for square in squares or ()
        ):
            raise UnusableInput("these are not marks", "Load the page again.")
        out.append(BoardMark(str(shape), tuple(squares or ()), 0, Place(1, 1)))
    return tuple(out[:MOST_MARKS])


def view(scene: Scene, script: Script) -> dict[str, Any]:
    """A scene as the pages take it."""
    walk, node = script.walk, script.node(scene.at)
    board = board_of(scene, script)
    line = line_shown(walk, node)
    if scene.aside:
        line = f"{line} ({_aside_shown(scene, script)})".strip()
    last = scene.aside[-1] if scene.aside else "" if scene.aside is not None else walk.nodes[node].uci
    words = in_words(walk.nodes[node].san) if walk.nodes[node].san else ""
    return {
        "at": scene.at,
        "aside": scene.aside is not None,
        "fen": board.fen(),
        "last": last,
        "marks": [{"shape": mark.shape, "squares": list(mark.squares)} for mark in scene.marks],
        "side": scene.side,
        "paused": scene.paused,
        "line": line,
        "name": name_shown(walk, node),
        "words": words,
    }


def _aside_shown(scene: Scene, script: Script) -> str:
    board = chess.Board(script.walk.nodes[script.node(scene.at)].fen)
    shown = []
    for index, uci in enumerate(scene.aside or ()):
        number = move_number(board.fen()) if index == 0 or board.turn else ""
        move = chess.Move.from_uci(uci)
        shown.append(number + figurine(board.san(move)))
        board.push(move)
    return " ".join(shown)

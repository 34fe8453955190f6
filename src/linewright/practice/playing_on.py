"""Playing on from a tabiya against an engine of chosen strength, until a stated goal is reached or missed."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final, TypeVar

import chess
import chess.engine

from linewright.engine.model import Score
from linewright.engine.settings import find
from linewright.engine.signs import logistic
from linewright.practice.drills.drill import Drill, Goal
from linewright.support.closing import Closing
from linewright.support.errors import UnusableInput

#: Strengths that can be chosen, as ratings; engines that can't be held back by rating look at fewer positions instead.
WEAKEST, STRONGEST = 1320, 2800
#: Nodes for a move: a twentieth of a second; and for judging the end.
NODES, JUDGING = 40_000, 200_000
#: Nodes of an engine without a rating option: doubled for each 200 points from the weakest on. From memory: a doubling
#: of an engine's work is worth some 50 to 100 points among engines, more where so little is seen.
FEWEST_NODES, DOUBLING = 30, 200
#: Seconds that a move may take at most.
PATIENCE: Final = 5.0

Answer = TypeVar("Answer")


class GoalState(StrEnum):
    """How playing on stands."""

    ON = "on"
    REACHED = "reached"
    MISSED = "missed"


@dataclass(frozen=True, slots=True)
class PlayedOn:
    """What playing on came to.

    :param reply: the engine's move in UCI; ``""`` where it was not its turn, or the game is over.
    :param left: own moves left to play.
    :param words: a sentence on how it stands.
    """

    reply: str
    state: GoalState
    left: int
    words: str


def replayed(drill: Drill, moves: Sequence[str]) -> chess.Board:
    """The board after moves in UCI from a drill's position, with its stack.

    :raises UnusableInput: for a drill without a goal, and for a move that can't be played.
    """
    if drill.goal is None:
        raise UnusableInput("this drill is not played on", "Choose one that is.")
    if len(moves) > 2 * drill.goal.moves + 2:
        raise UnusableInput(f"{len(moves)} moves are more than the goal needs", "Begin again.")
    board = chess.Board(drill.fen)
    for uci in moves:
        try:
            move = board.parse_uci(uci)
            if not move:
                raise ValueError("a null move")
            board.push(move)
        except ValueError:
            raise UnusableInput(f"the move {uci[:8]!a} can't be played in {board.fen()}", "Begin again.") from None
    return board


def won_man(board: chess.Board, goal: Goal, side: chess.Color) -> bool:
    """Whether the man that stood on the goal's square has been taken by ``side``, wherever it had gone."""
    if not goal.square:
        return False
    at = chess.parse_square(goal.square)
    replay = board.root()
    for move in board.move_stack:
        if replay.turn == side and replay.is_capture(move):
            taken = move.to_square
            if replay.is_en_passant(move):
                taken += -8 if side == chess.WHITE else 8
            if taken == at:
                return True
        if move.from_square == at:
            at = move.to_square
        replay.push(move)
    return False


def decided(board: chess.Board, goal: Goal, side: chess.Color) -> tuple[GoalState, str]:
    """What the board alone decides: a won man, mate, or a game that is over."""
    if won_man(board, goal, side):
        return GoalState.REACHED, f"The pawn from {goal.square} is won."
    outcome = board.outcome(claim_draw=True)
    if outcome is None:
        return GoalState.ON, ""
    if outcome.winner is None:
        return (GoalState.REACHED if goal.least <= 0.5 else GoalState.MISSED), "A draw."
    return (
        (GoalState.REACHED, "Mate: you have won.") if outcome.winner == side else (GoalState.MISSED, "You are mated.")
    )


def own_moves(board: chess.Board, side: chess.Color) -> int:
    """How many moves ``side`` has played since the board's root."""
    first = board.root().turn == side
    count = len(board.move_stack)
    return (count + 1) // 2 if first else count // 2


class Partner(Closing):
    """An engine that plays on, one move at a time. Use it from any thread; close it, or use it as a context manager."""

    def __init__(self, path: Path | None = None) -> None:
        """
        :param path: the engine's program; the first one found unless given.
        :raises UnusableInput: when there is none.
        """
        self._path = find(path)
        self._engine: chess.engine.SimpleEngine | None = None
        self._alone = threading.Lock()

    def close(self) -> None:
        with self._alone:
            self._stop()

    def go_on(self, drill: Drill, moves: Sequence[str], rating: int) -> PlayedOn:
        """The engine's reply to moves played on from a drill's position, and how the goal stands.

        :param rating: the engine's strength, brought between :data:`WEAKEST` and :data:`STRONGEST`.
        :raises UnusableInput: see :func:`replayed`; and when the engine fails twice.
        """
        board = replayed(drill, moves)
        assert drill.goal is not None
        side = drill.side == "white"
        reply = ""
        state, words = decided(board, drill.goal, side)
        if state is GoalState.ON and board.turn != side:
            move = self._reply(board, min(max(rating, WEAKEST), STRONGEST))
            reply = move.uci()
            board.push(move)
            state, words = decided(board, drill.goal, side)
        left = max(0, drill.goal.moves - own_moves(board, side))
        if state is GoalState.ON and left == 0:
            state, words = self._judged(board, drill.goal, side)
        return PlayedOn(reply, state, left, words)

    def _reply(self, board: chess.Board, rating: int) -> chess.Move:
        def ask(engine: chess.engine.SimpleEngine) -> chess.Move | None:
            options: dict[str, int | bool] = {}
            nodes = NODES
            if "UCI_Elo" in engine.options and "UCI_LimitStrength" in engine.options:
                offered = engine.options["UCI_Elo"]
                low, high = offered.min or rating, offered.max or rating
                options = {"UCI_LimitStrength": True, "UCI_Elo": min(max(rating, low), high)}
            else:
                nodes = round(FEWEST_NODES * 2 ** ((rating - WEAKEST) / DOUBLING))
            return engine.play(board, chess.engine.Limit(nodes=nodes, time=PATIENCE), options=options).move

        move = self._asked(ask)
        if move is None or move not in board.legal_moves:
            raise UnusableInput("the engine plays no move", "Begin again.")
        return move

    def _judged(self, board: chess.Board, goal: Goal, side: chess.Color) -> tuple[GoalState, str]:
        def ask(engine: chess.engine.SimpleEngine) -> chess.engine.PovScore | None:
            full = {"UCI_LimitStrength": False} if "UCI_LimitStrength" in engine.options else {}
            limit = chess.engine.Limit(nodes=JUDGING, time=PATIENCE)
            return engine.analyse(board, limit, options=full).get("score")

        score = self._asked(ask)
        if score is None:
            raise UnusableInput("the engine gives no verdict", "Begin again.")
        expects = points(score, side)
        state = GoalState.REACHED if expects >= goal.least else GoalState.MISSED
        return state, f"You stand to score {expects:.0%} from here; {goal.least:.0%} was asked for."

    def _asked(self, ask: Callable[[chess.engine.SimpleEngine], Answer]) -> Answer:
        """Ask the engine; restart it once when it has failed."""
        with self._alone:
            for _ in range(2):
                try:
                    if self._engine is None:
                        self._engine = chess.engine.SimpleEngine.popen_uci(str(self._path), timeout=2 * PATIENCE)
                    return ask(self._engine)
                except (chess.engine.EngineError, OSError, TimeoutError):
                    self._stop()
            raise UnusableInput(f"the engine {self._path.name} does not answer", "Try again, or name another engine.")

    def _stop(self) -> None:
        if self._engine is not None:
            self._engine.close()
            self._engine = None


def points(score: chess.engine.PovScore, side: chess.Color) -> float:
    """The expected score (0-1) of ``side``, by :func:`linewright.engine.signs.logistic`."""
    white = score.white()
    mate = white.mate()
    if mate == 0:
        expects = 0.0 if score.turn == chess.WHITE else 1.0
    else:
        expects = logistic(Score(mate=mate) if mate is not None else Score(centipawns=white.score()))
    return expects if side == chess.WHITE else 1 - expects

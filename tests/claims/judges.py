"""Doubles of an engine's judge: verdicts by line of moves, in centipawns from White's side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import chess

from linewright.claims.engine_questions import Judge, Question
from linewright.engine.model import EngineVerdict, Line, Score


class ScriptedJudge:
    """``{line: (centipawns, best moves in SAN)}``; each further move is a tenth of a pawn worse. Everything else is
    level, with the first legal move in alphabetical order."""

    def __init__(self, verdicts: Mapping[str, tuple[int, str]] | None = None) -> None:
        self._verdicts: dict[str, EngineVerdict] = {}
        self.asked: list[tuple[Question, ...]] = []
        for line, (centipawns, best) in (verdicts or {}).items():
            board = played(line)
            worse = -10 if board.turn else 10
            lines = tuple(
                Line(Score(centipawns + worse * place), None, (board.parse_san(san).uci(),))
                for place, san in enumerate(best.split())
            )
            self._verdicts[board.epd()] = EngineVerdict(board.epd(), lines, "Scripted", 2_000_000, 20)

    def __call__(self, questions: Sequence[Question]) -> Mapping[str, EngineVerdict]:
        self.asked.append(tuple(questions))
        return {q.board.epd(): self._verdicts.get(q.board.epd()) or level(q.board) for q in questions}


def level(board: chess.Board) -> EngineVerdict:
    """A verdict of 0.0."""
    first = min((move.uci() for move in board.legal_moves), default="0000")
    return EngineVerdict(board.epd(), (Line(Score(0), None, (first,)),), "Scripted", 2_000_000, 20)


def played(line: str) -> chess.Board:
    board = chess.Board()
    for san in line.split():
        board.push_san(san)
    return board


_: Judge = ScriptedJudge()

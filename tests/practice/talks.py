"""Small talks made into walks without the reader, and small sets of games."""

from __future__ import annotations

import chess

from linewright.games.api import Replies, Reply, wilson_interval
from linewright.lesson.walk import MoveStep, ReturnStep, Step, Walk
from linewright.practice.drills.drill import key_of
from tests.support import plain_talk, said

NAGS = {"!": 1, "?": 2, "!!": 3, "??": 4, "!?": 5, "?!": 6}


class Few:
    """Games by position key: for each move its games and points for the side to move."""

    def __init__(self, rows: dict[str, dict[str, tuple[int, float]]]) -> None:
        self.rows = rows

    def replies(self, board: chess.Board) -> Replies | None:
        row = self.rows.get(key_of(board.fen()))
        return replies(board, row) if row else None


def replies(board: chess.Board, row: dict[str, tuple[int, float]]) -> Replies:
    total = sum(games for games, _ in row.values())
    found = []
    for san, (games, points) in row.items():
        low, high = wilson_interval(points, games)
        uci = board.parse_san(san).uci()
        found.append(Reply(uci, san, games, games / total, points / games, low, high, None, None, games))
    return Replies(board.fen(), total, tuple(sorted(found, key=lambda r: -r.games)))


def told(text: str, side: str = "white") -> Walk:
    """A walk read off written moves: ``(`` goes back before the last move, ``)`` to where it was left."""
    talk = plain_talk(text)
    boards: list[chess.Board] = [chess.Board()]
    children: list[dict[str, int]] = [{}]
    steps: list[Step] = []
    at, before = 0, {0: 0}
    stack: list[int] = []
    for index, word in enumerate(talk.words):
        bare = word.text.strip("().,;:!?")
        if "(" in word.text:
            stack.append(at)
            at = before[at]
            steps.append(ReturnStep(said(talk, word.at[0], word.at[0]), boards[at].fen(), at))
        board = boards[at].copy()
        try:
            move = board.parse_san(bare)
        except ValueError:
            move = None
        if move is not None:
            fen, san = board.fen(), board.san_and_push(move)
            node = children[at].setdefault(move.uci(), len(boards))
            if node == len(boards):
                boards.append(board)
                children.append({})
                before[node] = at
            signs = word.text.strip("().,;:")[len(bare) :]
            nag = NAGS.get(signs)
            steps.append(MoveStep(said(talk, *word.at), san, move.uci(), fen, board.fen(), at, node, nag=nag))
            at = node
        if ")" in word.text:
            at = stack.pop()
            where = talk.words[index].at[1]
            steps.append(ReturnStep(said(talk, where, where), boards[at].fen(), at))
    return Walk(talk, tuple(steps), side=side)


def after(moves: str) -> str:
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    return board.fen()

"""Where the moves come from: replies with their counts, and lines drawn from them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from pathlib import Path
from random import Random
from typing import Protocol

import chess
import chess.pgn
import chess.polyglot

#: Below this many games a position counts as off the book (games).
FEW_GAMES = 3
#: Rare replies are drawn a little oftener than they are played, so that talks differ (exponent on the counts).
EVENNESS = 0.75
#: Moves off the book at the end of a line (plies); a refutation needs a few more.
OFF_BOOK, REFUTING = 2, 4
VALUES = {chess.PAWN: 1, chess.KNIGHT: 3, chess.BISHOP: 3, chess.ROOK: 5, chess.QUEEN: 9, chess.KING: 0}


class Source(Protocol):
    """Replies by UCI move with the number of games in which they were played."""

    def replies(self, board: chess.Board) -> dict[str, int]: ...


class BaseLines:
    """Replies from a Linewright games base."""

    def __init__(self, path: Path) -> None:
        from linewright.games.api import GamesBase

        self._base = GamesBase.open(path)
        self._known: dict[int, dict[str, int]] = {}

    def replies(self, board: chess.Board) -> dict[str, int]:
        key = chess.polyglot.zobrist_hash(board)
        if key not in self._known:
            played = self._base.moves_played([key]).get(key, {})
            self._known[key] = {u: n for u, n in played.items() if chess.Move.from_uci(u) in board.legal_moves}
        return self._known[key]


class GameLines:
    """Replies counted in a few games, for machines without a base."""

    def __init__(self, games: Iterable[chess.pgn.Game], plies: int = 30) -> None:
        self._played: dict[int, Counter[str]] = defaultdict(Counter)
        for game in games:
            board = game.board()
            for move in list(game.mainline_moves())[:plies]:
                self._played[chess.polyglot.zobrist_hash(board)][move.uci()] += 1
                board.push(move)

    @classmethod
    def read(cls, path: Path, most: int = 400) -> GameLines:
        games = []
        with path.open(encoding="utf-8") as file:
            while len(games) < most and (game := chess.pgn.read_game(file)):
                games.append(game)
        return cls(games)

    def replies(self, board: chess.Board) -> dict[str, int]:
        return dict(self._played.get(chess.polyglot.zobrist_hash(board), {}))


def draw(rng: Random, replies: dict[str, int]) -> chess.Move:
    names = sorted(replies)
    return chess.Move.from_uci(rng.choices(names, [replies[n] ** EVENNESS for n in names])[0])


def unusual(rng: Random, source: Source, board: chess.Board) -> chess.Move | None:
    """A legal move that hardly anybody plays here, rather a capture, a check or a piece that attacks something."""
    played = source.replies(board)
    rare = [m for m in board.legal_moves if played.get(m.uci(), 0) < FEW_GAMES and not m.promotion]
    rare.sort(key=lambda m: m.uci())
    if not rare:
        return None
    return rng.choices(rare, [1 + 4 * board.is_capture(m) + 3 * board.gives_check(m) for m in rare])[0]


def sensible(rng: Random, board: chess.Board) -> chess.Move | None:
    """Off the book: takes what is loose, otherwise any move that leaves nothing loose where it lands."""
    legal = sorted(board.legal_moves, key=lambda m: m.uci())
    if not legal:
        return None

    def gain(move: chess.Move) -> float:
        taken = 1 if board.is_en_passant(move) else VALUES.get(board.piece_type_at(move.to_square) or 0, 0)
        mover = VALUES[board.piece_type_at(move.from_square) or chess.PAWN]
        risk = mover if board.is_attacked_by(not board.turn, move.to_square) else 0
        castles = 0.8 * board.is_castling(move)
        shuffle = 0.7 * (board.piece_type_at(move.from_square) in (chess.KING, chess.ROOK) and not castles)
        return taken - risk + castles - shuffle + rng.random()

    return max(legal, key=gain)


def line_from(
    rng: Random, source: Source, board: chess.Board, plies: int, first: chess.Move | None
) -> list[chess.Move]:
    """Up to ``plies`` moves from ``board``, beginning with ``first``; off the book it goes on for a few moves only."""
    board = board.copy(stack=False)
    out: list[chess.Move] = []
    off = 0
    most = REFUTING if first and source.replies(board).get(first.uci(), 0) < FEW_GAMES else OFF_BOOK
    while len(out) < plies and not board.is_game_over():
        move = first if not out and first else None
        if move is None:
            replies = source.replies(board)
            if sum(replies.values()) >= FEW_GAMES:
                move = draw(rng, replies)
            else:
                off += 1
                move = sensible(rng, board)
        if move is None or off > most:
            break
        out.append(move)
        board.push(move)
    return out

"""A games base's double: replies and games counted in memory from a few games in SAN."""

from __future__ import annotations

from dataclasses import dataclass

import chess

from linewright.games.api import GameRow, Order, Replies, Reply, wilson_interval

HALF_POINTS = {"1-0": 2, "1/2-1/2": 1, "0-1": 0}


@dataclass(frozen=True)
class FewGames:
    """Games as ``(moves in SAN, result)``; moves shown from a position as the real base does, a few at a time."""

    rows: tuple[tuple[str, str], ...]
    following: int = 3

    def replies(self, position: chess.Board) -> Replies:
        counts: dict[str, list[int]] = {}
        for moves, result in self.rows:
            at = self._reached(moves, position)
            rest = moves.split()[at:] if at is not None else []
            if rest:
                points = HALF_POINTS[result]
                counts.setdefault(rest[0], []).append(points if position.turn else 2 - points)
        total = sum(map(len, counts.values()))
        found = []
        for san, points in counts.items():
            low, high = wilson_interval(sum(points) / 2, len(points))
            uci = position.parse_san(san).uci()
            score = sum(points) / 2 / len(points)
            found.append(Reply(uci, san, len(points), len(points) / total, score, low, high, None, None, len(points)))
        return Replies(position.fen(), total, tuple(sorted(found, key=lambda r: (-r.games, r.uci))))

    def games(self, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]:
        found = []
        for number, (moves, result) in enumerate(self.rows):
            at = self._reached(moves, position)
            if at is not None:
                plies = moves.split()
                found.append(
                    GameRow(
                        *(number, "Lind, Anna", "Novak, Jan", 2000, 2000, result, "1998.??.??", 1998, "Harbour Open"),
                        *("?", "1", "C45", len(plies), at, tuple(plies[at : at + self.following]), "few.pgn"),
                    )
                )
        return tuple(found[:limit])

    def moves(self, game: int) -> tuple[str, ...]:
        board, found = chess.Board(), []
        for san in self.rows[game][0].split():
            found.append(board.push_san(san).uci())
        return tuple(found)

    def _reached(self, moves: str, position: chess.Board) -> int | None:
        board = chess.Board()
        for ply, san in enumerate([*moves.split(), ""]):
            if board.epd() == position.epd():
                return ply
            if san:
                board.push_san(san)
        return None

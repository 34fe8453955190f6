"""A sense of moves: how likely each legal move is where no game tells.

A log-linear model of what is seen of a move at a glance; its weights, in nats, stand in ``sense.json`` and are fitted
on real games by ``bench/fit_sense.py``.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

import chess

from linewright.reading.search.legal import Legal, reach

FILE = Path(__file__).with_name("move_prior.json")

#: What the pieces are worth, in pawns, common practice; a king is worth more than all.
WORTH = {"P": 1, "N": 3, "B": 3, "R": 5, "Q": 9, "K": 50, "": 0}
_LETTERS = " PNBRQK"
#: Gains and losses beyond so many pawns are alike.
MUCH = 5


class _Names(NamedTuple):
    """The names of what is seen of one piece's moves: by square, by square, by the kind of what it hits."""

    to: tuple[str, ...]
    origin: tuple[str, ...]
    hits: tuple[str, ...]


_NAMES = {
    piece: _Names(
        tuple(f"{piece} to {square}" for square in chess.SQUARE_NAMES),
        tuple(f"{piece} from {square}" for square in chess.SQUARE_NAMES),
        tuple(f"{piece} hits {victim}" for victim in _LETTERS),
    )
    for piece in "PNBRQK"
}
_DANGERS = tuple(f"leaves danger {worth}" for worth in range(MUCH + 1))


@cache
def load() -> dict[str, float]:
    """The weights as they ship."""
    table: dict[str, float] = json.loads(FILE.read_text("utf-8"))
    return table


def chances(board: chess.Board, moves: Sequence[Legal], last: Legal | None) -> dict[str, float]:
    """Probability of each legal move, by UCI.

    :param last: the move that led to the position, if it is known.
    """
    table, glance = load(), Glance(board, last)
    weights = {m.uci: math.exp(sum([table.get(name, 0.0) for name in glance.seen(m)])) for m in moves}
    total = sum(weights.values()) or 1.0
    return {uci: weight / total for uci, weight in weights.items()}


class Glance:
    """What is seen of the moves of one position."""

    def __init__(self, board: chess.Board, last: Legal | None) -> None:
        self.board = board
        self.last = last
        self._contests: dict[int, tuple[int, int]] = {}

    def seen(self, legal: Legal) -> list[str]:
        """Names of what is seen of a legal move; each has a weight."""
        if legal.castles:
            return ["castles " + legal.castles]
        turn, piece = 0 if self.board.turn else 56, legal.piece
        names = _NAMES[piece]
        out = [names.to[legal.move.to_square ^ turn], names.origin[legal.move.from_square ^ turn]]
        if legal.promotion:
            out.append("promotes to " + legal.promotion)
        if self.last is not None and self.last.to == legal.to and legal.capture:
            out.append("takes back" if self.last.capture else "takes what just moved")
        if exchange := self._exchange(legal):
            out.append(exchange)
        self._hits(legal, names.hits, out)
        danger = self._danger(legal.move.from_square, piece)
        if danger > 0:
            out.append(_DANGERS[min(MUCH, danger)])
        return out

    def _exchange(self, legal: Legal) -> str:
        """What the move wins or loses on its square, by the cheapest piece that can take there; "" for nothing."""
        cheapest, guards = self._contest(legal.move.to_square)
        if not cheapest:
            return "wins " + legal.victim if legal.capture else ""
        if legal.piece != "P" or legal.capture:
            guards -= 1  # the piece itself looked at the square
        risk = WORTH[legal.piece] - WORTH[legal.victim]
        if guards > 0:
            risk -= cheapest
        if risk > 0:
            return f"{'capture' if legal.capture else 'move'} loses {min(MUCH, risk)}"
        return "exchanges " + legal.victim if legal.capture else "contested square"

    def _danger(self, square: int, piece: str) -> int:
        """Pawns that the piece would lose by staying on its square, as far as a glance shows."""
        cheapest, guards = self._contest(square)
        if not cheapest or piece == "K":
            return 0
        return WORTH[piece] - cheapest if guards else WORTH[piece]

    def _contest(self, square: int) -> tuple[int, int]:
        """Worth in pawns of the cheapest enemy piece that looks at a square (0: none does), and how many of the
        mover's own look at it."""
        known = self._contests.get(square)
        if known is None:
            board, us = self.board, self.board.turn
            attackers = board.attackers_mask(not us, square)
            guards = board.attackers_mask(us, square).bit_count() if attackers else 0
            known = self._contests[square] = (self._cheapest(attackers), guards)
        return known

    def _cheapest(self, attackers: int) -> int:
        """Worth of the cheapest of these pieces, in pawns; 0 for none."""
        board = self.board
        if attackers & board.pawns:
            return WORTH["P"]
        return min((WORTH[_LETTERS[board.piece_type_at(s) or 0]] for s in chess.scan_forward(attackers)), default=0)

    def _hits(self, legal: Legal, names: Sequence[str], out: list[str]) -> None:
        """Adds the kinds of enemy pieces, pawns left out, that the moved piece attacks from its new square."""
        board, to = self.board, legal.move.to_square
        occupied = board.occupied & ~chess.BB_SQUARES[legal.move.from_square]
        hit = reach(legal.piece, board.turn, to, occupied) & board.occupied_co[not board.turn] & ~board.pawns
        while hit:
            kind = board.piece_type_at(chess.msb(hit)) or 0
            out.append(names[kind])
            hit &= ~board.pieces_mask(kind, not board.turn)

"""A legal move, taken apart into what words may say of it."""

from __future__ import annotations

from dataclasses import dataclass

import chess


@dataclass(frozen=True, slots=True)
class Legal:
    """A legal move, with what a phrase may say of it."""

    move: chess.Move
    uci: str
    piece: str
    origin: str
    to: str
    capture: bool
    victim: str
    castles: str
    promotion: str

"""A legal move, taken apart into what words may say of it."""

from __future__ import annotations

from typing import NamedTuple

import chess


class Legal(NamedTuple):
    """A legal move, with what a phrase may say of it. (A tuple: a reading makes tens of thousands.)"""

    move: chess.Move
    uci: str
    piece: str
    origin: str
    to: str
    capture: bool
    victim: str
    castles: str
    promotion: str

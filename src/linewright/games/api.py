"""The games base: adding games, and asking what is played from a position."""

from __future__ import annotations

from linewright.games.query.open_base import Base, add, position_key, wilson

__all__ = ["Base", "add", "position_key", "wilson"]

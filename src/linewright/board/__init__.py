"""What a position shows: pawn structure, files, centre, development, squares, kings, tactics, threats.

The door is :func:`show`, which gives everything as :class:`Features`; the modules answer single questions.
"""

from __future__ import annotations

from linewright.board.feature import Feature, Features, Topic
from linewright.board.summary import show

__all__ = ["Feature", "Features", "Topic", "show"]

"""UCI engines: sessions, budgets, remembered verdicts, and how a score is shown.

The door is :class:`Engine` (a running engine) with :class:`VerdictMemory`; ``signs`` turns verdicts into words.
"""

from __future__ import annotations

from linewright.engine.model import EngineTrouble, EngineVerdict, Line, Score, WinDrawLoss
from linewright.engine.session import Engine
from linewright.engine.settings import EngineSettings
from linewright.engine.verdict_memory import VerdictMemory

__all__ = [
    "Engine",
    "EngineSettings",
    "EngineTrouble",
    "EngineVerdict",
    "Line",
    "Score",
    "VerdictMemory",
    "WinDrawLoss",
]

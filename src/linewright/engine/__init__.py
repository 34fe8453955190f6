"""UCI engines: sessions, budgets, remembered verdicts, and how a score is shown."""

from __future__ import annotations

from linewright.engine.model import EngineTrouble, Expectation, Line, Score, Verdict
from linewright.engine.session import Engine
from linewright.engine.settings import EngineSettings
from linewright.engine.verdict_memory import Memory

__all__ = ["Engine", "EngineSettings", "EngineTrouble", "Expectation", "Line", "Memory", "Score", "Verdict"]

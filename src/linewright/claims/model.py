"""Findings, re-exported where they are made; they live in ``lesson`` because all that is published shows them."""

from __future__ import annotations

from linewright.lesson.finding import TROUBLES, UNASKED, Finding, GameRef, Kind, Verdict

__all__ = ["TROUBLES", "UNASKED", "Finding", "GameRef", "Kind", "Verdict"]

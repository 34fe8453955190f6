"""Findings as lines that editors can jump by."""

from __future__ import annotations

from linewright.lesson.finding import TROUBLES, UNASKED, Finding


def finding_line(source: str, finding: Finding) -> str:
    """``file:line:column: kind verdict: words — evidence``, on one line; only claims have a verdict."""
    place = finding.said.place
    words = " ".join(finding.said.words.split())
    evidence = " ".join(finding.evidence.split())
    what = finding.kind if finding.kind in TROUBLES | UNASKED else f"{finding.kind} {finding.verdict}"
    return f"{source}:{place.line}:{place.column}: {what}: {words} — {evidence}"

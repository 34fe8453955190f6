"""Findings as lines that editors can jump by."""

from __future__ import annotations

from linewright.claims.model import Finding


def finding_line(source: str, finding: Finding) -> str:
    """``file:line:column: kind verdict: words — evidence``, on one line."""
    place = finding.said.place
    words = " ".join(finding.said.words.split())
    evidence = " ".join(finding.evidence.split())
    return f"{source}:{place.line}:{place.column}: {finding.kind} {finding.verdict}: {words} — {evidence}"

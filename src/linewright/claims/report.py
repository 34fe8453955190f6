"""The JSON of a reading: moves, returns, claims and unread words, with one stable schema (docs/scripting.md)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linewright.claims.ranking import ranks
from linewright.lesson.finding import TROUBLES, UNASKED, Finding
from linewright.lesson.walk import Said, Walk

#: Findings that are no claims of the talk.
_NO_CLAIMS = TROUBLES | UNASKED


def reading_json(walk: Walk, findings: Sequence[Finding] = ()) -> dict[str, Any]:
    """A walk and its findings as plain data; ``start`` and ``end`` count what ``unit`` says."""
    opening = walk.opening
    return {
        "title": walk.title,
        "source": walk.talk.source,
        "unit": str(walk.talk.unit),
        "opening": {"eco": opening.eco, "name": opening.name} if opening else None,
        "start": walk.start,
        "side": walk.side or None,
        "moves": [
            {
                "san": move.san,
                "uci": move.uci,
                "before": move.before,
                "after": move.after,
                **_said(move.said),
                "sure": round(move.sure, 3),
                "instead": [{"san": a.san, "sure": round(a.sure, 3)} for a in move.instead],
            }
            for move in walk.moves
        ],
        "returns": [{"to": r.to, **_said(r.said)} for r in walk.returns],
        "claims": [finding_json(f) for f in findings if f.kind not in _NO_CLAIMS],
        "unread": [{**_said(u.said), "why": u.why, "further": u.further} for u in walk.unread],
    }


def check_json(walk: Walk, findings: Sequence[Finding]) -> dict[str, Any]:
    """The findings of a check as plain data, by place; ``rank`` is their order of seriousness, from 1 on, and ``met``
    how often a pupil meets the position (see :class:`~linewright.lesson.finding.Finding`)."""
    return {
        "source": walk.talk.source,
        "findings": [
            {**finding_json(finding), "rank": rank, "met": round(finding.met, 4), "remark": finding.remark}
            for finding, rank in zip(findings, ranks(findings), strict=True)
        ],
    }


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as plain data."""
    return {
        "kind": str(finding.kind),
        "verdict": str(finding.verdict),
        **_said(finding.said),
        "line": finding.said.place.line,
        "column": finding.said.place.column,
        "before": finding.before,
        "evidence": finding.evidence,
    }


def _said(said: Said) -> dict[str, Any]:
    return {"words": said.words, "start": said.start, "end": said.end}

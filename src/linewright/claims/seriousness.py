"""Which findings a trainer should read first.

What may change a pupil's result comes before what is only said wrongly; what is wrong before what is in doubt; among
equals, what comes first in the talk. The order is our choice and stands here only.
"""

from __future__ import annotations

from collections.abc import Sequence

from linewright.claims.model import Finding, Kind, Verdict

#: So many are shown before the others.
FIRST = 5

#: Wrong or missing, most serious first: the pupil loses a game; the record of the lesson is wrong; the pupil meets
#: what was never shown; then what was said of the games and the position.
_WRONG = (
    Kind.PRAISE, Kind.REFUTATION, Kind.TACTIC, Kind.ASSESSMENT, Kind.UNREAD, Kind.REPLY, Kind.QUOTE, Kind.FREQUENCY,
    Kind.TRANSPOSITION, Kind.REPETITION, Kind.MATERIAL, Kind.KING, Kind.STRUCTURE, Kind.FILES, Kind.DEVELOPMENT,
    Kind.CENTRE, Kind.BRANCH, Kind.UNSURE,
)  # fmt: skip
#: Open by nature, but found by looking: as serious as their place above says.
_FOUND = frozenset({Kind.UNREAD, Kind.REPLY, Kind.REFUTATION, Kind.BRANCH})


def seriousness(finding: Finding) -> tuple[int, int, int]:
    """Sorts findings, most serious first."""
    if finding.verdict is Verdict.FAILS or finding.kind in _FOUND:
        grade = 0
    elif finding.verdict is Verdict.OPEN:
        grade = 1
    else:
        grade = 2
    return grade, _WRONG.index(finding.kind), finding.said.first


def by_seriousness(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, most serious first."""
    return tuple(sorted(findings, key=seriousness))


def most_serious(findings: Sequence[Finding], count: int = FIRST) -> tuple[Finding, ...]:
    """The most serious of the findings that are wrong or missing; those that are only open or hold aren't serious."""
    return tuple(f for f in by_seriousness(findings) if seriousness(f)[0] == 0 and f.kind is not Kind.BRANCH)[:count]

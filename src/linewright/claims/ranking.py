"""Which findings a trainer should read first.

1. What is wrong or missing, before what is only in doubt, before what holds, before what no rule reads.
2. What may cost a pupil the game, before what he meets unprepared, before what is said wrongly of games and Laws,
   before what is said wrongly of the look of a position. What couldn't be read comes after them: it is no error of the
   talk's, and settling it (``read --ask``) is another job.
3. Among equals, what more pupils meet; then the kinds as listed; then what comes first in the talk.

The order is our choice and stands here only.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log2

from linewright.lesson.finding import TROUBLES, UNASKED, Finding, Kind, Verdict

#: So many are shown before the others.
FIRST = 5

#: The steps of 2., most serious first.
_STEPS: tuple[tuple[Kind, ...], ...] = (
    (Kind.PRAISE, Kind.REFUTATION, Kind.TACTIC, Kind.ASSESSMENT),
    (Kind.REPLY,),
    (Kind.QUOTE, Kind.FREQUENCY, Kind.TRANSPOSITION, Kind.REPETITION),
    (Kind.MATERIAL, Kind.KING, Kind.STRUCTURE, Kind.FILES, Kind.DEVELOPMENT, Kind.CENTRE),
    (Kind.UNREAD,),
    (Kind.BRANCH, Kind.FINISH),
    (Kind.UNSURE,),
)
_PLACES = {kind: (step, place) for step, kinds in enumerate(_STEPS) for place, kind in enumerate(kinds)}
#: Open by their nature, and yet wrong or missing.
_MISSING = frozenset({Kind.REPLY, Kind.REFUTATION, Kind.UNREAD})


def is_serious(finding: Finding) -> bool:
    """Whether something is wrong or missing."""
    return finding.verdict is Verdict.FAILS or finding.kind in _MISSING


def seriousness(finding: Finding) -> tuple[int, int, int, int, int]:
    """Sorts findings, most serious first; see the module's text."""
    grade = 0 if is_serious(finding) else 3 if finding.remark else 1 if finding.verdict is Verdict.UNDECIDED else 2
    step, place = _PLACES[finding.kind]
    return grade, step, _rarity(finding.met), place, finding.said.first


def _rarity(met: float) -> int:
    """How seldom a position is met, in halvings: a difference of less than a half isn't worth telling apart."""
    return floor(-log2(max(met, 1e-9)))


def by_seriousness(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, most serious first."""
    return tuple(sorted(findings, key=seriousness))


def most_serious(findings: Sequence[Finding], count: int = FIRST) -> tuple[Finding, ...]:
    """The most serious of the findings that are wrong or missing."""
    return tuple(f for f in by_seriousness(findings) if is_serious(f))[:count]


def ranks(findings: Sequence[Finding]) -> tuple[int, ...]:
    """For each finding its place in the order of seriousness, from 1 on."""
    order = sorted(range(len(findings)), key=lambda index: seriousness(findings[index]))
    places = [0] * len(findings)
    for rank, index in enumerate(order, 1):
        places[index] = rank
    return tuple(places)


#: Headings of a check's groups, in order.
_HEADINGS = (
    "Also wrong",
    "Not mentioned",
    "Unread",
    "Undecided",
    "Unsure",
    "Holds",
    "Perhaps a claim",
)


def grouped(findings: Sequence[Finding]) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """All findings under headings for reading: the most serious first, then the rest in groups, each in the order
    given. Empty groups are left out."""
    first = most_serious(findings)
    rest = [f for f in findings if f not in first]
    groups = [("Most serious", first), *((h, tuple(f for f in rest if _heading(f) == h)) for h in _HEADINGS)]
    return tuple((heading, group) for heading, group in groups if group)


def _heading(finding: Finding) -> str:
    if finding.remark:
        return "Perhaps a claim"
    if finding.verdict is Verdict.FAILS:
        return "Also wrong"
    if finding.kind in UNASKED:
        return "Not mentioned"
    if finding.kind in TROUBLES:
        return "Unread" if finding.kind is Kind.UNREAD else "Unsure"
    return "Holds" if finding.verdict is Verdict.HOLDS else "Undecided"

"""Which findings are shown unless all are asked for: a few, the most serious first, and only what calls for action.

A finding's weight is how wrong x how sure x how often pupils meet it; plain errors and what is missing come before
matters of move order, whatever the weights. What holds or stays undecided is shown only where there are few findings
in all; remarks never are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from linewright.claims.ranking import is_serious
from linewright.lesson.finding import TROUBLES, Finding, Kind, Verdict

#: Findings shown of a talk: what can be worked through before a recording (our choice).
MOST: Final = 12
#: Of these at most so many doubts about moves: settling them is another job (``read --ask``).
MOST_DOUBTS: Final = 3
#: How wrong a kind is, 0-1: what may cost a pupil the game, before what he meets unprepared, before what is said
#: wrongly of games, before the look of a position (our choice; the order is that of ``ranking``).
HOW_WRONG: Final = {
    Kind.PRAISE: 1.0,
    Kind.REFUTATION: 0.9,
    Kind.TACTIC: 0.9,
    Kind.ASSESSMENT: 0.9,
    Kind.REPLY: 0.7,
    Kind.QUOTE: 0.6,
    Kind.FREQUENCY: 0.6,
    Kind.TRANSPOSITION: 0.5,
    Kind.REPETITION: 0.5,
    Kind.UNREAD: 0.4,
}
#: All other kinds.
ELSE_WRONG: Final = 0.5
#: A position that pupils meet more seldom than this counts as one met so often: an error deep in a line stays one.
SELDOM: Final = 0.05
#: Move order and endings of games: worth a line where nothing plainer is left.
_SUBTLE: Final = frozenset({Kind.BRANCH, Kind.FINISH})


@dataclass(frozen=True, slots=True)
class Selection:
    """What is shown of a check, and what isn't.

    :param shown: most serious first.
    :param left_out: the others, by place.
    """

    shown: tuple[Finding, ...]
    left_out: tuple[Finding, ...]


def weigh_finding(finding: Finding, certainty: float) -> float:
    """How wrong x how sure x how often pupils meet it, each 0-1.

    :param certainty: of the board it speaks of, see :meth:`linewright.lesson.walk.Walk.certainty`.
    """
    return HOW_WRONG.get(finding.kind, ELSE_WRONG) * certainty * max(finding.met, SELDOM)


def select_findings(findings: Sequence[Finding], certainty: Callable[[int], float], most: int = MOST) -> Selection:
    """The findings shown by default.

    :param certainty: by the number of steps done.
    """

    def order(finding: Finding) -> tuple[bool, float, int]:
        return finding.kind in _SUBTLE, -weigh_finding(finding, certainty(finding.step)), finding.said.first

    ruled = [finding for finding in findings if not finding.remark]
    if len(ruled) <= most:
        shown = sorted(ruled, key=order)
    else:
        doubts = [finding for finding in ruled if finding.kind is Kind.UNSURE][:MOST_DOUBTS]
        worth = sorted((finding for finding in ruled if _is_worth_showing(finding)), key=order)
        shown = [*worth[: most - len(doubts)], *doubts]
    return Selection(tuple(shown), tuple(finding for finding in findings if finding not in shown))


def _is_worth_showing(finding: Finding) -> bool:
    """Whether it asks for something: an error, an omission, words that couldn't be read."""
    return finding.kind is not Kind.UNSURE and (is_serious(finding) or finding.kind in _SUBTLE)


def _has_verdict(verdict: Verdict) -> Callable[[Finding], bool]:
    return lambda finding: finding.verdict is verdict and finding.kind not in TROUBLES


#: What ``--only`` takes beside the kinds: verdicts, and groups of kinds.
_GROUPS: Final[dict[str, Callable[[Finding], bool]]] = {
    **{str(verdict): _has_verdict(verdict) for verdict in Verdict},
    "remarks": lambda f: f.remark,
    "missing": lambda f: f.kind in (Kind.REPLY, Kind.REFUTATION, Kind.BRANCH, Kind.FINISH),
}


def filter_findings(findings: Sequence[Finding], names: Sequence[str]) -> tuple[Finding, ...]:
    """The findings of some kinds or verdicts.

    :param names: as in ``fails,quote``; a kind's plural will do.
    :raises ValueError: for a name that is none; its words say which there are.
    """
    tests = [_test_of(name) for name in names]
    return tuple(finding for finding in findings if any(test(finding) for test in tests))


def _test_of(name: str) -> Callable[[Finding], bool]:
    word = name.strip().lower()
    if word in _GROUPS:
        return _GROUPS[word]
    kinds = [kind for kind in Kind if word in (kind, f"{kind}s", f"{str(kind).removesuffix('y')}ies")]
    if not kinds:
        raise ValueError(f"“{name}” is none of: {', '.join([*_GROUPS, *map(str, Kind)])}")
    return lambda finding: finding.kind is kinds[0] and not finding.remark

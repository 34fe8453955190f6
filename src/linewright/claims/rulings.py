"""Rulings: a verdict with its evidence, and how rulings are put together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum

import chess

from linewright.language.evidence import Evidence, together, why
from linewright.lesson.finding import GameRef, Verdict


@dataclass(frozen=True, slots=True)
class Ruling:
    """A verdict with its evidence.

    :param game: the base's game that the claim is about, where it quotes one.
    """

    verdict: Verdict
    evidence: Evidence
    game: GameRef | None = None


def holds(evidence: Evidence) -> Ruling:
    return Ruling(Verdict.HOLDS, evidence)


def fails(evidence: Evidence) -> Ruling:
    return Ruling(Verdict.FAILS, evidence)


def undecided(evidence: Evidence) -> Ruling:
    return Ruling(Verdict.UNDECIDED, evidence)


def ruled(true: bool, evidence: Evidence) -> Ruling:
    return Ruling(Verdict.HOLDS if true else Verdict.FAILS, evidence)


def negated(ruling: Ruling) -> Ruling:
    """The ruling on the opposite claim."""
    turned = {Verdict.HOLDS: Verdict.FAILS, Verdict.FAILS: Verdict.HOLDS}
    return Ruling(turned.get(ruling.verdict, ruling.verdict), ruling.evidence)


class Reach(Enum):
    """How a claim's colours are meant."""

    ONE = "one side, known"
    BOTH = "each of the two sides"
    ANY = "whichever side; the words name none"
    UNCLEAR = "one side, but the words leave open which"


@dataclass(frozen=True, slots=True)
class Side:
    """Whose pawn, piece or king a claim speaks of."""

    reach: Reach
    color: chess.Color | None = None

    @property
    def colors(self) -> tuple[chess.Color, ...]:
        return (chess.WHITE, chess.BLACK) if self.color is None else (self.color,)

    @staticmethod
    def of(color: chess.Color) -> Side:
        return Side(Reach.ONE, color)


BOTH = Side(Reach.BOTH)
ANY = Side(Reach.ANY)
UNCLEAR = Side(Reach.UNCLEAR)


def color_name(color: chess.Color) -> str:
    return "white" if color else "black"


def for_side(side: Side, rule: Callable[[chess.Color], Ruling]) -> Ruling:
    """Rule for the colours a claim speaks of.

    One colour: its ruling. Both: holds when both hold. Any: holds when one holds. Unclear: decided only when the
    two rulings agree.
    """
    if side.color is not None:
        return rule(side.color)
    rulings = [rule(color) for color in side.colors]
    verdicts = [ruling.verdict for ruling in rulings]
    if side.reach is Reach.BOTH:
        return _joined(rulings, all_of(verdicts))
    if side.reach is Reach.ANY:
        if Verdict.HOLDS in verdicts:
            return Ruling(Verdict.HOLDS, together(r.evidence for r in rulings if r.verdict is Verdict.HOLDS))
        return _joined(rulings, Verdict.UNDECIDED if Verdict.UNDECIDED in verdicts else Verdict.FAILS)
    if len(set(verdicts)) == 1:
        return _joined(rulings, verdicts[0])
    return undecided(why("terms.which_side", evidence=_joined(rulings, Verdict.UNDECIDED).evidence))


def all_of(verdicts: Iterable[Verdict]) -> Verdict:
    """The verdict on a claim all of whose parts must hold."""
    listed = list(verdicts)
    if Verdict.FAILS in listed:
        return Verdict.FAILS
    return Verdict.UNDECIDED if Verdict.UNDECIDED in listed or not listed else Verdict.HOLDS


def _joined(rulings: list[Ruling], verdict: Verdict) -> Ruling:
    return Ruling(verdict, together(ruling.evidence for ruling in rulings))

"""Claims and findings: what was claimed, where, and what board and base say of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from linewright.lesson.walk import Said


class Kind(StrEnum):
    """Kinds of claims (the design's list) and of reading troubles that ``check`` prints alike."""

    FREQUENCY = "frequency"
    STRUCTURE = "structure"
    FILES = "files"
    DEVELOPMENT = "development"
    KING = "king"
    CENTRE = "centre"
    MATERIAL = "material"
    REPETITION = "repetition"
    ASSESSMENT = "assessment"
    TACTIC = "tactic"
    QUOTE = "quote"
    TRANSPOSITION = "transposition"
    UNREAD = "unread"
    UNSURE = "unsure"


class Verdict(StrEnum):
    HOLDS = "holds"
    FAILS = "fails"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Finding:
    """A checked claim, or an unread or unsure place.

    :param before: full FEN of the position that the words speak of.
    :param evidence: what decides it, readable at a glance.
    :param step: how many steps of the walk are done at that position's moment.
    """

    kind: Kind
    verdict: Verdict
    said: Said
    before: str
    evidence: str
    step: int

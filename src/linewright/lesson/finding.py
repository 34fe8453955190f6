"""Claims and findings: what was claimed, where, and what board and base say of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from linewright.language.evidence import Evidence
from linewright.lesson.walk import Said


class Kind(StrEnum):
    """Kinds of claims (the design's list), of reading troubles, and of what nobody asked but a trainer should know;
    ``check`` prints them alike."""

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
    REPLY = "reply"
    PRAISE = "praise"
    REFUTATION = "refutation"
    BRANCH = "branch"
    FINISH = "finish"


#: Troubles of reading, not claims.
TROUBLES = frozenset({Kind.UNREAD, Kind.UNSURE})
#: What the talk should have said: a stronger or far more common reply passed over, a praised move that loses, a line
#: shown as fine that is refuted, two branches that reach one position, a quoted game left just before its finish.
UNASKED = frozenset({Kind.REPLY, Kind.PRAISE, Kind.REFUTATION, Kind.BRANCH, Kind.FINISH})


class Verdict(StrEnum):
    HOLDS = "holds"
    FAILS = "fails"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class GameRef:
    """A game of the base that the talk quotes, whole, so that it can be shown without the base.

    :param id: its number in the base.
    :param result: ``1-0``, ``0-1``, ``1/2-1/2`` or ``*``.
    :param moves: from the start to the end, in UCI.
    """

    id: int
    white: str
    black: str
    result: str
    date: str
    year: int | None
    event: str
    site: str
    round: str
    moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """A checked claim, or an unread or unsure place.

    :param before: full FEN of the position that the words speak of.
    :param reason: what decides it; :attr:`evidence` says it.
    :param step: how many steps of the walk are done at that position's moment.
    :param met: how often a pupil meets the position, 0-1: the share of games that come to it when the pupil follows
        the lesson; 1 where no games are known.
    :param remark: the words likely claim something, but no rule reads them: undecided, with what the position shows.
    :param game: the base's game that a quote means, unless none is known or it is not certain which one.
    :param waits_for: index of the walk's step that has to be settled before anything can be said of the position; None
        where its moves are sure.
    """

    kind: Kind
    verdict: Verdict
    said: Said
    before: str
    reason: Evidence
    step: int
    met: float = 1.0
    game: GameRef | None = None
    remark: bool = False
    waits_for: int | None = None

    @property
    def evidence(self) -> str:
        """What decides it, in English."""
        return str(self.reason)

    def evidence_in(self, code: str) -> str:
        """What decides it, in a language, readable at a glance; in English where the language has no words for it."""
        return self.reason.say(code)

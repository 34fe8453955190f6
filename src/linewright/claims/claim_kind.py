"""What a claim kind is, and what its decider gets to see.

A claim kind is a *finder* (a sentence's words -> claims with typed parameters) and a pure *decider* (those
parameters and the facts of the position -> ruling). To add one: write a module in ``claims/kinds/`` with a frozen
dataclass for the parameters, ``find`` and ``decide``, make a ``ClaimKind`` of them, and list it in
``claims/kinds/__init__.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar

import chess

from linewright.claims.rulings import Ruling
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.model import EngineVerdict
from linewright.language.evidence import NOTHING, Evidence
from linewright.lesson.finding import Kind

if TYPE_CHECKING:  # the base's tables, which only talks that quote games need
    from linewright.games.api import Meetings

About = TypeVar("About")


class CountedReply(Protocol):
    """A move played from a position, as the base counts it."""

    @property
    def uci(self) -> str: ...
    @property
    def san(self) -> str: ...
    @property
    def games(self) -> int: ...
    @property
    def share(self) -> float: ...


class CountedReplies(Protocol):
    """The replies to a position; ``total`` counts the games that went on from it."""

    @property
    def total(self) -> int: ...
    @property
    def replies(self) -> Sequence[CountedReply]: ...


class Base(Protocol):
    """What the claims ask of the games base."""

    def replies(self, board: chess.Board, /) -> CountedReplies: ...


class Library(Protocol):
    """What quotes ask of the games base; a :class:`linewright.games.api.GamesBase` answers it."""

    def meetings(
        self,
        players: Sequence[Sequence[str]],
        least: float,
        position: chess.Board | None = None,
        year: int | None = None,
        /,
    ) -> Meetings: ...
    @property
    def places(self) -> frozenset[str]: ...


def _none(_: chess.Board) -> EngineVerdict | None:
    return None


@dataclass(frozen=True, slots=True)
class Facts:
    """What a decider sees.

    :param board: the position that the claim speaks of.
    :param replies: what the games base has of it; None when it wasn't asked.
    :param why_none: why there are no replies, with what to do about it.
    :param times: how often the position has stood on the board along its line, this time included.
    :param elsewhere: lines shown before that reach the same position by other moves, e.g. ``1.e4 e5``.
    :param timed: the words come from a recogniser, so a letter may be misheard.
    :param assessed: the engine's verdict; None when it wasn't asked or gave none.
    :param judged: the engine's verdict on any position that the kind has asked for.
    :param after: the move that led to the position, numbered: ``12…Qb6``; empty at the start.
    :param library: the games of players; None without a base.
    :param line: the moves that led to the position, in UCI.
    :param where: said of the games that were counted, after their number; empty for the user's own base.
    """

    board: chess.Board
    replies: CountedReplies | None = None
    why_none: Evidence = NOTHING
    times: int = 1
    elsewhere: tuple[str, ...] = ()
    timed: bool = False
    assessed: EngineVerdict | None = None
    judged: Callable[[chess.Board], EngineVerdict | None] = _none
    after: str = ""
    library: Library | None = None
    line: tuple[str, ...] = ()
    where: Evidence = NOTHING


#: Said plainly: a claim of the board as it is.
PLAIN = Mood()


@dataclass(frozen=True, slots=True)
class Found(Generic[About]):
    """A claim in the words, not yet decided.

    :param about: its typed parameters.
    :param first: index of its first token in the sentence.
    :param last: index after its last token.
    :param step: how many steps of the walk are done at the position it speaks of.
    :param mood: how it is said; unreal claims are dropped by the checker, vague ones can't fail.
    """

    about: About
    first: int
    last: int
    step: int
    mood: Mood = PLAIN


@dataclass(frozen=True, slots=True)
class ClaimKind(Generic[About]):
    """One kind of claim: how it is found and how it is decided.

    :param decide: None when the facts show that the words are no claim after all.
    :param asks_base: its decider wants the replies to the position.
    :param asks_engine: it wants the engine's verdict on the position …
    :param also: … and on these other ones, which ``Facts.judged`` gives.
    :param remark: it leaves undecided what no other kind reads.
    """

    kind: Kind
    find: Callable[[Sentence, Scene], Iterable[Found[About]]]
    decide: Callable[[About, Facts], Ruling | None]
    asks_base: bool = False
    asks_engine: bool = False
    also: Callable[[About, chess.Board], Iterable[chess.Board]] | None = None
    remark: bool = False


AnyKind = ClaimKind[Any]

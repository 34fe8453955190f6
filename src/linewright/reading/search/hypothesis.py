"""Readings of a talk so far, and proposals that may be grown into them: the search's state."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search.positions import Match, Position
from linewright.reading.search.returns import TreeNode, child_of

#: Readings kept at each phrase, and of these per current position (so that many positions stay in play).
BEAM = 160
PER_POSITION = 4
#: Readings this many nats behind the best are given up.
WINDOW = 10.0


@dataclass(frozen=True, slots=True)
class PlayedPhrase:
    """A phrase read as a move.

    :param parent: tree index it is played from; ``node`` where it leads.
    :param came: tree index that was on the board before (differs from ``parent`` after a return).
    """

    phrase: Phrase
    match: Match
    came: int
    parent: int
    node: int


@dataclass(slots=True, eq=False)
class Hypothesis:
    """One reading of the talk so far.

    :param score: log-probability, unnormalised.
    :param tree: its positions in order of first visit.
    :param at: index in ``tree`` of the position on the board.
    :param since: token index after the last move.
    :param played: the last step; ``before`` the reading it grew from.
    :param names: positions named by ``{here: A}`` marks.
    :param forced: a mark has set the board, so the next move is played from here.
    :param history: tells readings with the same moves from others.
    :param said_moves: the moves of the tree, by their position's key.
    :param targets: remembered :meth:`Search.target_scores`, by the token they were asked for.
    """

    score: float
    tree: tuple[TreeNode, ...]
    at: int = 0
    since: int = 0
    played: PlayedPhrase | None = None
    before: Hypothesis | None = None
    names: tuple[tuple[str, int], ...] = ()
    forced: bool = False
    history: int = 0
    said_moves: frozenset[tuple[int, str]] = frozenset()
    targets: dict[int, list[float]] = field(default_factory=dict)

    @property
    def position(self) -> Position:
        return self.tree[self.at].position

    def at_score(self, score: float) -> Hypothesis:
        """The same reading, worth something else."""
        return Hypothesis(
            score,
            self.tree,
            self.at,
            self.since,
            self.played,
            self.before,
            self.names,
            self.forced,
            self.history,
            self.said_moves,
            self.targets,
        )


#: What tells readings apart: their history, the position they stand on, and whether a mark has set the board.
ReadingMark = tuple[int, int, bool]


@dataclass(slots=True, eq=False)
class Proposal:
    """A reading that may be grown: cheap to make in thousands, grown only when it survives pruning."""

    score: float
    source: Hypothesis
    phrase: Phrase | None
    match: Match | None = None
    parent: int = 0

    def mark(self) -> ReadingMark:
        """Readings of the same mark tell the same moves and stand on the same position."""
        if self.match is None:
            return self.source.history, self.source.position.key, self.source.forced
        position = self.source.tree[self.parent].position
        uci = self.match.legal.uci
        return hash((self.source.history, position.key, uci)), position.after(self.match.legal).key, False

    def grow(self) -> Hypothesis:
        """The reading itself."""
        source = self.source
        if self.phrase is None or self.match is None:
            return source.at_score(self.score)
        tree, legal = source.tree, self.match.legal
        child = child_of(tree, self.parent, legal.uci)
        made = source.said_moves
        if child is None:
            child = len(tree)
            made = made | {(tree[self.parent].position.key, legal.uci)}
            tree = (*tree, TreeNode(tree[self.parent].position.after(legal), self.parent, legal.uci))
        return Hypothesis(
            self.score,
            tree,
            child,
            self.phrase.last,
            PlayedPhrase(self.phrase, self.match, source.at, self.parent, child),
            source,
            source.names,
            history=self.mark()[0],
            said_moves=made,
        )


def prune(proposals: list[Proposal], beam: int = BEAM) -> list[Hypothesis]:
    """The best readings, one for each history, few for each position, best first."""
    return [proposal.grow() for proposal in trim(merge(within_window(proposals)), beam)]


def within_window(proposals: list[Proposal]) -> Iterator[Proposal]:
    """The proposals that are not hopelessly behind the best, best first; sorts the list."""
    proposals.sort(key=lambda p: -p.score)
    for proposal in proposals:
        if proposal.score < proposals[0].score - WINDOW:
            return
        yield proposal


def merge(proposals: Iterable[Proposal]) -> Iterator[tuple[Proposal, ReadingMark]]:
    """The first of the proposals with the same mark, with that: they say the same moves and stand on one position."""
    seen: set[ReadingMark] = set()
    for proposal in proposals:
        mark = proposal.mark()
        if mark not in seen:
            seen.add(mark)
            yield proposal, mark


def trim(marked: Iterable[tuple[Proposal, ReadingMark]], beam: int) -> list[Proposal]:
    """As many as the beam holds, and no more than ``PER_POSITION`` that stand on one position."""
    per_position: dict[int, int] = {}
    kept: list[Proposal] = []
    for proposal, (_, position, _) in marked:
        if per_position.get(position, 0) < PER_POSITION:
            per_position[position] = per_position.get(position, 0) + 1
            kept.append(proposal)
            if len(kept) >= beam:
                break
    return kept


def chain(best: Hypothesis) -> list[Hypothesis]:
    """The readings that led to ``best``, one for each step, oldest first."""
    out = []
    at: Hypothesis | None = best
    while at is not None and at.played is not None:
        out.append(at)
        at = at.before
    return out[::-1]

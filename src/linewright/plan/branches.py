"""What could be taught below a position: each reply of the opponent's with the pupil's answer, what it takes to say,
and what it is worth to have seen it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import chess

from linewright.games.api import DEPTH_BELOW, Replies, Reply, position_key
from linewright.plan.knapsack import KnapsackItem
from linewright.plan.lesson_index import RATE, LessonIndex
from linewright.plan.position_flow import FlowLevel, MetPosition, flow
from linewright.plan.reply_cache import Ask

#: Words more where a line branches off: going back, and saying why this reply is worth a look (our estimate).
WORDS_BRANCH: Final = 35
#: Words that a half-move takes with what is said of it. The four given talks have 7.5 to 8.4 words for each half-move
#: taught; without 35 for each return 4.1 to 5.9, in the mean 5.1.
WORDS_EACH: Final = 5.0
#: The same in seconds.
RETURN: Final = round(WORDS_BRANCH * 60 / RATE)
#: Chance (0-1) below which a reply isn't looked at: a pupil with a hundred games a year meets it in none.
LEAST_CHANCE: Final = 0.003
#: Games that a position must have for its replies to be counted on.
FEWEST: Final = 10
#: Share (0-1) and games that a move of the pupil's needs to be proposed.
KNOWN_SHARE, KNOWN_GAMES = 0.10, 10
#: Games at the position's mean score that each move's score is mixed with: scores of few games are chance.
SHRINK: Final = 20
#: Games that are added for replies not taught, when coverage is promised. As counted, shares of taught lines promise
#: too much, for the lines were chosen by them: 0.9 points in the mean on twelve openings for either side, none of those
#: of the promise's own test, each split in halves again and again. With a whole game added they promise 0.8 too little,
#: with half a game they are right to 0.1 (bench/bench_plan.py, the table "fit").
UNSEEN: Final = 0.5
#: Expected score (0-1) that having seen a reply is worth at the least: it saves the clock, whatever the answer costs.
LEAST_LOSS: Final = 0.01
#: Wrong answers that an engine is asked about.
ASKED: Final = 3

#: White's expected score (0-1) of a position by an engine; None where it wasn't asked.
Judged = Callable[[chess.Board], float | None]


@dataclass(frozen=True, slots=True)
class TeachingUnit:
    """A reply of the opponent's with the pupil's answer.

    :param parent: index of the unit that it follows; -1 for the first position.
    :param line: moves in UCI from the first position to the reply, included.
    :param reply: in SAN; ``answer`` too.
    :param before: FEN before the reply; ``after`` it.
    :param share: the reply's, among the games at its position (0-1), of ``of`` games.
    :param chance: that a pupil who plays the lesson's moves meets it, by all orders of moves (0-1).
    :param loss: expected score (0-1) that pupils lose by their own answers against the taught one, in games.
    :param engine_loss: the same by an engine's expected scores; None where it wasn't asked.
    :param wrong: their commonest other answers, in SAN, each with its share.
    :param answered: games that ``loss`` and ``wrong`` rest on.
    :param seconds: that it takes to say, without a return (:data:`RETURN`) where another reply was shown before.
    :param joins: the line, in UCI, whose position the answer transposes into; empty where it goes its own way.
    :param shown: the talk at hand shows the reply.
    """

    parent: int
    line: tuple[str, ...]
    reply: str
    answer: str
    answer_uci: str
    before: str
    after: str
    share: float
    of: int
    chance: float
    loss: float
    engine_loss: float | None
    wrong: tuple[tuple[str, float], ...]
    answered: int
    seconds: int
    joins: tuple[str, ...]
    shown: bool

    @property
    def cost_of_not_knowing(self) -> float:
        """Expected score (0-1) lost, the games' and the engine's word weighing alike, at least :data:`LEAST_LOSS`."""
        found = self.loss if self.engine_loss is None else (self.loss + self.engine_loss) / 2
        return max(found, LEAST_LOSS)

    @property
    def worth(self) -> float:
        """Points in a hundred of the pupil's games that it saves to have seen it."""
        return 100 * self.chance * self.cost_of_not_knowing


def answer_to(replies: Replies, talk: LessonIndex | None, board: chess.Board) -> Reply | None:
    """The pupil's move: the talk's, the followed one of several, where it gives one; else the most played one, unless
    another that enough games know surely scores more (its interval's lower end lies above). None where games are too
    few."""
    if talk is not None and (shown := talk.own(board)):
        for reply in replies.replies:
            if reply.uci == shown[0].uci:
                return reply
        return Reply(shown[0].uci, shown[0].san, 0, 0.0, 0.5, 0.0, 1.0, None, None)
    if replies.total < FEWEST:
        return None
    usual = replies.replies[0]
    better = [
        r for r in replies.replies[1:] if r.share >= KNOWN_SHARE and r.scored >= KNOWN_GAMES and r.low > usual.score
    ]
    return max(better, key=lambda reply: reply.low, default=usual)


def expected_share(reply: Reply, replies: Replies) -> float:
    """The share (0-1) to expect of a taught reply in games still to come: ``games / (n + 1/2)`` of ``n`` games, half a
    game being left to all that isn't taught (Jeffreys's half count for one category; see :data:`UNSEEN`)."""
    return reply.games / (replies.total + UNSEEN)


def loss_without(replies: Replies, answer: Reply) -> float:
    """Expected score (0-1) that players lose by choosing as they do, against always choosing ``answer``: its score less
    the mean over all choices, each move's score mixed with :data:`SHRINK` games at the mean. Never below 0."""
    scored = sum(reply.scored for reply in replies.replies)
    if not scored or not answer.scored:
        return 0.0
    mean = sum(reply.score * reply.scored for reply in replies.replies) / scored
    best = (answer.score * answer.scored + SHRINK * mean) / (answer.scored + SHRINK)
    return max(0.0, best - mean)


def engine_loss(board: chess.Board, replies: Replies, answer: Reply, judged: Judged) -> float | None:
    """The same by an engine's expected scores of the :data:`ASKED` commonest other answers, each by its share."""
    best = _after(board, answer.uci, judged)
    if best is None:
        return None
    lost = 0.0
    for reply in _wrong(replies, answer):
        found = _after(board, reply.uci, judged)
        lost += reply.share * max(0.0, best - found) if found is not None else 0.0
    return lost


def questions(units: tuple[TeachingUnit, ...], most: int) -> tuple[chess.Board, ...]:
    """The positions worth asking an engine about, those of the units worth most first."""
    found: dict[str, chess.Board] = {}
    for unit in sorted(units, key=lambda unit: -unit.chance)[:most]:
        board = chess.Board(unit.after)
        for san in (unit.answer, *(san for san, _ in unit.wrong)):
            if san:
                after = board.copy(stack=False)
                after.push_san(san)
                found.setdefault(after.epd(), after)
    return tuple(found.values())


def _wrong(replies: Replies, answer: Reply) -> tuple[Reply, ...]:
    return tuple([reply for reply in replies.replies if reply.uci != answer.uci][:ASKED])


def _after(board: chess.Board, uci: str, judged: Judged) -> float | None:
    """The mover's expected score after a move."""
    after = board.copy(stack=False)
    after.push_uci(uci)
    white = judged(after)
    return white if white is None or board.turn else 1 - white


@dataclass(frozen=True, slots=True)
class Branches:
    """All that could be taught below a position.

    :param opening: the pupil's own move there, in SAN, where it is the pupil's turn; else "".
    :param start: the position after it, from which the opponent replies.
    :param units: in depth-first order, the likeliest first, every unit behind its parent.
    """

    opening: str
    start: chess.Board
    units: tuple[TeachingUnit, ...]

    def items(self) -> tuple[KnapsackItem, ...]:
        """As the knapsack takes them."""
        return tuple(KnapsackItem(unit.parent, unit.seconds, unit.worth) for unit in self.units)


def grow_branches(
    root: chess.Board,
    side: chess.Color,
    ask: Ask,
    talk: LessonIndex | None = None,
    judged: Judged = lambda _: None,
    depth: int = DEPTH_BELOW,
) -> Branches:
    """What could be taught below a position to a pupil who plays ``side``.

    :param ask: the games; positions are asked about again and again, so answers should be kept.
    :param talk: what is taught already: its moves are the pupil's.
    """
    start, opening = root.copy(stack=False), ""
    if root.turn == side:
        own = answer_to(ask(root), talk, root)
        if own is None:
            return Branches("", start, ())
        opening = own.san
        start.push_uci(own.uci)
    growth = _Growth(side, ask, talk, judged)
    growth.grow_from(start, depth)
    return Branches(opening, start, tuple(growth.units))


class _Growth:
    """The units below a position, being found depth first.

    :ivar units: found so far, every one behind its parent.
    """

    def __init__(self, side: chess.Color, ask: Ask, talk: LessonIndex | None, judged: Judged) -> None:
        self._side, self._ask, self._talk, self._judged = side, ask, talk, judged
        # The positions in which the opponent replies, by the likeliest way to them; and that way by position key.
        self._places: dict[tuple[str, ...], MetPosition] = {}
        self._lines: dict[int, tuple[str, ...]] = {}
        self.units: list[TeachingUnit] = []

    def grow_from(self, start: chess.Board, depth: int) -> None:
        """Find all that games reach within ``depth`` half-moves from ``start``, where the opponent is to move."""
        levels = flow(start, depth, self._choices, LEAST_CHANCE)
        self._places = {place.line: place for level in levels[::2] for place in level.places.values()}
        self._lines = {position_key(place.board): line for line, place in reversed(self._places.items())}
        self._grow(levels[0].places[position_key(start)], -1)

    def _choices(self, board: chess.Board) -> tuple[tuple[str, float], ...]:
        """The moves that are followed from a position: the pupil's one, or the opponent's replies."""
        here = self._ask(board)
        if board.turn == self._side:
            own = answer_to(here, self._talk, board)
            return ((own.uci, 1.0),) if own is not None else ()
        if here.total < FEWEST:
            return ()
        return tuple((reply.uci, reply.share) for reply in here.replies)

    def _grow(self, place: MetPosition, parent: int) -> None:
        here = self._ask(place.board)
        for reply in here.replies if here.total >= FEWEST else ():
            if place.chance * reply.share < LEAST_CHANCE:
                break
            unit = self._unit(place, parent, reply, here.total)
            if unit is None:  # nothing can be taught against it
                continue
            self.units.append(unit)
            own_way = (*unit.line, unit.answer_uci)
            if not unit.joins and own_way in self._places:
                self._grow(self._places[own_way], len(self.units) - 1)

    def _unit(self, place: MetPosition, parent: int, reply: Reply, total: int) -> TeachingUnit | None:
        """The reply with the pupil's answer; None where games don't show one."""
        board = place.board.copy(stack=False)
        board.push_uci(reply.uci)
        here = self._ask(board)
        own = answer_to(here, self._talk, board)
        if own is None or not own.san:
            return None
        line = (*place.line, reply.uci)
        return TeachingUnit(
            parent=parent,
            line=line,
            reply=reply.san,
            answer=own.san,
            answer_uci=own.uci,
            before=place.board.fen(),
            after=here.fen,
            share=reply.share,
            of=total,
            chance=place.chance * reply.share,
            loss=loss_without(here, own),
            engine_loss=engine_loss(board, here, own, self._judged),
            wrong=tuple((r.san, r.share) for r in _wrong(here, own)),
            answered=here.total,
            seconds=max(1, round(2 * WORDS_EACH * 60 / RATE)),
            joins=self._joined(board, own.uci, line),
            shown=self._talk is not None and any(move.uci == reply.uci for move in self._talk.shown(place.board)),
        )

    def _joined(self, board: chess.Board, uci: str, line: tuple[str, ...]) -> tuple[str, ...]:
        """The likelier way to the position after an answer; empty where ``line`` is that way."""
        after = board.copy(stack=False)
        after.push_uci(uci)
        met = self._lines.get(position_key(after), ())
        return met if met != (*line, uci) else ()


def covered_levels(
    start: chess.Board,
    side: chess.Color,
    ask: Ask,
    chosen: Mapping[int, Mapping[str, str]],
    depth: int,
    promised: bool = True,
) -> tuple[FlowLevel, ...]:
    """The chances to be still inside what is taught, by half-moves from a position where the opponent is to move.

    :param chosen: by position key of the opponent's turn: each reply taught, in UCI, and the pupil's answer ("": none).
    :param promised: for games still to come (:func:`expected_share`); else as the games counted are.
    """
    answers: dict[int, str] = {}

    def choices(board: chess.Board) -> tuple[tuple[str, float], ...]:
        key = position_key(board)
        if board.turn == side:
            answer = answers.get(key, "")
            return ((answer, 1.0),) if answer else ()
        here = chosen.get(key)
        if not here:
            return ()
        found = []
        replies = ask(board)
        for reply in replies.replies:
            if reply.uci in here:
                after = board.copy(stack=False)
                after.push_uci(reply.uci)
                answers[position_key(after)] = here[reply.uci]
                found.append((reply.uci, expected_share(reply, replies) if promised else reply.share))
        return tuple(found)

    return flow(start, depth, choices)

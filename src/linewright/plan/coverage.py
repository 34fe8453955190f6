"""How much of the pupils' games a finished talk covers, where the minutes went, and what it leaves open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import chess

from linewright.lesson.spoken import move_number
from linewright.plan.met import Meeting
from linewright.plan.minutes import Pace, step_seconds
from linewright.plan.reach import Flow, flow, key_of
from linewright.plan.told import Lessons

#: Moves at which coverage is told.
MOVES: Final = (4, 6, 8, 10, 12, 14, 16)
#: Half-moves followed from the lesson's first position: 20 moves, where openings end.
PLIES: Final = 40
#: A hole is told from this part of the games on: one game in a hundred.
HOLE: Final = 0.01
#: Holes told at most.
MOST: Final = 12
#: A line is met by almost nobody below this part of the games: one in two hundred, a pupil's games of some years.
RARE: Final = 0.005
#: Games of the band that a loss must rest on: the standard error of their score is some 9 points of 100.
JUDGED: Final = 30
#: An answer is a natural one from this share on.
NATURAL: Final = 0.10


@dataclass(frozen=True, slots=True)
class AtMove:
    """Where the pupils' games are when a move has been played by both sides; the parts sum to 1.

    :param inside: in a position of the lesson.
    :param ended: the lesson's line had ended before, nobody had left it.
    :param left: the opponent had left it for something that isn't told.
    """

    move: int
    inside: float
    ended: float
    left: float


@dataclass(frozen=True, slots=True)
class Natural:
    """What a pupil who hasn't seen a position plays there.

    :param share: of the band's games (0-1).
    :param score: expected score (0-1) between equals.
    """

    san: str
    uci: str
    share: float
    score: float


@dataclass(frozen=True, slots=True)
class Hole:
    """A reply that the lesson leaves open.

    :param fen: full FEN before it.
    :param line: the moves of the lesson that lead there, as books print them.
    :param part: of the pupils' games (0-1) that meet it.
    :param share: of the games from there.
    :param games: in which it was played.
    :param answer: the best answer by the band's scores; None where too few games tell.
    :param loss: expected score (0-1) that a pupil gives away who hasn't seen it: the answer's score less the mean of
        what is played; None as before.
    :param natural: the frequent answers that score less, the commonest first.
    :param shown: the lesson shows the reply, and no answer to it.
    """

    fen: str
    san: str
    uci: str
    line: str
    part: float
    share: float
    games: int
    answer: Natural | None
    loss: float | None
    natural: tuple[Natural, ...]
    shown: bool

    @property
    def worth(self) -> float:
        """What a lesson on it is worth: points (0-1) of the pupils' score, over all their games."""
        return self.part * (self.loss or 0.0)


@dataclass(frozen=True, slots=True)
class ToldLine:
    """A line of a talk.

    :param talk: number of the talk.
    :param node: that opens it; ``last``: that ends it.
    :param head: its first moves as books print them.
    :param seconds: spent on it.
    :param part: of the pupils' games (0-1) that come to its first position.
    :param choice: it shows another move of the pupil's than the one that is followed, or a mistake of theirs.
    """

    talk: int
    node: int
    last: int
    head: str
    seconds: float
    part: float
    choice: bool

    @property
    def minutes_per_percent(self) -> float | None:
        """Minutes for each percent of the pupils' games; None where none comes."""
        return self.seconds / 60 / (100 * self.part) if self.part > 0 else None

    @property
    def rare(self) -> bool:
        return not self.choice and self.part < RARE


@dataclass(frozen=True, slots=True)
class Coverage:
    """A finished lesson against the pupils' games.

    :param around: seconds before the first move.
    :param lines: in the order of telling.
    :param holes: the one first that is met most; those that are worth most, :attr:`Hole.worth` tells.
    """

    seconds: float
    around: float
    moves: tuple[AtMove, ...]
    holes: tuple[Hole, ...]
    lines: tuple[ToldLine, ...]


class _Following:
    """The pupil follows the lessons; notes what becomes of the games."""

    def __init__(self, told: Lessons, meeting: Meeting) -> None:
        self.told = told
        self.meeting = meeting
        self.start = chess.Board(told.start).ply()
        self.ended: dict[int, float] = {}
        self.holes: list[Hole] = []
        self._lines: dict[str, tuple[int, int]] = {key: t.nodes[0] for key, t in told.positions.items()}

    def onward(self, board: chess.Board, reach: float) -> Sequence[tuple[str, float]]:
        key = key_of(board)
        ply = board.ply() - self.start
        if board.turn == self.told.side:
            answer = self.told.answer(key)
            if answer is not None:
                return ((answer.uci, 1.0),)
            self._end(ply, reach)
            return ()
        if not self.told.shows(key):
            self._end(ply, reach)
            return ()
        met = self.meeting.at(board)
        shown = {move.uci for move in self.told.positions[key].moves}
        inside = []
        for option in met.options:
            if option.uci in shown or self._known(board, option.uci):
                inside.append((option.uci, option.share))
            elif reach * option.share >= HOLE:
                self.holes.append(hole(board, option.uci, reach, self.meeting, self.told))
        if not met.options:
            self._end(ply, reach)
        return inside

    def _end(self, ply: int, reach: float) -> None:
        self.ended[ply + 1] = self.ended.get(ply + 1, 0.0) + reach

    def _known(self, board: chess.Board, uci: str) -> bool:
        board.push(chess.Move.from_uci(uci))
        known = key_of(board) in self.told.positions
        board.pop()
        return known


def hole(board: chess.Board, uci: str, reach: float, meeting: Meeting, told: Lessons | None = None) -> Hole:
    """What a reply costs that a pupil hasn't seen.

    :param reach: of the position (0-1).
    """
    met = meeting.at(board)
    option = met.of(uci)
    share = option.share if option else 0.0
    move = chess.Move.from_uci(uci)
    after = board.copy(stack=False)
    after.push(move)
    answers = meeting.at(after)
    best = answer_of(after, meeting)
    answer, loss, natural = None, None, ()
    if best is not None and answers.games >= JUDGED:
        answer = best
        loss = max(0.0, best.score - answers.mean)
        natural = tuple(
            Natural(after.san(chess.Move.from_uci(o.uci)), o.uci, o.share, o.score)
            for o in answers.options
            if o.share >= NATURAL and o.score < best.score and o.uci != best.uci
        )
    return Hole(
        fen=board.fen(),
        san=board.san(move),
        uci=uci,
        line=line_to(told, key_of(board)) if told else "",
        part=reach * share,
        share=share,
        games=option.games if option else 0,
        answer=answer,
        loss=loss,
        natural=natural,
        shown=False,
    )


#: An answer is taught from this share and so many games on: what hardly anybody plays, a few games can't recommend.
TEACHABLE: Final = 0.08
TEACHABLE_GAMES: Final = 10


def answer_of(board: chess.Board, meeting: Meeting) -> Natural | None:
    """The move to teach in a position: of those that are played enough the one that scores best, between equals."""
    options = meeting.at(board).options
    played = [o for o in options if o.share >= TEACHABLE and o.games >= TEACHABLE_GAMES]
    if not played:
        return None
    best = max(played, key=lambda o: (o.score, o.share))
    return Natural(board.san(chess.Move.from_uci(best.uci)), best.uci, best.share, best.score)


def line_to(told: Lessons, key: str) -> str:
    """The moves that lead to a position by its first telling, as books print them."""
    if key not in told.positions:
        return ""
    talk, node = told.positions[key].nodes[0]
    walk = told.walks[talk]
    return printed([(walk.nodes[walk.nodes[n].parent or 0].fen, walk.nodes[n].san) for n in walk.line(node)])


def printed(moves: Sequence[tuple[str, str]]) -> str:
    """Moves as books print them: ``1.e4 c6 2.d4``.

    :param moves: FEN before, and SAN.
    """
    found = []
    for index, (before, san) in enumerate(moves):
        numbered = index == 0 or before.split()[1] == "w"
        found.append(f"{move_number(before)}{san}" if numbered else san)
    return " ".join(found)


def coverage(told: Lessons, meeting: Meeting, pace: Pace) -> Coverage:
    """How much of the pupils' games the lessons cover."""
    following = _Following(told, meeting)
    found = flow(chess.Board(told.start), following.onward, PLIES)
    lines, around = told_lines(told, found, pace)
    return Coverage(
        seconds=sum(line.seconds for line in lines) + around,
        around=around,
        moves=_at_moves(found, following),
        holes=_ranked(following.holes),
        lines=lines,
    )


def _ranked(holes: Sequence[Hole]) -> tuple[Hole, ...]:
    """Holes, the most met first; one that is met at several depths or by several orders of moves stands once."""
    merged: dict[tuple[str, str], Hole] = {}
    for one in holes:
        merged.setdefault((key_of(chess.Board(one.fen)), one.uci), one)
    return tuple(sorted(merged.values(), key=lambda h: -h.part))[:MOST]


def _at_moves(found: Flow, following: _Following) -> tuple[AtMove, ...]:
    moves = []
    for move in MOVES:
        ply = 2 * move - following.start
        if not 0 < ply < len(found.layers):
            continue
        inside = sum(spot.reach for spot in found.layers[ply].values())
        ended = sum(part for at, part in following.ended.items() if at <= ply)
        moves.append(AtMove(move, inside, ended, max(0.0, 1 - inside - ended)))
    return tuple(moves)


def told_lines(told: Lessons, found: Flow, pace: Pace) -> tuple[tuple[ToldLine, ...], float]:
    """The talks' lines with their minutes, and the seconds before the first moves."""
    lines: list[ToldLine] = []
    around = 0.0
    for number, walk in enumerate(told.walks):
        spent = step_seconds(walk, pace)
        around += spent[0]
        by_node: dict[int, float] = {}
        for step, seconds in zip(walk.steps, spent[1:], strict=True):
            by_node[step.node] = by_node.get(step.node, 0.0) + seconds
        offset = chess.Board(walk.start).ply() - chess.Board(told.start).ply()
        heads = [child for node in walk.nodes for child in node.children if child != node.children[0] or node.id == 0]
        for head in heads:
            run = [head]
            while walk.nodes[run[-1]].children:
                run.append(walk.nodes[run[-1]].children[0])
            ply = walk.nodes[head].ply + offset
            spot = found.layers[ply].get(key_of(chess.Board(walk.nodes[head].fen))) if ply < len(found.layers) else None
            ids = (*walk.line(head)[:-1][-1:], *run[:2])
            lines.append(
                ToldLine(
                    talk=number,
                    node=head,
                    last=run[-1],
                    head=printed([(walk.nodes[walk.nodes[n].parent or 0].fen, walk.nodes[n].san) for n in ids]),
                    seconds=sum(by_node.get(node, 0.0) for node in run),
                    part=spot.reach if spot else 0.0,
                    choice=_leaves(told, number, head),
                )
            )
    return tuple(lines), around


def _leaves(told: Lessons, number: int, head: int) -> bool:
    """Does the way to a node hold a move of the pupil's that the lesson isn't followed by?"""
    walk = told.walks[number]
    for node in walk.line(head):
        board = chess.Board(walk.nodes[walk.nodes[node].parent or 0].fen)
        if board.turn == told.side:
            answer = told.answer(key_of(board))
            if answer is None or answer.uci != walk.nodes[node].uci:
                return True
    return False

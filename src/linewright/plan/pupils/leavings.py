"""Pupils' games against the lesson: where each left it, who did, what it cost, and what to repeat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import chess

from linewright.games.api import NO_MOVE, FileGame, Replies, matching, position_key, positions, sans, unpacked
from linewright.plan.branches import Judged
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.pupils.pupil_names import GameSide, join_spellings

#: Half-moves of each game that are compared: no lesson goes on longer.
LOOKED_AT: Final = 60
#: Games that both moves need before the base is asked what leaving cost.
FEWEST: Final = 20


class Left(StrEnum):
    """How a game left the lesson."""

    PUPIL = "the pupil"
    OPPONENT = "the opponent"
    END = "nobody"


@dataclass(frozen=True, slots=True)
class Leaving:
    """Where a game left a lesson.

    :param lesson: its number among those asked about.
    :param pupil: the name of the player on the lesson's side, as :attr:`PupilsReport.same` joins spellings.
    :param ply: half-moves played before the move that left it.
    :param fen: the last position that the lesson shows.
    :param played: the move that left it, in SAN; "" where the game ended there.
    :param taught: what the lesson shows there, in SAN.
    :param cost: expected score (0-1) of the pupil's side that the base sees lost by a pupil's move; None where too few
        games tell.
    :param line: SAN up to the position.
    :param engine_cost: the same by an engine's expected scores; None where it wasn't asked.
    """

    game: FileGame
    lesson: int
    pupil: str
    who: Left
    ply: int
    fen: str
    played: str
    taught: tuple[str, ...]
    cost: float | None
    line: tuple[str, ...]
    engine_cost: float | None = None

    @property
    def had_answer(self) -> bool:
        """The lesson shows what the pupil should have played."""
        return self.who is Left.PUPIL and bool(self.taught)


@dataclass(frozen=True, slots=True)
class LeavingSpot:
    """A move that left the lesson in several games; ``cost`` and names as in :class:`Leaving`."""

    fen: str
    played: str
    taught: tuple[str, ...]
    line: tuple[str, ...]
    who: Left
    games: int
    pupils: tuple[str, ...]
    cost: float | None
    engine_cost: float | None = None


@dataclass(frozen=True, slots=True)
class PupilsReport:
    """What a file of games shows.

    :param outside: games that never came to a lesson's own part; ``skipped``: why games couldn't be read.
    :param same: spellings of pupils' names, each with the name that its games are counted under.
    """

    titles: tuple[str, ...]
    games: int
    outside: int
    skipped: tuple[str, ...]
    left: tuple[Leaving, ...]
    same: tuple[tuple[str, str], ...] = ()

    def of(self, pupil: str) -> tuple[Leaving, ...]:
        return tuple(one for one in self.left if one.pupil == pupil)

    @property
    def pupils(self) -> tuple[str, ...]:
        """Most games first."""
        return tuple(name for name, _ in Counter(one.pupil for one in self.left).most_common())

    def spots(self, who: Left, pupil: str | None = None) -> tuple[LeavingSpot, ...]:
        """Where games left, the spot of most games first."""
        found: dict[tuple[int, str], list[Leaving]] = {}
        for one in self.left:
            if one.who is who and one.played and pupil in (None, one.pupil):
                found.setdefault((position_key(chess.Board(one.fen)), one.played), []).append(one)
        rows = [
            LeavingSpot(
                all_[0].fen, all_[0].played, all_[0].taught, all_[0].line, who, len(all_),
                tuple(dict.fromkeys(one.pupil for one in all_)), all_[0].cost, all_[0].engine_cost,
            )
            for all_ in found.values()
        ]  # fmt: skip
        return tuple(sorted(rows, key=lambda spot: (-spot.games * (1 + 10 * (spot.cost or 0)), spot.line)))


def find_leavings(
    games: Sequence[FileGame],
    lessons: Sequence[LessonIndex],
    replies: Callable[[chess.Board], Replies] | None = None,
    pupil: str = "",
    skipped: Sequence[str] = (),
    apart: bool = False,
) -> PupilsReport:
    """Each game against the lesson that it follows longest.

    :param replies: the base's, for what leaving cost; None without a base.
    :param pupil: only games in which this player has the lesson's side.
    :param apart: spellings of names are never joined.
    """
    same = {} if apart else join_spellings(entry for game in games for entry in _entries(game))
    names = sorted({name for game in games for name in (game.white, game.black) if name})
    wanted = {same.get(names[n], names[n]) for n in matching(pupil, tuple(names))} if pupil else None
    known: dict[int, Replies] = {}

    def asked(board: chess.Board) -> Replies | None:
        if replies is None:
            return None
        key = position_key(board)
        if key not in known:
            known[key] = replies(board)
        return known[key]

    left, outside = [], 0
    roots = [position_key(lesson.root) for lesson in lessons]
    for game in games:
        best: tuple[int, int] | None = None
        keys = [
            key for key, _ in zip((k for k, _ in positions(game.moves[:LOOKED_AT])), range(LOOKED_AT + 1), strict=False)
        ]
        for number, lesson in enumerate(lessons):
            player = game.white if lesson.side else game.black
            if wanted is not None and same.get(player, player) not in wanted:
                continue
            inside = _last_inside(keys, game.moves, lesson, roots[number])
            if inside is not None and (best is None or inside > best[0]):
                best = inside, number
        if best is None:
            outside += 1
            continue
        left.append(_leaving(game, best[0], best[1], lessons[best[1]], asked, same))
    pupils = {one.pupil for one in left}
    joined = tuple((name, other) for name, other in same.items() if other in pupils)
    return PupilsReport(tuple(one.title for one in lessons), len(games), outside, tuple(skipped), tuple(left), joined)


def _entries(game: FileGame) -> tuple[GameSide, GameSide]:
    """Both players' parts in a game."""
    known = game.event and game.date and game.round.strip("?- ")
    sitting = f"{game.event} {game.date} {game.round}" if known else ""
    year = int(game.date[:4]) if game.date[:4].isdigit() else 0
    return (
        GameSide(game.white, game.black, sitting, year, game.ratings[0]),
        GameSide(game.black, game.white, sitting, year, game.ratings[1]),
    )


def _last_inside(keys: Sequence[int], moves: Sequence[int], lesson: LessonIndex, root: int) -> int | None:
    """Half-moves until the last position that the lesson shows, from its own part on, or until its pupil plays what it
    shows as a mistake; None if the game never came."""
    if root not in keys:
        return None
    first = keys.index(root)
    for ply in range(first, min(len(keys), len(moves))):
        if (keys[ply], moves[ply]) in lesson.mistakes:
            return ply
    return max(ply for ply in range(first, len(keys)) if keys[ply] in lesson.moves)


def _leaving(
    game: FileGame,
    ply: int,
    number: int,
    lesson: LessonIndex,
    asked: Callable[[chess.Board], Replies | None],
    same: Mapping[str, str],
) -> Leaving:
    board = chess.Board()
    for done in game.moves[:ply]:
        board.push(unpacked(done))
    pupils_turn = board.turn == lesson.side
    shown = lesson.own(board) if pupils_turn else lesson.shown(board)
    packed = game.moves[ply] if ply < len(game.moves) else NO_MOVE
    move = unpacked(packed) if packed != NO_MOVE else None
    who = Left.END if not shown or move is None else Left.PUPIL if pupils_turn else Left.OPPONENT
    cost = None
    if who is Left.PUPIL and move is not None:
        cost = _cost(asked(board), move.uci(), {one.uci for one in shown})
    player = (game.white if lesson.side else game.black) or "?"
    return Leaving(
        game=game,
        lesson=number,
        pupil=same.get(player, player),
        who=who,
        ply=ply,
        fen=board.fen(),
        played=board.san(move) if move is not None else "",
        taught=tuple(one.san for one in shown),
        cost=cost,
        line=sans(chess.Board(), list(game.moves[:ply])),
    )


def questions(group: PupilsReport, most: int) -> tuple[chess.Board, ...]:
    """The positions after the pupils' moves and after the taught ones, of the spots of most games first."""
    found: dict[str, chess.Board] = {}
    for spot in group.spots(Left.PUPIL)[:most]:
        for san in (spot.played, *spot.taught):
            board = chess.Board(spot.fen)
            board.push_san(san)
            found.setdefault(board.epd(), board)
    return tuple(found.values())


def with_engine(group: PupilsReport, judged: Judged) -> PupilsReport:
    """The group with what leaving cost by an engine, where it was asked."""
    return replace(group, left=tuple(replace(one, engine_cost=_engine_cost(one, judged)) for one in group.left))


def _engine_cost(one: Leaving, judged: Judged) -> float | None:
    if one.who is not Left.PUPIL:
        return None
    board = chess.Board(one.fen)

    def score(san: str) -> float | None:
        after = board.copy(stack=False)
        after.push_san(san)
        white = judged(after)
        return white if white is None or board.turn else 1 - white

    played = score(one.played)
    taught = [found for san in one.taught if (found := score(san)) is not None]
    return max(taught) - played if played is not None and taught else None


def _cost(here: Replies | None, played: str, taught: set[str]) -> float | None:
    """The taught move's score less the played one's, by games; None where either has too few."""
    if here is None:
        return None
    mine = next((r for r in here.replies if r.uci == played and r.scored >= FEWEST), None)
    best = max((r.score for r in here.replies if r.uci in taught and r.scored >= FEWEST), default=None)
    return best - mine.score if mine is not None and best is not None else None

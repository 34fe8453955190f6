"""Where pupils' games left the lesson, as text and for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any, Final

import chess

from linewright.lesson.spoken import numbered
from linewright.plan.plan_text import count, line_text
from linewright.plan.pupils.leavings import Leaving, LeavingSpot, Left, PupilsReport

#: Holes that are reported for a group.
MOST: Final = 10


def leavings_lines(group: PupilsReport, each: bool) -> Iterator[str]:
    """The group, each pupil, and each game where wanted, as text."""
    yield f"{count(group.games, 'game')} against {', '.join(f'“{title}”' for title in group.titles)}"
    for reason in group.skipped[:MOST]:
        yield f"left out: {reason}"
    for name, other in group.same[:MOST]:
        yield f"“{name}” counts as “{other}”: the only player here that it fits (--apart counts them apart)."
    if len(group.same) > MOST:
        yield f"… and {count(len(group.same) - MOST, 'more spelling')} alike; --json names them all."
    if group.outside:
        yield f"{count(group.outside, 'game')} never came to the lesson's own part."
    if not group.left:
        return
    by = Counter(one.who for one in group.left)
    yield (
        f"Of {len(group.left):,} that did, the pupil left it first in {by[Left.PUPIL]:,}, the opponent in "
        f"{by[Left.OPPONENT]:,}; {by[Left.END]:,} followed it to a line's end."
    )
    yield from _spots("To repeat: the lesson has the answer, and another move was played", group.spots(Left.PUPIL))
    yield from _spots("Holes worth the next lesson: moves that it doesn't show", group.spots(Left.OPPONENT))
    for pupil in group.pupils:
        own = group.of(pupil)
        missed = group.spots(Left.PUPIL, pupil)
        yield ""
        yield f"{pupil}: {count(len(own), 'game')}, left first in {sum(one.who is Left.PUPIL for one in own)}"
        for spot in missed[:3]:
            yield f"  repeat {_spot(spot)}"
        if each:
            yield from (f"  {leaving_text(one)}" for one in own)


def _spots(heading: str, spots: Sequence[LeavingSpot]) -> Iterator[str]:
    if not spots:
        return
    yield ""
    yield f"{heading}:"
    for spot in spots[:MOST]:
        who = f"; {count(len(spot.pupils), 'pupil')}" if len(spot.pupils) > 1 else f"; {spot.pupils[0]}"
        yield f"  {count(spot.games, 'game')}: {_spot(spot)}{who}"


def _spot(spot: LeavingSpot) -> str:
    played = numbered(spot.fen, spot.played)
    after = line_text(chess.STARTING_FEN, spot.line) or "the start"
    if spot.who is Left.PUPIL:
        taught = numbered(spot.fen, " or ".join(spot.taught))
        return f"{taught} (played: {played}) after {after}{_costs(spot.cost, spot.engine_cost)}"
    return f"{played} after {after}"


def _costs(cost: float | None, engine: float | None) -> str:
    """What leaving cost, by games and by engine, as far as they tell."""
    text = ""
    if cost is not None:
        points = round(100 * cost)
        text = f"; it scores {count(points, 'point')} in a hundred less" if points > 0 else "; games score it no worse"
    if engine is None:
        return text
    points = round(100 * engine)
    less = f"{count(points, 'point')} less" if points > 0 else "no worse"
    return f"{text}; by the engine {less}"


def leaving_text(one: Leaving) -> str:
    """One game in a line."""
    place = f"{one.game.file}: game {one.game.number}, {one.game.named}, {one.game.date}"
    if one.who is Left.END:
        return f"{place}: followed the lesson to its end after {len(one.line) // 2} moves"
    played = numbered(one.fen, one.played)
    if one.who is Left.OPPONENT:
        return f"{place}: {played} is not in the lesson"
    return f"{place}: {played}; the lesson has {' or '.join(one.taught)}{_costs(one.cost, one.engine_cost)}"


def leavings_json(group: PupilsReport) -> dict[str, Any]:
    """The group for programs."""
    return {
        "lessons": list(group.titles),
        "games": group.games,
        "outside": group.outside,
        "skipped": list(group.skipped),
        "same": [{"name": name, "counted_as": other} for name, other in group.same],
        "left": [
            {
                **{key: value for key, value in asdict(one).items() if key != "game"},
                "file": one.game.file,
                "number": one.game.number,
                "white": one.game.white,
                "black": one.game.black,
                "date": one.game.date,
                "result": one.game.result,
                "had_answer": one.had_answer,
            }
            for one in group.left
        ],
        "repeat": [asdict(spot) for spot in group.spots(Left.PUPIL)],
        "holes": [asdict(spot) for spot in group.spots(Left.OPPONENT)],
    }

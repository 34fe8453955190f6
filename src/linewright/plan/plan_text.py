"""A plan and a talk's coverage in words, as tables for other programs, and as JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

import chess

from linewright.games.api import FEW_GAMES
from linewright.lesson.spoken import numbered
from linewright.plan.branches import TeachingUnit
from linewright.plan.coverage import EIGHTH, Coverage, Hole, TaughtChoice, TaughtStretch
from linewright.plan.news.recent_shift import RecentShift
from linewright.plan.planning import Plan, PlannedLine
from linewright.plan.position_flow import Reached

#: Part (0-1) of games from which on it is reported that so many are inside.
SEEN = 0.005
#: Expected score (0-1) from which on a loss is reported: below, it is within the scores' own uncertainty.
NAMED_LOSS = 0.02
#: Games that a loss must rest on to be reported: with fewer, half of it and more is the mean it is mixed with.
ENOUGH = 20


def minutes(seconds: float) -> str:
    """``6:40``."""
    return f"{round(seconds) // 60}:{round(seconds) % 60:02d}"


def length(seconds: float) -> str:
    """How long a talk is, in words: ``39 seconds``, ``1 minute``, ``6:40 minutes``."""
    whole = round(seconds)
    if whole < 60:
        return count(whole, "second")
    return f"{minutes(whole)} minutes" if whole % 60 else count(whole // 60, "minute")


def percent(part: float) -> str:
    """Whole per cent from ten up, one decimal below: ``43 %``, ``2.1 %``."""
    return f"{100 * part:.0f} %" if part >= 0.0995 else f"{100 * part:.1f} %"


def line_text(fen: str, sans: Sequence[str]) -> str:
    """Moves as books print them, from a position."""
    board = chess.Board(fen)
    parts = []
    for index, san in enumerate(sans):
        parts.append(numbered(board.fen(), san) if board.turn or not index else san)
        board.push_san(san)
    return " ".join(parts)


def line_moves(plan: Plan, line: PlannedLine) -> tuple[str, tuple[str, ...]]:
    """A line's FEN before its first move, and its moves in SAN."""
    moves = []
    for unit in line.units:
        found = plan.units[unit]
        moves += [found.reply, *([found.answer] if found.answer else [])]
    return plan.units[line.units[0]].before, tuple(moves)


def way_sans(plan: Plan, unit: int) -> tuple[str, ...]:
    """The moves in SAN from the plan's start to a unit's reply."""
    board = chess.Board(plan.start)
    return tuple(board.san_and_push(chess.Move.from_uci(uci)) for uci in plan.units[unit].line)


def plan_lines(plan: Plan) -> Iterator[str]:
    """The plan as text."""
    side = "White" if plan.side else "Black"
    where = line_text(plan.root, [plan.opening]) if plan.opening else ""
    yield f"For {side}, {length(plan.budget)}; {plan.games:,} games{f' ({plan.only})' if plan.only else ''}."
    if plan.note:
        yield f"Note: {plan.note}."
    if not plan.units:
        yield "Too few games to plan by: add games, or widen --ratings and --years."
        return
    if where:
        yield f"Your pupil plays {where}."
    yield ""
    yield f"Tell {count(len(plan.lines), 'line')} in {minutes(plan.seconds)}, in this order:"
    for number, line in enumerate(plan.lines, start=1):
        fen, sans = line_moves(plan, line)
        first = plan.units[line.units[0]]
        yield f"{number:>3}. {line_text(fen, sans)}"
        begun = f"{percent(first.chance)} of your pupil's games begin it"
        yield f"     {begun}; {minutes(line.seconds)} to tell{_why(plan, line)}"
    yield ""
    yield f"With it a pupil is still inside {_reached(plan.reached)}."
    yield from _lately(plan.lately)
    joins = [unit for number in plan.chosen if (unit := plan.units[number]).joins]
    for unit in joins:
        pair = line_text(unit.before, [unit.reply, unit.answer])
        yield f"{pair} comes to a position of another line: say so, and stop."
    if plan.next:
        yield ""
        yield "For another talk:"
        for number in plan.next:
            unit = plan.units[number]
            yield (
                f"  {line_text(plan.start, way_sans(plan, number))}: {percent(unit.chance)} of games"
                f"{_answer(unit.answer, unit.before, unit.reply)}"
            )


def _answer(answer: str, before: str, reply: str) -> str:
    if not answer:
        return ""
    board = chess.Board(before)
    board.push_san(reply)
    return f", answered by {numbered(board.fen(), answer)}"


def costliest_position(plan: Plan, line: PlannedLine) -> TeachingUnit | None:
    """Where a pupil who has not seen a line loses most, if anywhere, and enough games tell."""
    known = [unit for unit in (plan.units[number] for number in line.units) if unit.answered >= ENOUGH and unit.wrong]
    dear = max(known, key=lambda unit: unit.loss, default=None)
    return dear if dear is not None and dear.loss >= NAMED_LOSS else None


def _why(plan: Plan, line: PlannedLine) -> str:
    """What not having seen a line costs."""
    dear = costliest_position(plan, line)
    if dear is None:
        return ""
    san, share = dear.wrong[0]
    mine, other = numbered(dear.after, dear.answer), numbered(dear.after, san)
    points = count(round(100 * dear.loss), "point")
    text = (
        f"; not knowing {mine} costs {points} in a hundred games (of {dear.answered:,}, {percent(share)} play {other})"
    )
    return text if dear.engine_loss is None else f"{text}, by the engine {100 * dear.engine_loss:.0f}"


def _reached(rows: Sequence[Reached]) -> str:
    """Every second move, with the 95 % interval: ``to move 8 in 54 % (52–56), to move 10 in 26 % (23–29) of the
    games``."""
    seen = [row for row in rows if row.part >= SEEN]
    shown = [row for row in seen if row.move % 2 == 0] or seen
    parts = [f"to move {row.move} in {percent(row.part)} ({_between(row)})" for row in shown]
    return ", ".join(parts) + " of the games"


def _between(row: Reached) -> str:
    """An interval's ends as :func:`percent` writes its middle, without the sign."""
    digits = 0 if row.part >= 0.0995 else 1
    return f"{100 * row.low:.{digits}f}–{100 * row.high:.{digits}f}"


def _lately(found: RecentShift | None) -> Iterator[str]:
    """What the newest games say, where it is something else."""
    if found is not None and any(row.part >= SEEN for row in found.reached):
        yield (
            f"By the newest {count(found.games, 'game')} alone, those since {found.since}, it is "
            f"{_reached(found.reached)}: what is played has changed; --years {found.since}- plans by them."
        )


def count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'s' if number != 1 else ''}"


def coverage_summary(found: Coverage) -> Iterator[str]:
    """How much a talk covers, in sentences."""
    side = "White" if found.side else "Black"
    after = line_text(chess.STARTING_FEN, found.line) if found.line else "the start position"
    yield f"For {side}, {length(found.seconds)}."
    yield f"Counted from {after}: {count(found.games, 'game')}{f' ({found.only})' if found.only else ''}."
    if found.note:
        yield f"Note: {found.note}."
    if found.games < FEW_GAMES:
        yield f"Few games (fewer than {FEW_GAMES}): take the figures as hints."
    rows = [row for row in found.reached if row.part >= SEEN]
    if rows:
        yield f"A pupil who plays its moves is still inside {_reached(rows)}."
        yield from _lately(found.lately)
    if rows and found.seconds:
        eighth = next((row for row in rows if row.move >= EIGHTH), rows[-1])
        each = count(round(found.seconds / (100 * eighth.part)), "second")
        yield f"{each} of talk for each percent that stays inside to move {eighth.move}."
    if found.ends >= HOLE_ENDS:
        yield f"In {percent(found.ends)} the talk's line is at its end before anyone leaves it."


def coverage_lines(found: Coverage, alone: bool = True) -> Iterator[str]:
    """A talk's coverage as text.

    :param alone: it is the only talk asked about, so that what its pupil follows can be named.
    """
    yield found.title
    yield from coverage_summary(found)
    yield from choice_lines(found, alone)
    if found.holes:
        yield ""
        yield "Biggest holes:"
        for hole in found.holes:
            yield f"  {hole_text(hole)}"
        if found.more:
            yield f"  … and {count(found.more, 'smaller one')}"
    if found.rare:
        yield ""
        yield "In the talk, though almost nobody meets it:"
        for stretch in found.rare:
            yield f"  {line_text(chess.STARTING_FEN, stretch.line)}: {minutes(stretch.seconds)}, {met_text(stretch)}"


def choice_lines(found: Coverage, alone: bool) -> Iterator[str]:
    """The choices, with what is counted, and how to count otherwise."""
    if not found.choices:
        return
    yield ""
    yield "It gives its pupil a choice:"
    for choice in found.choices:
        names = [numbered(choice.fen, san) for san in choice.moves]
        where = line_text(chess.STARTING_FEN, choice.line) or "the start"
        yield f"  {' or '.join(names)} after {where} ({percent(choice.chance)} of games)"
        yield f"     counted here: {counted_text(found, choice)}; {inside_text(choice)}"
    first = found.choices[0]
    if alone:
        yield f"  (--follow {numbered(first.fen, first.moves[1])} counts another move, --follow either all alike.)"


def counted_text(found: Coverage, choice: TaughtChoice) -> str:
    """Which move of a choice is counted."""
    return "each as often" if found.either else numbered(choice.fen, choice.moves[0])


def inside_text(choice: TaughtChoice) -> str:
    """How much stays inside with each move of a choice."""
    names = [numbered(choice.fen, san) for san in choice.moves]
    each = ", ".join(f"{percent(part)} with {name}" for name, part in zip(names, choice.inside, strict=True))
    return f"inside to move {choice.move}: {each}"


#: Part (0-1) of games from which on it is reported that lines end.
HOLE_ENDS = 0.05


def met_text(stretch: TaughtStretch) -> str:
    if not stretch.chance:
        return "in no game counted"
    often = round(1 / stretch.chance)
    return f"one game in {often:,}"


def hole_text(hole: Hole) -> str:
    """One hole in one line."""
    text = (
        f"{numbered(hole.before, hole.reply)} after {line_text(chess.STARTING_FEN, hole.line) or 'the start'}: "
        f"{percent(hole.chance)} of games ({percent(hole.share)} of {hole.of:,} there)"
    )
    if hole.answer:
        text += f"; {numbered(hole.after, hole.answer)} scores {100 * hole.score:.0f} %"
        if hole.loss >= NAMED_LOSS:
            text += f", and pupils who don't know it {100 * (hole.score - hole.loss):.0f} %"
    return text


def plan_json(plan: Plan) -> dict[str, Any]:
    """The plan for programs; chances and shares 0-1, ``worth`` in points in a hundred games."""
    chosen = set(plan.chosen)
    return {
        "root": plan.root,
        "side": "white" if plan.side else "black",
        "games": plan.games,
        "only": plan.only,
        "note": plan.note,
        "budget": plan.budget,
        "seconds": plan.seconds,
        "opening": plan.opening,
        "worth": plan.worth,
        "greedy": plan.greedy,
        "reached": [asdict(row) for row in plan.reached],
        "lately": asdict(plan.lately) if plan.lately is not None else None,
        "lines": [
            {
                "moves": list(line_moves(plan, line)[1]),
                "from": line_moves(plan, line)[0],
                "back": line.back,
                "seconds": line.seconds,
            }
            for line in plan.lines
        ],
        "next": list(plan.next),
        "replies": [
            {**_unit_json(unit), "worth": unit.worth, "chosen": number in chosen}
            for number, unit in enumerate(plan.units)
        ],
    }


def _unit_json(unit: TeachingUnit) -> dict[str, Any]:
    """A unit for programs, which know ``shown`` by another name."""
    found = asdict(unit)
    shown = found.pop("shown")
    return {**found, "told": shown}


def coverage_json(found: Coverage) -> dict[str, Any]:
    """Coverage for programs."""
    return {
        **asdict(found),
        "side": "white" if found.side else "black",
        "holes": [{**asdict(hole), "worth": hole.worth} for hole in found.holes],
        "rare": [stretch.node for stretch in found.rare],
    }


def plan_csv(plan: Plan) -> str:
    """Every reply looked at, one a row."""
    chosen = set(plan.chosen)
    rows = [
        (
            line_text(plan.start, way_sans(plan, n)), unit.answer, n in chosen, f"{unit.chance:.4f}",
            f"{unit.share:.4f}", unit.of, f"{unit.loss:.4f}",
            "" if unit.engine_loss is None else f"{unit.engine_loss:.4f}",
            unit.seconds, f"{unit.worth:.4f}",
        )
        for n, unit in enumerate(plan.units)
    ]  # fmt: skip
    head = ("line", "answer", "chosen", "chance", "share", "games", "loss", "engine_loss", "seconds", "worth")
    return _csv(head, rows)


def coverage_csv(found: Coverage) -> str:
    """Lines and holes of a talk, one a row."""
    rows: list[tuple[Any, ...]] = [
        ("line", line_text(chess.STARTING_FEN, s.line), f"{s.chance:.4f}", f"{s.seconds:.0f}", "", "", "")
        for s in found.stretches
    ]
    rows += [
        ("hole", f"{line_text(chess.STARTING_FEN, (*h.line, h.reply))}", f"{h.chance:.4f}", "", h.answer,
         f"{h.loss:.4f}", f"{h.worth:.4f}")
        for h in found.holes
    ]  # fmt: skip
    return _csv(("what", "line", "chance", "seconds", "answer", "loss", "worth"), rows)


def _csv(head: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return out.getvalue()

"""An outline talk to start from: a typed talk that tells the plan's lines, with what could be said as notes."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import chess

from linewright.games.api import Colour, GameFilter, GameSource, ModelGame, parse_position
from linewright.lesson.opening import opening_at
from linewright.lesson.spoken import numbered
from linewright.plan.plan_text import costliest_position
from linewright.plan.planning import Plan, PlannedLine

#: Replies whose plans are asked for: the taught one is among the most played nearly always.
STUDIED = 4
#: Games that must show a plan for it to be proposed: fewer are no plan, but those games.
SHOWN_PLANS = 5
#: A move at the end of a catalogue's name ("French Defence Normal, d5"), which the reader would play.
_MOVE = re.compile(r",? ?(?:[KQRBN]?[a-h]?x?[a-h][1-8]|O-O(?:-O)?)$")
#: Letters name the positions that the outline goes back to: A to Z, then A1 …
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class LineFacts:
    """What the base says at a line's end: a plan of the pupil's side, and a game worth showing; "" for none."""

    plan: str = ""
    game: str = ""


#: From the board before the pupil's last move of a line, and that move in UCI, to what is worth saying there.
Know = Callable[[chess.Board, str], LineFacts]


def know_nothing(_: chess.Board, __: str) -> LineFacts:
    return LineFacts()


def facts_from(games: GameSource, side: chess.Color, only: GameFilter) -> Know:
    """Asks the base for a line's plan and model game."""
    colour: Colour = "white" if side else "black"

    def know(board: chess.Board, uci: str) -> LineFacts:
        plan = ""
        for studied in games.study(board, only, STUDIED).replies:
            if studied.reply.uci == uci and studied.plans and studied.plans[0].part.games >= SHOWN_PLANS:
                best = studied.plans[0]
                plan = f"{', '.join(best.moves)} ({best.part.games} of {best.part.of} games)"
        after = board.copy(stack=False)
        after.push_uci(uci)
        models = games.model_games(after, 1, only, colour)
        return LineFacts(plan, _named(models[0]) if models else "")

    return know


def _named(model: ModelGame) -> str:
    row = model.game
    year = f" {row.year}" if row.year and str(row.year) not in row.event else ""
    result = row.result.replace("1/2", "½").replace("-", "–")
    return f"{row.white or '?'} – {row.black or '?'}, {row.event or row.site}{year}, {result}: {model.why}"


def title_of(plan: Plan) -> str:
    """The opening's name for a heading."""
    board = chess.Board(plan.root)
    named = opening_at(board.fen())
    return _MOVE.sub("", named.name) if named else "An opening lesson"


def write_outline(plan: Plan, way: Sequence[str], know: Know = know_nothing) -> str:
    """The plan as a typed talk in Markdown, whose moves ``linewright read`` reads back as they stand.

    What could be said stands in comments (``<!-- … -->``), which are not said.

    :param way: the moves to the plan's first position, in SAN.
    """
    side = "white" if plan.side else "black"
    out = [f"# {title_of(plan)}", "", f"{{side: {side}}}", ""]
    start = chess.Board()
    if start.fen() != plan.root and not way:
        out += [f"{{start: {plan.root}}}", ""]
        start = chess.Board(plan.root)
    opening = [*way, *([plan.opening] if plan.opening else [])]
    out.append(f"<!-- {plan.games:,} games{f' ({plan.only})' if plan.only else ''}; say what the opening is about -->")
    names: dict[tuple[str, ...], str] = {}
    forks = _forks(plan)
    shown = start.copy(stack=False)
    text = _written(shown, opening, True)
    if () in forks:
        names[()] = _LETTERS[0]
        text += f" {{here: {names[()]}}}"
    out += [text.strip() or "<!-- from the start position -->", ""]
    for number, line in enumerate(plan.lines):
        first = plan.units[line.units[0]]
        board = chess.Board(first.before)
        heading = "Main line" if not number else f"Sideline {number}"
        out += [f"## {heading}", ""]
        branch = first.line[:-1]
        out.append(f"<!-- {_share(plan, line.units[0])} -->")
        parts = [f"{{back: {names[branch]}}}"] if number and branch in names else []
        last = (board.copy(stack=False), "")
        fresh = True
        for unit in line.units:
            found = plan.units[unit]
            parts.append(_written(board, [found.reply], fresh))
            fresh = False
            if found.answer:
                last = (board.copy(stack=False), found.answer_uci)
                parts.append(_written(board, [found.answer], fresh))
            after = plan.moves(unit)
            if after in forks and after not in names:
                names[after] = _name(len(names))
                parts.append(f"{{here: {names[after]}}}")
                fresh = True
        out += [" ".join(parts), ""]
        facts = know(*last) if last[1] else LineFacts()
        out += [*_notes(plan, line, facts), ""]
    return "\n".join(out).rstrip() + "\n"


def _forks(plan: Plan) -> set[tuple[str, ...]]:
    """The positions, by their moves, that a later line goes back to."""
    return {plan.units[line.units[0]].line[:-1] for line in plan.lines[1:]}


def _name(number: int) -> str:
    letter, turn = _LETTERS[number % len(_LETTERS)], number // len(_LETTERS)
    return f"{letter}{turn or ''}"


def _written(board: chess.Board, moves: Sequence[str], fresh: bool) -> str:
    """Moves as books write them, played on the board.

    :param fresh: the first needs its number also where it is Black's.
    """
    parts = []
    for index, san in enumerate(moves):
        parts.append(numbered(board.fen(), san) if board.turn or (fresh and not index) else san)
        board.push_san(san)
    return " ".join(parts)


def _share(plan: Plan, unit: int) -> str:
    found = plan.units[unit]
    return (
        f"{100 * found.share:.0f} % of {found.of:,} games go this way; "
        f"{100 * found.chance:.1f} % of your pupil's games from the first position"
    )


def _notes(plan: Plan, line: PlannedLine, facts: LineFacts) -> list[str]:
    notes = []
    dear = costliest_position(plan, line)
    if dear is not None:
        san, share = dear.wrong[0]
        mine, other = numbered(dear.after, dear.answer), numbered(dear.after, san)
        notes.append(
            f"<!-- careful at {mine}: unprepared players score {100 * dear.loss:.0f} points in a hundred less here; "
            f"{100 * share:.0f} % play {other} -->"
        )
    if facts.plan:
        notes.append(f"<!-- plan: {facts.plan} -->")
    if facts.game:
        notes.append(f"<!-- model game: {facts.game} -->")
    return notes


def way_of(moves: str) -> tuple[str, ...]:
    """Moves as the user wrote them, in SAN."""
    end = parse_position(None, moves)
    board = chess.Board()
    return tuple(board.san_and_push(move) for move in end.move_stack)

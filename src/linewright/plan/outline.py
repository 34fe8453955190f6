"""An outline talk to start from: a typed talk that tells the plan's lines, with what could be said as notes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import chess

from linewright.base.archive import Archive
from linewright.base.filters import Colour, GameFilter
from linewright.base.position import parse_position
from linewright.lesson.opening import opening_at
from linewright.plan.planning import Plan

#: Letters name the positions that the outline goes back to: A to Z, then A1 …
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Facts:
    """What the base says at a line's end: a plan of the pupil's side, and a game worth showing; "" for none."""

    plan: str = ""
    game: str = ""


#: From a board at a line's end to what is worth saying there.
Know = Callable[[chess.Board], Facts]


def nothing(_: chess.Board) -> Facts:
    return Facts()


def facts_from(archive: Archive, side: chess.Color, only: GameFilter) -> Know:
    """Asks the base for a line's plan and model game."""
    colour: Colour = "white" if side else "black"

    def know(board: chess.Board) -> Facts:
        games = archive.model_games(board, 1, only, colour)
        game = ""
        if games:
            row = games[0].game
            year = f" {row.year}" if row.year else ""
            game = f"{row.white or '?'} – {row.black or '?'}, {row.event or row.site}{year}, {row.result}: {games[0].why}"
        return Facts(_plan(archive, board, side, only), game)

    return know


def _plan(archive: Archive, board: chess.Board, side: chess.Color, only: GameFilter) -> str:
    for reply in archive.study(board, only, 2).replies:
        if board.turn == side and reply.plans:
            plan = reply.plans[0]
            return f"{reply.reply.san}, then {', '.join(plan.moves)} ({plan.part.games} of {plan.part.of} games)"
        if board.turn != side:
            break
    return ""


def title_of(plan: Plan) -> str:
    """The opening's name for a heading."""
    board = chess.Board(plan.root)
    named = opening_at(board.fen())
    return named.name if named else "An opening lesson"


def outline(plan: Plan, way: Sequence[str], know: Know = nothing) -> str:
    """The plan as a typed talk in Markdown, whose moves ``linewright read`` reads back as they stand.

    What could be said stands in comments (``<!-- … -->``), which are not told.

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
    told = start.copy(stack=False)
    text = _written(told, opening)
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
        for unit in line.units:
            found = plan.units[unit]
            moves = [found.reply, *([found.answer] if found.answer else [])]
            parts.append(_written(board, moves))
            after = plan.moves(unit)
            if after in forks and after not in names:
                names[after] = _name(len(names))
                parts.append(f"{{here: {names[after]}}}")
        out += [" ".join(parts) + "." if not parts[-1].endswith("}") else " ".join(parts), ""]
        out += [*_notes(plan, line.units, know(board)), ""]
    return "\n".join(out).rstrip() + "\n"


def _forks(plan: Plan) -> set[tuple[str, ...]]:
    """The positions, by their moves, that a later line goes back to."""
    return {plan.units[line.units[0]].line[:-1] for line in plan.lines[1:]}


def _name(number: int) -> str:
    letter, turn = _LETTERS[number % len(_LETTERS)], number // len(_LETTERS)
    return f"{letter}{turn or ''}"


def _written(board: chess.Board, moves: Sequence[str]) -> str:
    """Moves as books write them, played on the board."""
    parts = []
    for index, san in enumerate(moves):
        if board.turn:
            parts.append(f"{board.fullmove_number}.{san}")
        else:
            parts.append(f"{board.fullmove_number}...{san}" if not index else san)
        board.push_san(san)
    return " ".join(parts)


def _share(plan: Plan, unit: int) -> str:
    found = plan.units[unit]
    return (
        f"{100 * found.share:.0f} % of {found.of:,} games go this way; "
        f"{100 * found.chance:.1f} % of your pupil's games from the first position"
    )


def _notes(plan: Plan, units: Sequence[int], facts: Facts) -> list[str]:
    notes = []
    dear = max((plan.units[u] for u in units), key=lambda unit: unit.loss)
    if dear.loss >= 0.03 and dear.wrong:
        san, share = dear.wrong[0]
        move = chess.Board(dear.after)
        number = f"{move.fullmove_number}{'.' if move.turn else '...'}"
        notes.append(
            f"<!-- careful at {number}{dear.answer}: unprepared players score {100 * dear.loss:.0f} points in a hundred "
            f"less here; {100 * share:.0f} % play {san} -->"
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

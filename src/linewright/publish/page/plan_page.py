"""The page of a plan, or of what talks cover: the map, on which thickness is likelihood and holes are open ends."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import chess
from markupsafe import Markup, escape

from linewright.lesson.spoken import figurine, numbered
from linewright.plan.branches import TeachingUnit
from linewright.plan.coverage import Coverage
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.outline import title_of
from linewright.plan.plan_text import (
    costliest_position,
    count,
    counted_text,
    coverage_summary,
    inside_text,
    line_moves,
    line_text,
    met_text,
    minutes,
    percent,
    plan_lines,
    way_sans,
)
from linewright.plan.planning import Plan
from linewright.publish.html.self_contained import environment, style_maker
from linewright.publish.theme import PLAIN, Theme

#: Distances of the map in its own units (CSS pixels at full width).
ROW: Final = 30
STEP: Final = 26
LEFT: Final = 16
TOP: Final = 26
#: Width of a rail that every game takes, and of one that hardly any does.
WIDEST, THINNEST = 14.0, 1.2

#: A piece's letter before where it goes.
_MOVE: Final = re.compile(r"(?<![A-Za-z])([KQRBN])(?=[a-h]?[1-8]?x?[a-h][1-8])")

#: The part of a sentence that names options of the command line: a page has none.
_OPTIONS: Final = re.compile(r"[;:,]? [^;:,.]*--[a-z][^.]*(?=\.)")

#: The page's own rules, beside those of page.css.
_CSS: Final = """
.chance { fill: none; stroke: var(--ink); stroke-linecap: butt; }
.chance.gap { stroke: var(--vermillion); stroke-dasharray: 5 4; }
.open { fill: var(--paper); stroke: var(--vermillion); stroke-width: 2; }
.shut { fill: var(--ink); stroke: none; }
.covers .sheet { overflow-x: auto; margin: 0.8rem 0; max-height: none; } .covers svg { display: block; }
.covers svg text { font: 15px/1 var(--serif); fill: var(--ink); }
.covers svg .name { paint-order: stroke; stroke: var(--paper); stroke-width: 4px; }
.covers table { margin: 0.6rem 0 1.2rem; } .covers td.n { text-align: right; font-feature-settings: "lnum", "tnum"; }
"""


@dataclass(frozen=True, slots=True)
class Twig:
    """A run of moves on the map.

    :param line: the moves before it, from the map's start; ``moves`` its own. In SAN or UCI, all twigs' alike.
    :param chances: of each of ``moves`` (0-1).
    :param label: its first move.
    :param hole: it is left open.
    """

    line: tuple[str, ...]
    moves: tuple[str, ...]
    chances: tuple[float, ...]
    label: str
    hole: bool


def width(chance: float) -> float:
    """A rail's width: its area grows as the chance does, and the rarest stays visible."""
    return round(THINNEST + (WIDEST - THINNEST) * max(0.0, min(1.0, chance)), 2)


def laid_out(twigs: Sequence[Twig]) -> list[tuple[Twig, int]]:
    """The twigs in the order of their rows, each with the row that it branches from (-1: the start's own).

    Under each come its own, the one that branches off last first: so no rail crosses another, or a label.
    """
    parents = [_parent(twigs, number) for number in range(len(twigs))]
    rows: list[tuple[Twig, int]] = []

    def put(number: int, row: int) -> None:
        rows.append((twigs[number], row))
        own = len(rows) - 1
        sides = [n for n, parent in enumerate(parents) if parent == number]
        for side in sorted(sides, key=lambda n: -len(twigs[n].line)):
            put(side, own)

    for number, parent in enumerate(parents):
        if parent < 0:
            put(number, 0 if rows else -1)
    return rows


def _parent(twigs: Sequence[Twig], number: int) -> int:
    """The twig whose moves lead to where this one begins; -1 where it begins at the start."""
    line = twigs[number].line
    for other, twig in enumerate(twigs):
        way = (*twig.line, *twig.moves)
        if other != number and len(twig.line) < len(line) and way[: len(line)] == line:
            return other
    return -1


def draw(twigs: Sequence[Twig], words: str) -> Markup:
    """The map as SVG, one row for each twig, described in words for a screen reader.

    :param words: what the picture says, in a sentence.
    """
    drawn: list[str] = []
    longest = 0.0
    rows = laid_out(twigs)
    for number, (twig, parent) in enumerate(rows):
        y, x = TOP + ROW * number, LEFT + STEP * len(twig.line)
        kind = "chance gap" if twig.hole else "chance"
        if parent >= 0:
            drawn.append(
                f'<path class="{kind}" stroke-width="{width(twig.chances[0])}" '
                f'd="M{x} {TOP + ROW * parent}V{y - 8}Q{x} {y} {x + 8} {y}"/>'
            )
        for index, chance in enumerate(twig.chances):
            left = x + STEP * index + (8 if parent >= 0 and not index else 0)
            drawn.append(
                f'<path class="{kind}" stroke-width="{width(chance)}" d="M{left} {y}H{x + STEP * (index + 1)}"/>'
            )
        end = x + STEP * len(twig.chances)
        mark, size = ("open", 5) if twig.hole else ("shut", 4)
        text = f"{twig.label} {percent(twig.chances[0])}"
        drawn.append(f'<circle class="{mark}" cx="{end}" cy="{y}" r="{size}"/>')
        drawn.append(f'<text class="name" x="{end + 11}" y="{y + 4}">{escape(figurine_text(text))}</text>')
        longest = max(longest, end + 24 + 8 * len(text))
    height = TOP + ROW * len(rows)
    return Markup(
        f'<svg role="img" aria-label="{escape(words)}" width="{longest:.0f}" height="{height}" '
        f'viewBox="0 0 {longest:.0f} {height}">{"".join(drawn)}</svg>'
    )


def plan_twigs(plan: Plan) -> Iterator[Twig]:
    """The plan's lines, and its most likely untold replies as open ends; moves in UCI."""
    for line in plan.lines:
        first = plan.units[line.units[0]]
        moves: list[str] = []
        chances: list[float] = []
        for number in line.units:
            unit = plan.units[number]
            moves += [unit.line[-1], unit.answer_uci]
            chances += [unit.chance] * 2
        yield Twig(first.line[:-1], tuple(moves), tuple(chances), numbered(first.before, first.reply), False)
    for number in _holes(plan):
        unit = plan.units[number]
        yield Twig(unit.line[:-1], unit.line[-1:], (unit.chance,), numbered(unit.before, unit.reply), True)


def _holes(plan: Plan) -> list[int]:
    """Replies left out of positions that are shown, likeliest first."""
    chosen = set(plan.chosen)
    beside = [n for n, u in enumerate(plan.units) if n not in chosen and (u.parent < 0 or u.parent in chosen)]
    return sorted(beside, key=lambda n: -plan.units[n].chance)[:MOST_HOLES]


#: Open ends drawn: the rest is in the table.
MOST_HOLES = 10


def coverage_twigs(found: Coverage) -> Iterator[Twig]:
    """A talk's lines below its root, and its holes as open ends; moves in SAN."""
    root = len(found.line)
    for stretch in found.stretches:
        yield Twig(stretch.line[root:-1], stretch.run, stretch.chances, _numbered_last(stretch.line), False)
    for hole in found.holes:
        line = (*hole.line, hole.reply)
        yield Twig(hole.line[root:], (hole.reply,), (hole.chance,), _numbered_last(line), True)


def _numbered_last(line: Sequence[str]) -> str:
    board = chess.Board()
    for san in line[:-1]:
        board.push_san(san)
    return numbered(board.fen(), line[-1])


def plan_page(plan: Plan, title: str = "", theme: Theme = PLAIN) -> str:
    """A plan as one HTML file without script or network."""
    rows = [
        (
            line_text(*line_moves(plan, line)),
            percent(plan.units[line.units[0]].chance),
            minutes(line.seconds),
            _dear(costliest_position(plan, line)),
        )
        for line in plan.lines
    ]
    left = [
        (
            line_text(plan.start, way_sans(plan, n)),
            percent(plan.units[n].chance),
            numbered(plan.units[n].after, plan.units[n].answer),
        )
        for n in _holes(plan)
    ]
    words = f"{len(plan.lines)} lines; the wider a line, the more of the pupil's games take it"
    text = list(plan_lines(plan))
    summary = [*text[: text.index("") if "" in text else None]]
    summary += [line for line in text if line.startswith(("With it", "By the newest"))]
    body = [
        _sheet(draw(list(plan_twigs(plan)), words)),
        _table("To teach, in this order", ("line", "of games", "minutes", "lost in 100 games if not known"), rows),
        _table("Open ends: not in the talk", ("line", "of games", "answer"), left),
    ]
    named = title_of(plan)
    return _page(title or f"Plan: {named}", [figurine_text(s) for s in summary], body, theme)


def _dear(unit: TeachingUnit | None) -> str:
    """What not having seen a line costs, and at which move."""
    if unit is None:
        return ""
    return f"{numbered(unit.after, unit.answer)}: {count(round(100 * unit.loss), 'point')}"


def coverage_page(
    found: Sequence[Coverage], lessons: Sequence[LessonIndex], theme: Theme = PLAIN, together: Sequence[str] = ()
) -> str:
    """What talks cover, as one HTML file without script or network.

    :param together: what is to be said of several talks together, a line each.
    """
    body: list[Markup] = []
    summary: list[str] = []
    for one, lesson in zip(found, lessons, strict=True):
        words = f"{one.title}: {len(one.stretches)} lines and {len(one.holes)} holes"
        said = [figurine_text(line) for line in coverage_summary(one)]
        if len(found) == 1:
            summary = said
        else:
            body += [Markup("<h2>{}</h2>").format(lesson.title), *(Markup("<p>{}</p>").format(line) for line in said)]
        body += [
            _sheet(draw(list(coverage_twigs(one)), words)),
            *_coverage_tables(one),
        ]
    if together:
        items = Markup("").join(Markup("<li>{}</li>").format(figurine_text(line.strip())) for line in together[1:])
        body.append(Markup("<h2>{}</h2><ul>{}</ul>").format(together[0], items))
    title = found[0].title if len(found) == 1 else f"{len(found)} talks"
    return _page(f"{title}: what it covers" if len(found) == 1 else f"{title}: what they cover", summary, body, theme)


def _coverage_tables(found: Coverage) -> Iterator[Markup]:
    """Choices, holes, and lines that hardly anybody meets."""
    root = len(found.line)

    def after(line: Sequence[str]) -> str:
        return line_text(found.root, line[root:]) or "at once"

    choices = [
        (
            " or ".join(numbered(one.fen, san) for san in one.moves),
            after(one.line),
            percent(one.chance),
            counted_text(found, one),
            inside_text(one),
        )
        for one in found.choices
    ]
    yield _table("Where it gives its pupil a choice", ("moves", "after", "of games", "counted", "covers"), choices)
    holes = [
        (
            numbered(hole.before, hole.reply),
            after(hole.line),
            percent(hole.chance),
            f"{numbered(hole.after, hole.answer)} scores {percent(hole.score)}" if hole.answer else "",
        )
        for hole in found.holes
    ]
    yield _table("Biggest holes", ("reply", "after", "of games", "answer"), holes)
    rare = [(after(one.line), minutes(one.seconds), met_text(one)) for one in found.rare]
    yield _table("In the talk, though almost nobody meets it", ("line", "minutes", "met"), rare)


def figurine_text(text: str) -> str:
    """Moves inside running text with figurines; words keep their letters, and options of the command line go."""
    return _MOVE.sub(lambda found: figurine(found[1]), _OPTIONS.sub("", text))


def _sheet(drawing: Markup) -> Markup:
    return Markup('<div class="sheet" tabindex="0" role="region" aria-label="Map">{}</div>').format(drawing)


def _table(heading: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> Markup:
    if not rows:
        return Markup("")
    top = Markup("").join(Markup('<th scope="col">{}</th>').format(cell) for cell in head)
    lines = Markup("").join(
        Markup("<tr>{}</tr>").format(Markup("").join(Markup("<td>{}</td>").format(figurine_text(cell)) for cell in row))
        for row in rows
    )
    return Markup(
        '<h2>{}</h2><div class="wide"><table><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>'
    ).format(heading, top, lines)


def _page(title: str, summary: Sequence[str], body: Sequence[Markup], theme: Theme) -> str:
    return (
        environment()
        .get_template("plan.html.j2")
        .render(title=title, theme=theme, style=style_maker(theme, _CSS), summary=summary, parts=body)
    )

"""The lesson page: one self-contained HTML file that needs no network."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from typing import Any

from markupsafe import Markup

from linewright.lesson.finding import Finding, Verdict
from linewright.lesson.lines import lesson_lines
from linewright.lesson.opening import lesson_opening, names_by_node
from linewright.lesson.spoken import white_to_move, written
from linewright.lesson.walk import Opening, ReturnStep, Walk
from linewright.publish.games_shown import ShownGame, heading
from linewright.publish.handout.book import marks_at
from linewright.publish.html.board_element import element_script, picture_labels
from linewright.publish.html.board_svg import piece_shapes
from linewright.publish.html.diagrams import diagram, hatched_board
from linewright.publish.html.markup import figurines, for_eye_and_ear, html, move, node_move, node_spoken, spoken
from linewright.publish.html.self_contained import (
    asset,
    csp_hash,
    environment,
    island,
    mark_address,
    style_maker,
)
from linewright.publish.page.margin import MarginNote, margin_notes
from linewright.publish.page.opening_map import draw_map, map_html
from linewright.publish.page.passage_html import Showing, lines_html, passage_html
from linewright.publish.page.passages import set_passages
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.timing import minutes
from linewright.talk.model import Unit

#: The shapes of a printer's marks, each with one colour of the Okabe-Ito set (in page.css).
MARK_SHAPES = ("ring", "dot", "cross", "path")
#: The labels that the script says.
SPOKEN_BY_SCRIPT = ("start", "back_to", "to_move_w", "to_move_b", "board", "perhaps", "other_reading")


@dataclass(frozen=True, slots=True)
class Recording:
    """The sound or picture that the page plays beside the words.

    :param file: its name beside the page.
    :param video: it has a picture.
    """

    file: str
    video: bool = False


def lesson_page(
    walk: Walk,
    findings: Sequence[Finding] = (),
    *,
    doubts: bool = True,
    models: Sequence[ShownGame] = (),
    theme: Theme = PLAIN,
    recording: Recording | None = None,
    day: date | None = None,
) -> str:
    """The lesson as an HTML page, with the findings in its margin.

    The page holds everything it needs: styles, script, piece shapes and positions. Its content security
    policy forbids everything else, so text from a talk could not run even if it were not escaped.

    :param doubts: the trainer's page, with findings and unsure places; False for the pupils', without.
    :param models: games to play through to their end.
    :param recording: followed by board and words, where the talk has times.
    """
    noted = margin_notes(walk, findings, theme.language) if doubts else ()
    timed = recording is not None and walk.talk.unit is Unit.SECONDS
    data = positions(walk, noted, theme)
    data["games"] = [{"node": game.node, "uci": list(game.moves)} for game in models]
    if timed:
        data |= times(walk)
    how = Showing(walk, {note.number: note for note in noted}, doubts, timed, theme)
    return (
        environment()
        .get_template("page.html.j2")
        .render(
            theme=theme,
            L=theme.labels(),
            logo=mark_address(theme),
            style=style_maker(theme),
            head=PageHead(walk.title, walk.side, lesson_opening(walk), facts(walk, theme, day)),
            board=_page_board(walk, theme),
            passages=[
                (passage, passage_html(passage, how), [plate(walk, node, theme) for node in passage.plates])
                for passage in set_passages(walk, noted)
            ],
            lines=lines_html(walk, lesson_lines(walk), theme),
            games=[game_html(walk, index, game, theme) for index, game in enumerate(models)],
            margin=margin_summary(noted),
            recording=recording,
            script=_page_script(data),
        )
    )


@dataclass(frozen=True, slots=True)
class PageHead:
    """What stands at the head of a lesson's page.

    :param side: the side that the lesson is for, ``""`` for none.
    :param facts: what a reader wants to know beforehand, a phrase each.
    """

    title: str
    side: str
    opening: Opening | None
    facts: Sequence[str]


@dataclass(frozen=True, slots=True)
class PageBoard:
    """What the board and the map beside the words are drawn from.

    :param start: full FEN of the lesson's first position; ``picture`` shows it before the script runs.
    :param pieces: the men's shapes by name; ``hatching``: two paths for the dark squares.
    :param shapes: the kinds of marks that the talk puts on the board, for the legend.
    """

    start: str
    side: str
    picture: Markup
    pieces: Mapping[str, Markup]
    hatching: tuple[str, str]
    shapes: Sequence[str]
    map: Markup


@dataclass(frozen=True, slots=True)
class MarginSummary:
    """The margin's notes in short.

    :param count: how many there are.
    :param tally: for each verdict that occurs its word and the numbers of its notes, failures first.
    :param serious: the most serious ones, in their order.
    :param verdicts: those that occur, for the legend.
    """

    count: int
    tally: Sequence[tuple[str, list[int]]]
    serious: Sequence[MarginNote]
    verdicts: Sequence[Verdict]


@dataclass(frozen=True, slots=True)
class PageScript:
    """The page's script, its source expression for the content security policy, and the data that it reads."""

    source: Markup
    hash: str
    data: Markup


def _page_board(walk: Walk, theme: Theme) -> PageBoard:
    return PageBoard(
        walk.start,
        walk.side,
        picture=diagram(walk.start, walk.side, f"{theme.label('board')}: {theme.label('the_start')}"),
        pieces={name: Markup(shape) for name, shape in piece_shapes().items()},
        hatching=hatched_board(),
        shapes=sorted({mark.shape for mark in walk.marks} & set(MARK_SHAPES)),
        map=map_html(walk, draw_map(walk), theme),
    )


def _page_script(data: dict[str, Any]) -> PageScript:
    source = element_script() + asset("page.js")
    return PageScript(Markup(source), csp_hash(source), island(data))


def facts(walk: Walk, theme: Theme = PLAIN, day: date | None = None) -> list[str]:
    """What a reader wants to know of a talk beforehand: how many moves, how long it takes, of which day it is."""
    long = "length" if walk.talk.unit is Unit.SECONDS else "length_about"
    known = [
        theme.label("on_board", count=str(len(walk.nodes) - 1)),
        theme.label(long, count=str(minutes(walk))),
    ]
    return known if day is None else [*known, theme.label("as_of", date=theme.date(day))]


def plate(walk: Walk, node: int, theme: Theme = PLAIN) -> tuple[Markup, Markup, int]:
    """A printed diagram with the talk's marks, its caption, and the state that shows it."""
    row = walk.nodes[node]
    name = f"{theme.label('board_after')} {node_spoken(walk, node, theme)}"
    caption = html("{} {}", theme.label("after"), node_move(walk, node, theme))
    board = diagram(row.fen, walk.side, name, marks_at(walk, node))
    return board, caption, 0 if row.step is None else row.step + 1


def game_html(walk: Walk, index: int, game: ShownGame, theme: Theme = PLAIN) -> dict[str, Any]:
    """A model game's heading and its moves, each to be put on the board."""
    parts = []
    for ply, (before, san) in enumerate(written(walk.nodes[game.node].fen, game.moves), 1):
        shown = move(before, san, theme) if ply == 1 or white_to_move(before) else figurines(san, theme)
        both = for_eye_and_ear(shown, spoken(before, san, theme))
        parts.append(html('<a class="mv" href="#board" data-g="{}.{}">{}</a>', index, ply, both))
    return {
        "heading": heading(game.row),
        "result": game.row.result.replace("1/2", "½").replace("-", "–"),
        "after": node_move(walk, game.node, theme),
        "moves": Markup(" ").join(parts) + ("" if game.whole else " …"),
    }


def times(walk: Walk) -> dict[str, Any]:
    """When what is said, in seconds: ``at`` by state, never falling; ``t`` by word."""
    at = list(accumulate((0.0, *(step.said.start for step in walk.steps)), max))
    return {"at": [round(t, 2) for t in at], "t": [round(word.start, 2) for word in walk.talk.words]}


def margin_summary(noted: Sequence[MarginNote]) -> MarginSummary:
    """The notes in short, for the page's head and legend."""
    order = (Verdict.FAILS, Verdict.UNDECIDED, Verdict.HOLDS)
    numbers = {verdict: [note.number for note in noted if note.verdict is verdict] for verdict in order}
    return MarginSummary(
        count=len(noted),
        tally=[(str(verdict), found) for verdict, found in numbers.items() if found],
        serious=sorted((note for note in noted if note.rank), key=lambda note: note.rank),
        verdicts=sorted({note.verdict for note in noted}),
    )


def positions(walk: Walk, noted: Sequence[MarginNote], theme: Theme = PLAIN) -> dict[str, Any]:
    """What the page's script needs: positions by node, the node and mark of each state, alternatives.

    Keys: ``fen``, ``uci``, ``label`` (HTML), ``words``, ``name`` by node; ``parent`` by node; ``node`` and ``back``
    (1 for returns) by state; ``marks`` by state, as the board element takes them; ``other`` by note and place;
    ``say``: what the script says itself, by label, in the theme's language; ``labels``: what the board says.
    """
    marks: dict[str, list[dict[str, Any]]] = {}
    for mark in walk.marks:
        if mark.shape in MARK_SHAPES:
            marks.setdefault(str(mark.step), []).append({"shape": mark.shape, "squares": mark.squares})
    return {
        "say": {key: theme.labels()[key] for key in SPOKEN_BY_SCRIPT},
        "labels": picture_labels(theme),
        "fen": [node.fen for node in walk.nodes],
        "uci": [node.uci for node in walk.nodes],
        "parent": [node.parent for node in walk.nodes],
        "label": [str(node_move(walk, node.id, theme)) for node in walk.nodes],
        "words": [node_spoken(walk, node.id, theme) for node in walk.nodes],
        "name": names_by_node(walk),
        "node": [0, *(step.node for step in walk.steps)],
        "back": [0, *(int(isinstance(step, ReturnStep)) for step in walk.steps)],
        "marks": marks,
        "other": {
            f"{note.number}.{index}": {
                "fen": other.after,
                "label": str(move(other.before, other.san, theme)),
                "words": spoken(other.before, other.san, theme),
            }
            for note in noted
            for index, other in enumerate(note.others)
        },
    }

"""The lesson page: one self-contained HTML file that needs no network."""

from __future__ import annotations

import base64
import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import Any

import jinja2
from markupsafe import Markup

from linewright.lesson.finding import Finding, Verdict
from linewright.lesson.opening import name_opening, opening_at
from linewright.lesson.walk import ReturnStep, Walk
from linewright.publish import markup
from linewright.publish.chapter import Note, chapter, notes
from linewright.publish.lines import draw_map, lines

#: The shapes of a printer's marks, each with one colour of the Okabe-Ito set (in page.css).
MARK_SHAPES = ("ring", "dot", "cross", "path")


def lesson_page(walk: Walk, findings: Sequence[Finding] = ()) -> str:
    """The lesson as an HTML page, with the findings in its margin.

    The page holds everything it needs: styles, script, piece shapes and positions. Its content security
    policy forbids everything else, so text from a talk could not run even if it were not escaped.
    """
    margin = notes(walk, findings)
    numbered = {note.number: note for note in margin}
    blocks = chapter(walk, margin)
    css, js = asset("page.css"), asset("page.js")
    opening = walk.opening or name_opening(walk)
    return (
        environment()
        .get_template("page.html.j2")
        .render(
            walk=walk,
            opening=opening,
            css=Markup(css),
            js=Markup(js),
            css_hash=csp_hash(css),
            js_hash=csp_hash(js),
            pieces=Markup(shapes()),
            hatching=markup.hatched_square(),
            blocks=[
                (
                    block,
                    markup.block_html(walk, block, numbered),
                    [plate(walk, node) for node in block.plates],
                )
                for block in blocks
            ],
            first_board=markup.diagram(walk.start, walk.side, "Board: the start position"),
            map=markup.map_html(walk, draw_map(walk)),
            lines=markup.lines_html(walk, lines(walk)),
            tally=tally(margin),
            margin=len(margin),
            shapes=sorted({mark.shape for mark in walk.marks} & set(MARK_SHAPES)),
            verdicts=sorted({note.verdict for note in margin}),
            data=island(positions(walk, margin)),
        )
    )


def plate(walk: Walk, node: int) -> tuple[Markup, Markup]:
    """A diagram for print and its caption."""
    name = f"Board after {markup.node_spoken(walk, node)}"
    caption = markup.html("After {}", markup.node_move(walk, node))
    return markup.diagram(walk.nodes[node].fen, walk.side, name), caption


def tally(margin: Sequence[Note]) -> list[tuple[str, list[int]]]:
    """For each verdict that occurs its word and the numbers of its notes, failures first."""
    counts = Counter(note.verdict for note in margin)
    order = (Verdict.FAILS, Verdict.OPEN, Verdict.HOLDS)
    return [(str(v), [n.number for n in margin if n.verdict is v]) for v in order if counts[v]]


def positions(walk: Walk, margin: Sequence[Note]) -> dict[str, Any]:
    """What the page's script needs: positions by node, the node and mark of each state, alternatives.

    Keys: ``side``; ``fen``, ``uci``, ``label`` (HTML), ``words``, ``name`` by node; ``parent`` by node;
    ``node`` and ``back`` (1 for returns) by state; ``marks`` by state; ``other`` by note and place.
    """
    names: list[str] = []
    for node in walk.nodes:
        opening = opening_at(node.fen)
        inherited = names[node.parent] if node.parent is not None else ""
        names.append(f"{opening.name} ({opening.eco})" if opening else inherited)
    marks: dict[str, list[list[str]]] = {}
    for mark in walk.marks:
        if mark.shape in MARK_SHAPES:
            marks.setdefault(str(mark.step), []).append([mark.shape, *mark.squares])
    return {
        "side": walk.side,
        "fen": [node.fen for node in walk.nodes],
        "uci": [node.uci for node in walk.nodes],
        "parent": [node.parent for node in walk.nodes],
        "label": [str(markup.node_move(walk, node.id)) for node in walk.nodes],
        "words": [markup.node_spoken(walk, node.id) for node in walk.nodes],
        "name": names,
        "node": [0, *(step.node for step in walk.steps)],
        "back": [0, *(int(isinstance(step, ReturnStep)) for step in walk.steps)],
        "marks": marks,
        "other": {
            f"{note.number}.{index}": {
                "fen": other.after,
                "label": str(markup.move(other.before, other.san)),
                "words": markup.spoken(other.before, other.san),
            }
            for note in margin
            for index, other in enumerate(note.others)
        },
    }


def island(data: dict[str, Any]) -> Markup:
    """JSON that may stand inside a script element: no ``<``, so nothing in it can end the element."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029"))


def csp_hash(text: str) -> str:
    """The source expression for an inline style or script (W3C Content Security Policy 3, section 2.3.1)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@cache
def asset(name: str) -> str:
    """A file of this package; styles and scripts stand in the page exactly as they are hashed."""
    return resources.files("linewright.publish").joinpath(name).read_text(encoding="utf-8")


def shapes() -> str:
    """The piece shapes without the file's comment."""
    return asset("pieces.svg").partition("-->")[2].strip()


@cache
def environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.PackageLoader("linewright", "publish"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

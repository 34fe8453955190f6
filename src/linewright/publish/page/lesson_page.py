"""The lesson page: one self-contained HTML file that needs no network."""

from __future__ import annotations

import base64
import hashlib
import json
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources
from itertools import accumulate
from typing import Any, Final

import chess
import jinja2
from markupsafe import Markup

from linewright.lesson.finding import Finding, Verdict
from linewright.lesson.opening import lesson_opening, opening_at
from linewright.lesson.walk import ReturnStep, Walk
from linewright.publish.games_shown import ModelGame, heading
from linewright.publish.handout.book import marks_at
from linewright.publish.html import markup
from linewright.publish.html.board_element import element_script, picture_labels
from linewright.publish.html.board_svg import piece_shapes
from linewright.publish.html.typefaces import embedded_css
from linewright.publish.page.chapter import Note, chapter, notes
from linewright.publish.page.opening_map import draw_map, lines
from linewright.publish.theme import LEAST_CONTRAST, PLAIN, Theme, contrast
from linewright.publish.timing import minutes
from linewright.talk.model import Unit

#: The page's colour of what is said softly (in page.css); on a ground where it is too faint the ink stands in.
SOFT = "#5c5347"
#: The shapes of a printer's marks, each with one colour of the Okabe-Ito set (in page.css).
MARK_SHAPES = ("ring", "dot", "cross", "path")
#: The labels that the script says.
SAID = ("start", "back_to", "to_move_w", "to_move_b", "board", "perhaps", "other_reading")


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
    models: Sequence[ModelGame] = (),
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
    margin = notes(walk, findings) if doubts else ()
    numbered = {note.number: note for note in margin}
    blocks = chapter(walk, margin)
    js = element_script() + asset("page.js")
    opening = lesson_opening(walk)
    timed = recording is not None and walk.talk.unit is Unit.SECONDS
    data = positions(walk, margin, theme)
    data["games"] = [{"node": game.node, "uci": list(game.moves)} for game in models]
    if timed:
        data |= times(walk)
    return (
        environment()
        .get_template("page.html.j2")
        .render(
            walk=walk,
            told=told_about(walk, theme, day),
            theme=theme,
            L=theme.labels(),
            mark=mark_address(theme),
            opening=opening,
            style=style_maker(theme),
            js=Markup(js),
            js_hash=csp_hash(js),
            pieces={name: Markup(shape) for name, shape in piece_shapes().items()},
            hatching=markup.hatched_board(),
            blocks=[
                (
                    block,
                    markup.block_html(walk, block, numbered, doubts, timed, theme),
                    [plate(walk, node, theme) for node in block.plates],
                )
                for block in blocks
            ],
            first_board=markup.diagram(walk.start, walk.side, f"{theme.label('board')}: {theme.label('the_start')}"),
            map=markup.map_html(walk, draw_map(walk), theme),
            lines=markup.lines_html(walk, lines(walk), theme),
            games=[game_html(walk, index, game, theme) for index, game in enumerate(models)],
            tally=tally(margin),
            serious=sorted((note for note in margin if note.rank), key=lambda note: note.rank),
            margin=len(margin),
            shapes=sorted({mark.shape for mark in walk.marks} & set(MARK_SHAPES)),
            verdicts=sorted({note.verdict for note in margin}),
            media=recording.file if recording else "",
            video=recording is not None and recording.video,
            data=island(data),
        )
    )


def told_about(walk: Walk, theme: Theme = PLAIN, day: date | None = None) -> list[str]:
    """What a reader wants to know of a talk beforehand: how many moves, how long it takes, of when it is."""
    long = "length" if walk.talk.unit is Unit.SECONDS else "length_about"
    told = [
        theme.label("on_board", count=str(len(walk.nodes) - 1)),
        theme.label(long, count=str(minutes(walk))),
    ]
    return told if day is None else [*told, theme.label("as_of", date=theme.date(day))]


def plate(walk: Walk, node: int, theme: Theme = PLAIN) -> tuple[Markup, Markup, int]:
    """A printed diagram with the talk's marks, its caption, and the state that shows it."""
    row = walk.nodes[node]
    name = f"{theme.label('board_after')} {markup.node_spoken(walk, node, theme)}"
    caption = markup.html("{} {}", theme.label("after"), markup.node_move(walk, node, theme))
    board = markup.diagram(row.fen, walk.side, name, marks_at(walk, node))
    return board, caption, 0 if row.step is None else row.step + 1


def game_html(walk: Walk, index: int, game: ModelGame, theme: Theme = PLAIN) -> dict[str, Any]:
    """A model game's heading and its moves, each to be put on the board."""
    board = chess.Board(walk.nodes[game.node].fen)
    parts = []
    for ply, uci in enumerate(game.moves, 1):
        move = chess.Move.from_uci(uci)
        before, san = board.fen(), board.san(move)
        shown = markup.move(before, san, theme) if ply == 1 or board.turn else markup.figurines(san, theme)
        both = markup.for_eye_and_ear(shown, markup.spoken(before, san, theme))
        parts.append(markup.html('<a class="mv" href="#board" data-g="{}.{}">{}</a>', index, ply, both))
        board.push(move)
    return {
        "heading": heading(game.row),
        "result": game.row.result.replace("1/2", "½").replace("-", "–"),
        "after": markup.node_move(walk, game.node, theme),
        "moves": Markup(" ").join(parts) + ("" if game.whole else " …"),
    }


def times(walk: Walk) -> dict[str, Any]:
    """When what is said, in seconds: ``at`` by state, never falling; ``t`` by word."""
    at = list(accumulate((0.0, *(step.said.start for step in walk.steps)), max))
    return {"at": [round(t, 2) for t in at], "t": [round(word.start, 2) for word in walk.talk.words]}


def style_maker(theme: Theme, more: str = "") -> Callable[[str], tuple[Markup, str]]:
    """For templates: a function from a page's body to its style sheet, with the typefaces that the body needs, and
    the sheet's source expression.

    :param more: rules beside those of page.css.
    """
    sheet = asset("page.css") + theme_css(theme) + more

    def style(body: str) -> tuple[Markup, str]:
        css = embedded_css(body) + sheet
        return Markup(css), csp_hash(css)

    return style


def theme_css(theme: Theme) -> str:
    """The trainer's colours over the page's own, in light only: dark ones keep the contrast that was checked."""
    if (theme.ground, theme.ink, theme.accent) == (PLAIN.ground, PLAIN.ink, PLAIN.accent):
        return ""
    colours = f"--paper: {theme.ground}; --ink: {theme.ink}; --accent: {theme.accent};"
    if contrast(SOFT, theme.ground) < LEAST_CONTRAST:
        colours += f" --soft: {theme.ink};"
    return f"@media screen and (prefers-color-scheme: light) {{ :root {{ {colours} }} }}\n"


def mark_address(theme: Theme) -> str:
    """The trainer's mark as a data address, ``""`` for none."""
    if theme.mark is None:
        return ""
    kind = "image/svg+xml" if theme.mark.suffix.lower() == ".svg" else "image/png"
    return f"data:{kind};base64,{base64.b64encode(theme.mark.read_bytes()).decode()}"


def tally(margin: Sequence[Note]) -> list[tuple[str, list[int]]]:
    """For each verdict that occurs its word and the numbers of its notes, failures first."""
    counts = Counter(note.verdict for note in margin)
    order = (Verdict.FAILS, Verdict.UNDECIDED, Verdict.HOLDS)
    return [(str(v), [n.number for n in margin if n.verdict is v]) for v in order if counts[v]]


def positions(walk: Walk, margin: Sequence[Note], theme: Theme = PLAIN) -> dict[str, Any]:
    """What the page's script needs: positions by node, the node and mark of each state, alternatives.

    Keys: ``fen``, ``uci``, ``label`` (HTML), ``words``, ``name`` by node; ``parent`` by node; ``node`` and ``back``
    (1 for returns) by state; ``marks`` by state, as the board element takes them; ``other`` by note and place;
    ``say``: what the script says itself, by label, in the theme's language; ``labels``: what the board says.
    """
    names: list[str] = []
    for node in walk.nodes:
        opening = opening_at(node.fen)
        inherited = names[node.parent] if node.parent is not None else ""
        names.append(f"{opening.name} ({opening.eco})" if opening else inherited)
    marks: dict[str, list[dict[str, Any]]] = {}
    for mark in walk.marks:
        if mark.shape in MARK_SHAPES:
            marks.setdefault(str(mark.step), []).append({"shape": mark.shape, "squares": mark.squares})
    return {
        "say": {key: theme.labels()[key] for key in SAID},
        "labels": picture_labels(theme),
        "fen": [node.fen for node in walk.nodes],
        "uci": [node.uci for node in walk.nodes],
        "parent": [node.parent for node in walk.nodes],
        "label": [str(markup.node_move(walk, node.id, theme)) for node in walk.nodes],
        "words": [markup.node_spoken(walk, node.id, theme) for node in walk.nodes],
        "name": names,
        "node": [0, *(step.node for step in walk.steps)],
        "back": [0, *(int(isinstance(step, ReturnStep)) for step in walk.steps)],
        "marks": marks,
        "other": {
            f"{note.number}.{index}": {
                "fen": other.after,
                "label": str(markup.move(other.before, other.san, theme)),
                "words": markup.spoken(other.before, other.san, theme),
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


#: The packages that hold the page's files.
_ASSETS: Final = {"page.css": "linewright.publish.page", "page.js": "linewright.web.lesson"}


@cache
def asset(name: str) -> str:
    """One of the page's own files; styles and scripts stand in the page exactly as they are hashed."""
    return resources.files(_ASSETS[name]).joinpath(name).read_text(encoding="utf-8")


@cache
def environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.ChoiceLoader([jinja2.PackageLoader("linewright.publish", part) for part in ("page", "course")]),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

"""Small pieces of HTML: figurines, moves, notes, printed diagrams. All text from the talk is escaped here."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from itertools import pairwise

from markupsafe import Markup

from linewright.lesson.finding import Kind
from linewright.lesson.spoken import NAGS, move_number, nag_sign
from linewright.lesson.walk import SURE, BoardMark, MoveStep, Walk
from linewright.publish.page.chapter import Block, Jump, Margin, Marked, Note, Other, Piece, Played, Ref, Run
from linewright.publish.page.opening_map import Line, Map
from linewright.publish.theme import PLAIN, Theme

#: Distance of the hatching's lines along a square's side, in hundredths of the side.
HATCH_GAP = 10

#: A position that evidence spells out as FEN; the page links to its board instead.
FEN_TOLD = re.compile(r"[:;,]?(?: in)?(?: the)? ?position (?:[pnbrqkPNBRQK1-8]+/){7}\S+ [wb] \S+ \S+(?: \d+ \d+)?")

#: Reading troubles are named alone in the margin; for claims the verdict comes first.
TROUBLES = frozenset({Kind.UNREAD, Kind.UNSURE})

#: A move of a piece in running text; pawn moves look the same in any notation.
PIECE_MOVE = re.compile(r"(?<![A-Za-z])[KQRBN](?:[a-h]?[1-8]?x?[a-h][1-8])[+#]?(?![\w-])")


def html(pattern: str, *args: object) -> Markup:
    """``pattern`` as HTML with the arguments escaped into its ``{}``."""
    return Markup(pattern).format(*args)


def figurines(san: str, theme: Theme = PLAIN) -> Markup:
    """SAN with our own figurines, or with the theme's piece letters.

    The page's figurine font draws the English letters as figurines: they stay in the text for copying, and stand
    there as letters where a font can't be shown.
    """
    if theme.pieces == "letters":
        return Markup.escape(theme.san(san))
    return Markup("").join(
        html('<i class="fig">{}</i>', part) if part in "KQRBN" and part else Markup.escape(part)
        for part in re.split("([KQRBN])", san)
    )


def with_figurines(text: str, theme: Theme = PLAIN) -> Markup:
    """Text in which the moves of pieces are set as the theme sets moves; words keep their letters."""
    parts, at = [], 0
    for found in PIECE_MOVE.finditer(text):
        parts += [Markup.escape(text[at : found.start()]), figurines(found[0], theme)]
        at = found.end()
    return Markup("").join([*parts, Markup.escape(text[at:])])


def number(before: str) -> str:
    return move_number(before).replace("...", "…")


def move(before: str, san: str, theme: Theme = PLAIN) -> Markup:
    """A numbered move in figurines: 4.♘xd4, 4…♕h4."""
    return html("{}{}", number(before), figurines(san, theme))


def spoken(before: str, san: str, theme: Theme = PLAIN) -> str:
    """A numbered move for the ear: "4, knight takes d4"."""
    return f"{number(before).rstrip('.…')}, {theme.words(san)}"


def typeset(text: str) -> str:
    """A typewriter's apostrophe between letters becomes a printer's."""
    return re.sub(r"(?<=\w)'(?=\w)", "’", text)


def for_eye_and_ear(shown: Markup, words: str) -> Markup:
    """Notation for the eye with words for the ear, so that a screen reader says "knight f3", not "n f 3"."""
    return html('<span aria-hidden="true">{}</span><span class="vh ear">{}</span>', shown, words)


def node_move(walk: Walk, node: int, theme: Theme = PLAIN) -> Markup:
    """The move that leads to a node, or the start's name."""
    row = walk.nodes[node]
    if row.parent is None:
        return Markup.escape(theme.label("the_start"))
    return move(walk.nodes[row.parent].fen, row.san, theme)


def node_spoken(walk: Walk, node: int, theme: Theme = PLAIN) -> str:
    """As :func:`node_move`, for the ear."""
    row = walk.nodes[node]
    return theme.label("the_start") if row.parent is None else spoken(walk.nodes[row.parent].fen, row.san, theme)


def block_html(
    walk: Walk,
    block: Block,
    notes: Mapping[int, Note],
    doubts: bool = True,
    timed: bool = False,
    theme: Theme = PLAIN,
) -> Markup:
    """The inside of a paragraph or heading.

    :param doubts: show which words and moves are unsure.
    :param timed: say of each run of words which word of the talk it begins with.
    """
    parts: list[Markup] = []
    for piece in block.pieces:
        if parts and isinstance(piece, Run) and piece.glue:
            sign, _, rest = piece.text.partition(" ")
            tail = piece_html(walk, replace(piece, text=sign), notes, doubts, timed, theme)
            parts[-1] = html('<span class="nb">{}{}</span>', parts[-1], tail)
            if rest:
                piece = replace(piece, text=rest, first=piece.first + 1)
                parts += [Markup(" "), piece_html(walk, piece, notes, doubts, timed, theme)]
            continue
        if parts and not piece.glue:
            parts.append(Markup(" "))
        parts.append(piece_html(walk, piece, notes, doubts, timed, theme))
    return Markup("").join(parts)


def piece_html(walk: Walk, piece: Piece, notes: Mapping[int, Note], doubts: bool, timed: bool, theme: Theme) -> Markup:
    match piece:
        case Run(text, state, _, unread, first):
            kind = Markup(' class="unread"') if unread and doubts else ""
            word = html(' data-w="{}"', first) if timed else ""
            return html('<span data-s="{}"{}{}>{}</span>', state, word, kind, typeset(text))
        case Played():
            return played_html(walk, piece, doubts, theme)
        case Jump(state):
            node = walk.steps[state - 1].node
            target = for_eye_and_ear(node_move(walk, node, theme), node_spoken(walk, node, theme))
            return html(
                '<a class="jump" id="s{0}" href="#s{0}" data-s="{0}">← <small>{2}</small> {1}</a>',
                state,
                target,
                theme.label("back_small"),
            )
        case Marked(text, state):
            return html('<span class="marked" data-s="{}">({})</span>', state, text)
        case Ref(at):
            said = f"{theme.label('note')} {at}, {note_name(notes[at], theme)}"
            return html('<sup class="ref" id="r{0}"><a href="#n{0}" aria-label="{1}">{0}</a></sup>', at, said)
        case Margin(at):
            return note_html(notes[at], walk.step_at(notes[at].first), theme)


def played_html(walk: Walk, piece: Played, doubts: bool = True, theme: Theme = PLAIN) -> Markup:
    """A move of the talk: notation for the eye, words for the ear, what was said as a hint."""
    step = walk.steps[piece.state - 1]
    assert isinstance(step, MoveStep)
    sign = nag_sign(step.nag)
    said = html(' title="{}: {}"', theme.label("said"), piece.said) if piece.said else ""
    words = spoken(step.before, step.san, theme) if piece.number else theme.words(step.san)
    if step.nag in NAGS:
        words += f", {theme.glyph(step.nag)}"
    shown = move(step.before, step.san, theme) if piece.number else figurines(step.san, theme)
    maybe = html(' <span class="maybe">({})</span>', theme.label("unsure")) if step.sure < SURE and doubts else ""
    return html(
        '<a class="mv" id="s{0}" href="#s{0}" data-s="{0}"{1}>{2}</a>{3}',
        piece.state,
        said,
        for_eye_and_ear(html("{}{}", shown, sign), words),
        maybe,
    )


def note_name(note: Note, theme: Theme = PLAIN) -> str:
    kind = theme.label(f"kind_{note.kind}")
    return kind if note.kind in TROUBLES else f"{theme.label(f'verdict_{note.verdict}')}: {kind}"


def note_html(note: Note, state: int, theme: Theme = PLAIN) -> Markup:
    """A note of the margin: its number, sign, verdict in words, kind and evidence.

    :param state: of the words it stands beside; a note that speaks of another position gets a link to it.
    """
    trouble = note.kind in TROUBLES
    kind = theme.label(f"kind_{note.kind}")
    name, kind = (kind, "") if trouble else (theme.label(f"verdict_{note.verdict}"), kind)
    others = Markup("").join(other_html(note.number, index, o, theme) for index, o in enumerate(note.others))
    if others:
        others = html('<span class="others">{} {}</span>', theme.label("or_perhaps"), others)
    evidence, position = FEN_TOLD.subn("", note.evidence)
    elsewhere = note.state != state and note.kind is not Kind.UNSURE
    see = html(' <a class="see" href="#board" data-s="{}">{}</a>', note.state, theme.label("see_position"))
    return html(
        '<span class="note {0}" id="n{1}" role="note">'
        '<a class="num" href="#r{1}" aria-label="{7} {1}">{1}</a> '
        '<svg class="sign" aria-hidden="true"><use href="#v-{0}"/></svg> <b>{2}</b>'
        '<span class="kind"> {3}</span><span class="why" lang="en">{4}</span>{5}'
        "{6}</span>",
        note.verdict,
        note.number,
        name,
        kind,
        with_figurines(typeset(sentence(evidence)), theme),
        others,
        see if position or elsewhere else "",
        theme.label("note_back"),
    )


def other_html(number: int, index: int, other: Other, theme: Theme = PLAIN) -> Markup:
    """An alternative reading, shown on the board when pressed."""
    return html(
        '<button type="button" class="other" data-other="{}.{}">'
        '{} <small>{:.0%}<span class="vh ear"> {}</span></small>'
        "</button>",
        number,
        index,
        for_eye_and_ear(move(other.before, other.san, theme), spoken(other.before, other.san, theme)),
        other.sure,
        theme.label("sure"),
    )


def sentence(text: str) -> str:
    """Evidence with a full stop, and with a capital unless it starts with a square, file or move."""
    text = text.strip()
    if text and not text.endswith((".", "!", "?", "…")):
        text += "."
    if re.match(r"(?:[a-z]{2,}|a)[ ,:'’]", text):
        text = text[0].upper() + text[1:]
    return text


def lines_html(walk: Walk, found: Iterable[Line], theme: Theme = PLAIN) -> Markup:
    """The index of lines: a nested list, each line with its moves, its sidelines below it."""
    return Markup("").join(
        html("<li>{}{}</li>", line_html(walk, line, theme), sides_html(walk, line, theme)) for line in found
    )


def sides_html(walk: Walk, line: Line, theme: Theme = PLAIN) -> Markup:
    """A line's sidelines as a list in the list."""
    return html("<ol>{}</ol>", lines_html(walk, line.sides, theme)) if line.sides else Markup("")


def line_html(walk: Walk, line: Line, theme: Theme = PLAIN) -> Markup:
    """A line's moves, each to be put on the board."""
    parts = []
    for index, node in enumerate(line.nodes):
        row = walk.nodes[node]
        before = walk.nodes[row.parent or 0].fen
        white = not number(before).endswith("…")
        shown = move(before, row.san, theme) if index == 0 or white else figurines(row.san, theme)
        parts.append(
            html(
                '<a class="mv" href="#s{0}" data-s="{0}" data-n="{1}">{2}</a>',
                (row.step or 0) + 1,
                node,
                for_eye_and_ear(shown, spoken(before, row.san, theme)),
            )
        )
    return Markup(" ").join(parts)


def diagram(fen: str, side: str, name: str, marks: Iterable[BoardMark] = ()) -> Markup:
    """A printed board as inline SVG; the shapes it uses are defined once on the page.

    :param side: ``"black"`` to show Black's side below.
    :param name: its accessible name.
    :param marks: drawn on it, each with the ground's colour around it.
    """
    ground = html('<use href="#bd"/><use href="#co-{}"/>', "b" if side == "black" else "w")
    drawn = Markup("").join(mark_html(mark, side == "black") for mark in marks)
    return html(
        '<svg class="board" viewBox="-58 -26 892 892" role="img" aria-label="{}">{}<g class="men">{}</g>{}</svg>',
        name,
        ground,
        men(fen, side),
        drawn,
    )


def mark_html(mark: BoardMark, black: bool) -> Markup:
    """A printer's mark, first as a halo; the page's styles know its colour."""
    if mark.shape == "path":
        paths = [mark_path(spot(a, black), spot(b, black)) for a, b in pairwise(mark.squares)]
        shapes = [html('<path d="{}{}"', shaft, head) for shaft, head in paths]
    else:
        places = [spot(square, black) for square in mark.squares]
        shapes = [html('<use href="#{}" x="{}" y="{}"', mark.shape, x, y) for x, y in places]
    return Markup("").join(
        html('{0} class="halo mark {1}"/>{0} class="mark {1}"/>', shape, mark.shape) for shape in shapes
    )


def spot(square: str, black: bool) -> tuple[int, int]:
    """A square's upper left corner in a diagram, whose squares are 100 wide."""
    file, rank = ord(square[0]) - ord("a"), 8 - int(square[1])
    return ((7 - file) * 100, (7 - rank) * 100) if black else (file * 100, rank * 100)


def mark_path(start: tuple[int, int], end: tuple[int, int]) -> tuple[str, str]:
    """Path data of a way between two squares, and of the open head at its end; the element's are the same."""
    (x1, y1), (x2, y2) = start, end
    far = math.hypot(x2 - x1, y2 - y1) or 1
    ux, uy = (x2 - x1) / far, (y2 - y1) / far
    ex, ey = x2 + 50 - ux * 8, y2 + 50 - uy * 8
    bx, by = ex - ux * 26, ey - uy * 26
    shaft = f"M{x1 + 50} {y1 + 50}L{ex:.1f} {ey:.1f}"
    head = f"M{bx - uy * 18:.1f} {by + ux * 18:.1f}L{ex:.1f} {ey:.1f}L{bx + uy * 18:.1f} {by - ux * 18:.1f}"
    return shaft, head


def men(fen: str, side: str) -> Markup:
    """The pieces of a position as uses of the piece shapes."""
    parts = []
    for rank, row in enumerate(fen.split()[0].split("/")):
        file = 0
        for sign in row:
            if sign.isdigit():
                file += int(sign)
                continue
            x, y = spot(f"{'abcdefgh'[file]}{8 - rank}", side == "black")
            parts.append(html('<use href="#{}{}" x="{}" y="{}"/>', "w" if sign.isupper() else "b", sign.upper(), x, y))
            file += 1
    return Markup("").join(parts)


def map_html(walk: Walk, drawn: Map, theme: Theme = PLAIN) -> Markup:
    """The opening map as SVG for pointing at; the index of lines is its equal for keyboard and ear."""
    dots = Markup("").join(
        html(
            '<circle data-n="{}"{} cx="{}" cy="{}" r="{}"/>',
            d.node,
            dot_class(d.fork, d.end),
            d.x,
            d.y,
            4.6 if d.fork else 3,
        )
        for d in drawn.dots
    )
    labels = Markup("").join(
        html(
            '<foreignObject x="{}" y="{}" width="84" height="18"><span class="lab">{}</span></foreignObject>',
            label.x - 5,
            label.y - 23,
            node_move(walk, label.node, theme),
        )
        for label in drawn.labels
    )
    return html(
        '<svg class="map" viewBox="0 0 {0} {1}" width="{0}" height="{1}" aria-hidden="true">'
        '<path class="rail" d="{2}"/>'
        '<path class="trail" d=""/>{3}{4}<circle class="here" r="6.5"/></svg>',
        drawn.width,
        drawn.height,
        drawn.rails,
        labels,
        dots,
    )


def dot_class(fork: bool, end: bool) -> Markup:
    return Markup(' class="fork"') if fork else Markup(' class="end"') if end else Markup("")


@cache
def hatched_board() -> tuple[str, str]:
    """Path data of the dark squares' hatching, squares 100 by 100: lines that rise to the right.

    One path for the whole board: a browser draws it far sooner than 32 repeated squares.
    The second path holds every other line; small boards leave it out, as print would fill in.
    """
    square = [
        ((0, c), (c, 0)) if c <= 100 else ((c - 100, 100), (100, c - 100))
        for c in range(HATCH_GAP // 2, 200, HATCH_GAP)
    ]
    dark = [(file * 100, rank * 100) for rank in range(8) for file in range(8) if (rank + file) % 2]

    def path(lines: list[tuple[tuple[int, int], tuple[int, int]]]) -> str:
        return "".join(f"M{x + a} {y + b}L{x + c} {y + d}" for x, y in dark for (a, b), (c, d) in lines)

    return path(square[::2]), path(square[1::2])

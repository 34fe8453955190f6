"""Passages, notes and lines of a lesson as HTML."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from linewright.lesson.finding import TROUBLES, Kind
from linewright.lesson.lines import LessonLine
from linewright.lesson.spoken import NAGS, nag_sign, white_to_move
from linewright.lesson.walk import SURE, MoveStep, Walk
from linewright.publish.html.markup import (
    figurines,
    for_eye_and_ear,
    html,
    move,
    node_move,
    node_spoken,
    spoken,
    typeset,
    with_figurines,
)
from linewright.publish.page.margin import MarginNote, OtherMove
from linewright.publish.page.passage_parts import (
    BoardMarkWords,
    NotePlace,
    NoteRef,
    PassagePiece,
    PrintedMove,
    ReturnJump,
    WordRun,
)
from linewright.publish.page.passages import Passage
from linewright.publish.theme import PLAIN, Theme

#: A position that evidence spells out as FEN; the page links to its board instead.
FEN_SPELT = re.compile(r"[:;,]?(?: in)?(?: the)? ?position (?:[pnbrqkPNBRQK1-8]+/){7}\S+ [wb] \S+ \S+(?: \d+ \d+)?")


@dataclass(frozen=True, slots=True)
class Showing:
    """How a lesson's passages are shown.

    :param notes: the margin's notes by number.
    :param doubts: show which words and moves are unsure.
    :param timed: say of each run of words which word of the talk it begins with.
    """

    walk: Walk
    notes: Mapping[int, MarginNote]
    doubts: bool = True
    timed: bool = False
    theme: Theme = PLAIN


def passage_html(passage: Passage, how: Showing) -> Markup:
    """The inside of a paragraph or heading."""
    parts: list[Markup] = []
    for piece in passage.pieces:
        if parts and isinstance(piece, WordRun) and piece.glue:
            sign, _, rest = piece.text.partition(" ")
            parts[-1] = html('<span class="nb">{}{}</span>', parts[-1], piece_html(replace(piece, text=sign), how))
            if rest:
                parts += [Markup(" "), piece_html(replace(piece, text=rest, first=piece.first + 1), how)]
            continue
        if parts and not piece.glue:
            parts.append(Markup(" "))
        parts.append(piece_html(piece, how))
    return Markup("").join(parts)


def piece_html(piece: PassagePiece, how: Showing) -> Markup:
    """One piece of a passage."""
    theme = how.theme
    match piece:
        case WordRun(text, state, _, unread, first):
            kind = Markup(' class="unread"') if unread and how.doubts else ""
            word = html(' data-w="{}"', first) if how.timed else ""
            return html('<span data-s="{}"{}{}>{}</span>', state, word, kind, typeset(text))
        case PrintedMove():
            return move_html(piece, how)
        case ReturnJump(state):
            node = how.walk.steps[state - 1].node
            target = for_eye_and_ear(node_move(how.walk, node, theme), node_spoken(how.walk, node, theme))
            return html(
                '<a class="jump" id="s{0}" href="#s{0}" data-s="{0}">← <small>{2}</small> {1}</a>',
                state,
                target,
                theme.label("back_small"),
            )
        case BoardMarkWords(text, state):
            return html('<span class="marked" data-s="{}">({})</span>', state, text)
        case NoteRef(at):
            name = f"{theme.label('note')} {at}, {note_name(how.notes[at], theme)}"
            return html('<sup class="ref" id="r{0}"><a href="#n{0}" aria-label="{1}">{0}</a></sup>', at, name)
        case NotePlace(at):
            return note_html(how.notes[at], how.walk.step_at(how.notes[at].first), theme)


def move_html(piece: PrintedMove, how: Showing) -> Markup:
    """A move of the talk: notation for the eye, words for the ear, what was said as a hint."""
    theme = how.theme
    step = how.walk.steps[piece.state - 1]
    assert isinstance(step, MoveStep)
    said = html(' title="{}: {}"', theme.label("said"), piece.said) if piece.said else ""
    words = spoken(step.before, step.san, theme) if piece.number else theme.words(step.san)
    if step.nag in NAGS:
        words += f", {theme.glyph(step.nag)}"
    shown = move(step.before, step.san, theme) if piece.number else figurines(step.san, theme)
    maybe = html(' <span class="maybe">({})</span>', theme.label("unsure")) if step.sure < SURE and how.doubts else ""
    return html(
        '<a class="mv" id="s{0}" href="#s{0}" data-s="{0}"{1}>{2}</a>{3}',
        piece.state,
        said,
        for_eye_and_ear(html("{}{}", shown, nag_sign(step.nag)), words),
        maybe,
    )


def note_name(note: MarginNote, theme: Theme = PLAIN) -> str:
    kind = theme.label(f"kind_{note.kind}")
    return kind if note.kind in TROUBLES else f"{theme.label(f'verdict_{note.verdict}')}: {kind}"


def note_html(note: MarginNote, state: int, theme: Theme = PLAIN) -> Markup:
    """A note of the margin: its number, sign, verdict in words, kind and evidence.

    :param state: of the words it stands beside; a note that speaks of another position gets a link to it.
    """
    trouble = note.kind in TROUBLES
    kind = theme.label(f"kind_{note.kind}")
    name, kind = (kind, "") if trouble else (theme.label(f"verdict_{note.verdict}"), kind)
    others = Markup("").join(other_html(note.number, index, o, theme) for index, o in enumerate(note.others))
    if others:
        others = html('<span class="others">{} {}</span>', theme.label("or_perhaps"), others)
    evidence, position = FEN_SPELT.subn("", note.evidence)
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


def other_html(number: int, index: int, other: OtherMove, theme: Theme = PLAIN) -> Markup:
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


def lines_html(walk: Walk, found: Iterable[LessonLine], theme: Theme = PLAIN) -> Markup:
    """The index of lines: a nested list, each line with its moves, its sidelines below it."""
    return Markup("").join(
        html("<li>{}{}</li>", line_html(walk, line, theme), sides_html(walk, line, theme)) for line in found
    )


def sides_html(walk: Walk, line: LessonLine, theme: Theme = PLAIN) -> Markup:
    """A line's sidelines as a list in the list."""
    return html("<ol>{}</ol>", lines_html(walk, line.sides, theme)) if line.sides else Markup("")


def line_html(walk: Walk, line: LessonLine, theme: Theme = PLAIN) -> Markup:
    """A line's moves, each to be put on the board."""
    parts = []
    for index, node in enumerate(line.nodes):
        row = walk.nodes[node]
        before = walk.before(node)
        shown = move(before, row.san, theme) if index == 0 or white_to_move(before) else figurines(row.san, theme)
        parts.append(
            html(
                '<a class="mv" href="#s{0}" data-s="{0}" data-n="{1}">{2}</a>',
                (row.step or 0) + 1,
                node,
                for_eye_and_ear(shown, spoken(before, row.san, theme)),
            )
        )
    return Markup(" ").join(parts)

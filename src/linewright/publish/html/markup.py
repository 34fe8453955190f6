"""Small pieces of HTML: figurines, moves, notes, printed diagrams. All text from the talk is escaped here."""

from __future__ import annotations

import re

from markupsafe import Markup

from linewright.lesson.spoken import move_number
from linewright.lesson.walk import Walk
from linewright.publish.theme import PLAIN, Theme

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

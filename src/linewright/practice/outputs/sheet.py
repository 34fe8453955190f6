"""The drill sheet: a PDF to print, with diagrams and questions, and the answers on pages of their own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import chess

from linewright.practice.drills.drill import Drill, Standing, Task
from linewright.publish.handout.handout import mark_data
from linewright.publish.html.board_svg import board_svg
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.typesetter import set_pdf

#: Drills on a sheet unless more are asked for: four pages of six.
MOST = 24
#: Tasks that a sheet of paper can ask.
PRINTED = frozenset({Task.ANSWER, Task.PUNISH, Task.SQUARES, Task.PLAN, Task.SAID})
#: Lines of a choice are lettered.
LETTERS = "abcdefgh"


def sheet_pdf(drills: Sequence[Drill], title: str, theme: Theme = PLAIN, most: int = MOST) -> bytes:
    """A drill sheet as a tagged PDF; the same input gives the same bytes.

    :param drills: in the order in which they are to stand; the first ``most`` that paper can ask are taken.
    """
    data = sheet_data(drills, title, theme, most)
    return set_pdf("linewright.practice.outputs", "sheet.typ", data)


def sheet_data(drills: Sequence[Drill], title: str, theme: Theme = PLAIN, most: int = MOST) -> dict[str, Any]:
    """What ``sheet.typ`` sets, as JSON values."""
    shown = [drill for drill in drills if drill.task in PRINTED][:most]
    return {
        "title": " ".join(title.split()) or theme.label("exercises"),
        "trainer": theme.trainer,
        "mark": mark_data(theme),
        "paper": theme.paper,
        "lang": theme.language,
        "accent": theme.accent,
        "exercises": theme.label("exercises"),
        "answers_title": theme.label("answers"),
        "drills": [_question(number, drill, theme) for number, drill in enumerate(shown, 1)],
        "answers": [_answer(number, drill, theme) for number, drill in enumerate(shown, 1)],
    }


def _question(number: int, drill: Drill, theme: Theme) -> dict[str, Any]:
    turn = theme.to_move(drill.fen)
    choices = [f"{letter}) {text}" for letter, text in zip(LETTERS, drill.choices, strict=False)]
    last = drill.line[-1] if drill.line and drill.moves else ""
    return {
        "svg": board_svg(drill.fen, drill.side, last=last),
        "asked": f"{number}. {figurines(drill.asked, theme)}",
        "turn": f"{turn}." if drill.moves else "",
        "choices": choices,
        "alt": f"{number}. {drill.asked} {turn}. FEN {drill.fen}",
    }


def figurines(text: str, theme: Theme) -> str:
    """A question's first word, where it is a numbered move, in the theme's notation."""
    first, space, rest = text.partition(" ")
    number, dots, san = first.rpartition(".")
    return f"{number}{dots}{theme.san(san)}{space}{rest}" if number.rstrip(".").isdigit() else text


def _answer(number: int, drill: Drill, theme: Theme) -> dict[str, Any]:
    return {"number": str(number), "text": "; ".join(_told(drill, theme)), "words": drill.words}


def _told(drill: Drill, theme: Theme) -> Iterator[str]:
    if drill.squares:
        files = [f"{name[0]}-file" for name in drill.squares]
        yield ", ".join(files if drill.whole_files else drill.squares)
    elif drill.choices:
        yield f"{LETTERS[drill.right]}) {drill.choices[drill.right]}"
    for standing, lead in ((Standing.TAUGHT, ""), (Standing.EQUAL, "also good: ")):
        moves = [theme.move(drill.fen, move.san) for move in drill.moves if move.standing is standing]
        if moves:
            yield lead + ", ".join(moves)
    for wrong in drill.wrong[:2] if drill.moves else ():
        if wrong.source != "board":
            line = _line(drill.fen, wrong.uci, wrong.reply, theme)
            yield f"not {theme.move(drill.fen, wrong.san)}, because of {line}"


def _line(fen: str, uci: str, reply: Sequence[str], theme: Theme) -> str:
    board = chess.Board(fen)
    board.push_uci(uci)
    written = []
    for san in reply:
        written.append((board.fen(), san))
        board.push_san(san)
    return " ".join(theme.moves(written))

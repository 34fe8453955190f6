"""Cards as CSV, for other programs and back: front (position and question), back (move and words)."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from pathlib import Path

import chess

from linewright.board.naming import side_name
from linewright.lesson.spoken import in_words, numbered
from linewright.practice.drills.drill import Accepted, Drill, Standing, Task, drill_id
from linewright.support.errors import UnusableInput

#: The columns, in order. Moves of a column are separated by a space, the first one is the lesson's.
COLUMNS = ("fen", "question", "moves", "said", "also", "words", "lesson", "reach")
#: Longest field that is read, in characters.
LONGEST_FIELD = 4000
#: Spreadsheets run a cell that begins so as a formula; an apostrophe before it stops them.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def cards_csv(drills: Iterable[Drill]) -> str:
    """The drills that ask for moves, one card a line, with a heading (RFC 4180: CRLF, quotes doubled)."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for drill in drills:
        if drill.moves:
            rows.writerow(map(_harmless, _card(drill)))
    return out.getvalue()


def _card(drill: Drill) -> tuple[str, ...]:
    also = [move.san for move in drill.moves if move.standing is Standing.EQUAL]
    return (
        drill.fen,
        drill.asked,
        " ".join(move.san for move in drill.taught),
        "; ".join(in_words(move.san) for move in drill.taught),
        " ".join(also),
        drill.words,
        drill.lesson,
        f"{drill.reach:.4f}",
    )


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text


def cards_of(path: Path) -> Iterator[Drill | str]:
    """The drills of a CSV file with at least the columns ``fen`` and ``moves``; what can't be read of it in words.

    A card may be of any program: what it asks, and what it says, is taken as it stands.

    :raises UnusableInput: when the file can't be read, or has no such columns.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise UnusableInput(f"{path} can't be read: {error}", "Name a CSV file in UTF-8.") from None
    rows = csv.DictReader(io.StringIO(text, newline=""))
    missing = {"fen", "moves"} - set(rows.fieldnames or ())
    if missing:
        raise UnusableInput(
            f"{path} has no column {' or '.join(sorted(missing))}", f"Columns are {', '.join(COLUMNS)}."
        )
    while True:
        try:
            row = next(rows, None)
        except csv.Error as error:
            yield f"{path}:{rows.line_num}: {error}"
            continue
        if row is None:
            return
        try:
            yield _drill({k: (v or "")[:LONGEST_FIELD].removeprefix("'") for k, v in row.items() if isinstance(k, str)})
        except ValueError as error:
            yield f"{path}:{rows.line_num}: {error}"


def _drill(row: dict[str, str]) -> Drill:
    try:
        board = chess.Board(row["fen"].strip())
    except ValueError:
        raise ValueError(f'"{row["fen"]}" is not a valid FEN') from None
    if not board.is_valid():
        raise ValueError(f'"{row["fen"]}" shows an impossible position')
    taught = tuple(_accepted(board, text, Standing.TAUGHT) for text in row["moves"].split())
    if not taught:
        raise ValueError("a card without a move")
    known = {move.uci for move in taught}
    also = [_accepted(board, text, Standing.EQUAL) for text in row.get("also", "").split()]
    side = side_name(board.turn)
    return Drill(
        drill_id(Task.ANSWER, board.fen(), side),
        Task.ANSWER,
        board.fen(),
        side,
        row.get("question", "") or f"{side.capitalize()} to move.",
        (*taught, *(move for move in also if move.uci not in known)),
        words=row.get("words", ""),
        lesson=row.get("lesson", ""),
        start=board.fen(),
        reach=_chance(row.get("reach", "")),
    )


def _chance(text: str) -> float:
    """A chance of 0-1; 0 where none is given."""
    try:
        value = float(text or 0)
    except ValueError:
        raise ValueError(f'the chance "{text}" is not a number') from None
    if not 0 <= value <= 1:
        raise ValueError(f'the chance "{text}" is not from 0 to 1')
    return value


def _accepted(board: chess.Board, text: str, standing: Standing) -> Accepted:
    try:
        move = board.parse_san(text)
    except ValueError:
        raise ValueError(f'"{text}" can\'t be played: {numbered(board.fen(), text)} in {board.fen()}') from None
    return Accepted(move.uci(), board.san(move), standing)

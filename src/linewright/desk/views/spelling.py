"""How a trainer writes moves, found from the talk so far, and a move written that way."""

from __future__ import annotations

import re
from dataclasses import dataclass

import chess

from linewright.lesson.spoken import CASTLES, SAN, in_words, move_number
from linewright.lesson.walk import MoveStep, Walk

_WRITTEN = re.compile(
    rf"^[\"'(]*(?P<number>\d{{1,3}}\s*\.+\s*)?(?:{SAN.pattern}|O-O-O|O-O|0-0-0|0-0)[!?+#]*[\"'),.;:]*$"
)
_PIECE = re.compile(r"\b(?:knight|bishop|rook|queen|king)\b", re.IGNORECASE)
#: Moves that a habit must rest on before it counts against common use.
ENOUGH = 3


@dataclass(frozen=True, slots=True)
class Habit:
    """A trainer's way of writing moves.

    :param notation: writes ``Nf3`` rather than "knight f3".
    :param numbers: in notation, with move numbers.
    :param to: says "knight to f3".
    :param on: says "takes on d4".
    :param pawn: says "pawn e4".
    """

    notation: bool = False
    numbers: bool = False
    to: bool = False
    on: bool = False
    pawn: bool = False


def habit_of(walk: Walk | None) -> Habit:
    """The habit that most moves of a walk show; plain words where there are too few."""
    said = [step for step in walk.moves if step.said.words] if walk is not None else []
    written = [m for m in (_WRITTEN.match(step.said.words) for step in said) if m]
    # A pawn's "e4" is both; only what has a piece, a capture or a number in it counts.
    telling = [m for m in written if m["piece"] or m["takes"] or m["number"] or "-" in m[0]]
    spoken = [step.said.words.lower() for step in said if _is_spoken(step)]
    return Habit(
        notation=len(telling) > len(spoken) and len(telling) >= ENOUGH,
        numbers=_most([bool(m["number"]) for m in written]),
        to=_most([" to " in words for words in spoken if _PIECE.search(words) and "take" not in words]),
        on=_most([" on " in words for words in spoken if "take" in words]),
        pawn=_most([step.said.words.lower().startswith("pawn") for step in said if _is_push(step)]),
    )


def spelled(board: chess.Board, move: chess.Move, habit: Habit) -> str:
    """A legal move as the trainer would write it, in the middle of a sentence."""
    san = board.san(move)
    if habit.notation:
        return (move_number(board.fen()) if habit.numbers else "") + san
    words = in_words(san).removesuffix(", checkmate").removesuffix(", check")
    found = SAN.fullmatch(san)
    if CASTLES.fullmatch(san) or found is None:
        return words
    if found["takes"]:
        return words.replace(" takes ", " takes on ") if habit.on and found["piece"] else words
    if not found["piece"]:
        return f"pawn {'to ' if habit.to else ''}{words}" if habit.pawn else words
    return words.replace(f" {found['to']}", f" to {found['to']}") if habit.to else words


def _is_spoken(step: MoveStep) -> bool:
    words = step.said.words.lower()
    return bool(_PIECE.search(words) or " " in words.strip() or words.startswith(("take", "castle")))


def _is_push(step: MoveStep) -> bool:
    return step.san[0].islower() and "x" not in step.san


def _most(shown: list[bool]) -> bool:
    return len(shown) >= ENOUGH and sum(shown) * 2 > len(shown)

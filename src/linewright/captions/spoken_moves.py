"""Moves in captions spoken properly: a misheard piece or square is corrected, everything else stays as it was said."""

from __future__ import annotations

import re
from collections.abc import Iterator

from linewright.captions.edits import CorrectionKind, Edit, dressed, part
from linewright.captions.said_move import (
    CASTLING_WORDS,
    MISHEARD,
    TAKES,
    SaidMove,
    names_another_square,
    names_piece,
    odd_runs,
    run_words,
    target_square,
)
from linewright.language.numbers import number_words
from linewright.language.sounds import alike
from linewright.lesson.spoken import CASTLES

#: How alike (0-1) misheard words and a square must sound to be taken for it when nothing else decides.
SOUNDS_LIKE_SQUARE = 0.6
#: The same where the words are the whole of a move that was read very surely.
SOUNDS_A_LITTLE = 0.4

#: How sure (0-1) a reading must be to overrule a square that was heard as another one. On the open talks'
#: captions all 17 such changes above were right; below it, down to SURE, all three were wrong.
OVERRULES = 0.97


def spoken_edits(said: SaidMove, earliest: int) -> Iterator[Edit]:
    """The edits that make a move's words say it properly.

    :param earliest: the first word that may still belong to it: a misheard piece may stand before its words.
    """
    if CASTLES.fullmatch(said.step.san):
        yield from _castling(said)
        return
    target = target_square(said)
    used = frozenset(range(target[0], target[1])) if target else frozenset()
    names = [i for i, p in enumerate(said.parts) if i not in used and names_piece(said, p)]
    misheard = [] if names or not said.piece else [r for r in odd_runs(said, used) if _is_piece(said, r)]
    why = f"the move is {said.step.san}"
    lacks_piece = bool(said.piece) and not names
    before = earliest if lacks_piece and earliest < said.first else None
    if target is not None:
        if not names_another_square(said, target[0], target[1]) or said.step.sure >= OVERRULES:
            yield from _with_square(said, target, misheard if lacks_piece else [], before, why)
    elif not _square_left_out(said, names, misheard):
        yield from _whole(said, misheard, why)
    elif before is not None:
        yield from _piece_before(said, before, why)


def _castling(said: SaidMove) -> Iterator[Edit]:
    """Words without any of castling's own that stand for it."""
    if not CASTLING_WORDS & {p.low for p in said.parts}:
        for start, end in odd_runs(said, frozenset()):
            yield said.edit(start, end, "castles", f"sounds like castling: {said.step.san}")


def _with_square(
    said: SaidMove, target: tuple[int, int, str], misheard: list[tuple[int, int]], before: int | None, why: str
) -> Iterator[Edit]:
    """The edits of words that name the square, right or misheard.

    :param misheard: where the piece's name was misheard.
    :param before: the word before the move's that may be a misheard piece; None where none is wanted.
    """
    start, end, square = target
    joins = TAKES | ({said.name} if said.piece else set())  # a pawn is not part of its move: "the pawn, d4"
    if misheard and misheard[-1][1] <= start:
        one, two = misheard[-1]
        if two == start:  # in one piece, so that a comma between goes
            yield said.edit(one, end, f"{said.name} {square}", why)
            return
        yield said.edit(one, two, said.name, why)
    elif start and said.parts[start - 1].after == "," and said.parts[start - 1].low in joins:
        yield said.edit(start - 1, end, f"{said.parts[start - 1].low} {square}", why)
        return
    elif before is not None and _opens_with_square(said, start):
        yield from _piece_before(said, before, why)
    if [p.low for p in said.parts[start:end]] != square.split() or end - start != len(square.split()):
        yield said.edit(start, end, square, why)


def _opens_with_square(said: SaidMove, start: int) -> bool:
    """Nothing but a capture stands before the square, so that a piece may have been said before it."""
    return all(p.low in TAKES | {"to", "on"} for p in said.parts[:start])


def _is_piece(said: SaidMove, run: tuple[int, int]) -> bool:
    """The run stands where the piece's name should: it is known to be misheard, or opens the move."""
    return run_words(said, run) in MISHEARD[said.piece] or run[0] == 0


def _square_left_out(said: SaidMove, names: list[int], misheard: list[tuple[int, int]]) -> bool:
    """No square was said: "takes", "the knight takes back"."""
    takes = said.takes and any(p.low in TAKES for p in said.parts)
    if misheard and takes:
        return False
    return takes or not odd_runs(said, frozenset(names))


def _whole(said: SaidMove, misheard: list[tuple[int, int]], why: str) -> Iterator[Edit]:
    """Nothing in the words names the square: "before" for e4, "RK8" for rook e8, "act takes"."""
    if misheard and said.takes and any(p.low in TAKES for p in said.parts):
        yield said.edit(*misheard[-1], said.name, why)
        return
    runs = odd_runs(said, frozenset())
    words = " ".join(run_words(said, run).replace("_", " ") for run in runs)
    if len(runs) == 2 and runs[0][1] == runs[1][0] and misheard:  # "this ship | before"
        words = f"{said.name} {run_words(said, runs[1]).replace('_', ' ')}"
        runs = [(runs[0][0], runs[1][1])]
    if len(runs) != 1:
        return
    digit = _SPOKEN_DIGITS[int(said.to[1])]
    square = f"{said.to[0]} {digit}"
    named = any(names_piece(said, p) for p in said.parts) or not said.piece or _after_takes(said)
    whole = square if named else f"{said.name} {square}"
    like = max(alike(words, square), alike(words, whole))
    everything = runs[0] == (0, len(said.parts)) and said.step.sure >= OVERRULES
    if said.takes and alike(words, "takes") >= max(SOUNDS_LIKE_SQUARE, like):
        yield said.edit(*runs[0], "takes", why)
    elif words.endswith((said.to[1], digit)) or like >= (SOUNDS_A_LITTLE if everything else SOUNDS_LIKE_SQUARE):
        yield said.edit(*runs[0], said.square if named else f"{said.name} {said.square}", why)


def _after_takes(said: SaidMove) -> bool:
    """The word before the move is a capture: "takes | day 2"."""
    return said.first > 0 and part(said.talk.words[said.first - 1].text).low in TAKES


_SPOKEN_DIGITS = number_words().units


def _piece_before(said: SaidMove, before: int, why: str) -> Iterator[Edit]:
    """A misheard piece just before the words that the reading took: "act" before "takes d4"."""
    low = part(said.talk.words[before].text).low
    filed = re.fullmatch(r"([a-h])9", low)  # "F9" for "f knight"
    if filed and said.piece == "N":
        core = f"{filed[1]} knight"
        yield Edit(before, before + 1, dressed(said.talk, before, before + 1, core), CorrectionKind.MOVE, why)
    elif low in MISHEARD[said.piece] - {"look", "might", "nice", "neither", "ship"}:
        yield Edit(before, before + 1, dressed(said.talk, before, before + 1, said.name), CorrectionKind.MOVE, why)

"""Moves in captions written in notation, where no sentence needs their words."""

from __future__ import annotations

from dataclasses import dataclass

from linewright.captions.edits import CorrectionKind, Edit, dressed, part
from linewright.captions.said_move import (
    CASTLING_WORDS,
    JOINED,
    PIECE_NAMES,
    SQUARE,
    TAKES,
    SaidMove,
    names_another_square,
    target_square,
)
from linewright.captions.spoken_moves import OVERRULES, spoken_edits
from linewright.language.tokens import WordParts
from linewright.lesson.spoken import figurine, numbered

#: Words before a move that make it a part of a sentence: "the knight to e7", "one rook to c1".
_BEFORE_NOUN = set("the a an his her my our your their one other another king's queen's white's black's".split())


#: Words that a move said by itself may have besides piece, file and square: "queen takes c6, check".
_STATED_WITH = set(
    "takes captures castles on to check mate checkmate with and that's long short kingside queenside".split()
)
#: Words whose verb the move is: "he takes", "and castles".
_SUBJECTS = set("he she we you they i black white who nobody everybody and but to can could would will must".split())


@dataclass(frozen=True, slots=True)
class Notation:
    """Written moves instead of spoken ones.

    :param figurines: figurines in place of piece letters.
    """

    figurines: bool = True


def written_move(said: SaidMove, before: int, notation: Notation, new_line: bool) -> Edit | None:
    """The move in SAN in place of its words; None where they are part of a sentence: "he takes back".

    :param before: index after the words of the move before.
    :param new_line: a line begins here, so that the move number is written too.
    """
    target, step = target_square(said), said.step
    if target and names_another_square(said, target[0], target[1]) and step.sure < OVERRULES:
        return None
    corrected = {
        index - said.first
        for edit in spoken_edits(said, max(before, said.first - 1))
        for index in range(edit.first, edit.last)
    }
    covered = corrected | set(range(*target[:2]) if target else ())
    if any(index not in covered and not _only_states(p) for index, p in enumerate(said.parts)):
        return None
    start = said.first + min([0, *corrected])
    if _in_sentence(said, start):
        return None
    san = figurine(step.san) if notation.figurines else step.san
    text = numbered(step.before, san) if new_line else san
    return Edit(
        start,
        said.last,
        dressed(said.talk, start, said.last, text, lower=True),
        CorrectionKind.MOVE,
        "written in notation",
    )


def _only_states(p: WordParts) -> bool:
    """A word that only states a move, so that notation can stand for it."""
    file = len(p.core) == 1 and p.low in "bcdefgh"
    square = SQUARE.fullmatch(p.low) or JOINED.fullmatch(p.low)
    return file or bool(square) or p.low in _STATED_WITH or p.low in PIECE_NAMES


def _in_sentence(said: SaidMove, start: int) -> bool:
    """The words before make the move a part of a sentence: "the | knight to e7", "he | takes"."""
    if start == 0:
        return False
    previous = part(said.talk.words[start - 1].text)
    if previous.after:
        return False
    bare = said.parts[0].low in TAKES | CASTLING_WORDS
    return previous.low in _BEFORE_NOUN or (bare and previous.low in _SUBJECTS | set(PIECE_NAMES))

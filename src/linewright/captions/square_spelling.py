"""Squares, files and pieces in captions, spelled alike wherever they are said, in moves or not."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from linewright.captions.edits import CorrectionKind, Edit, opens_sentence, part
from linewright.language.tokens import WordParts
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import SURE, MoveStep, Walk
from linewright.talk.model import Talk

LOWER = "lower case"
#: Words after which a capital letter is a file: "the E file", "C pawn", "D takes".
_AFTER_FILE = set("file files pawn pawns knight rook bishop queen takes square".split())
_PIECES = set("knight bishop rook queen king pawn knights bishops rooks queens kings pawns".split())
_SQUARE = re.compile(r"[A-Ha-h][1-8]")
#: A knight's or rook's file run together with the square: "knight BD7", "rook Fc1".
_JOINED = re.compile(r"([A-H])([A-Ha-h][1-8])")
#: How "pawn" is misheard where only a pawn can stand: "the queen's palm".
_PAWNS = {"palm": "pawn", "palms": "pawns", "prawn": "pawn", "prawns": "pawns", "pon": "pawn"}


def spelling_edits(walk: Walk) -> Iterator[Edit]:
    """Lower case for squares, files and pieces; "knight" for "night", "pawn" for "palm".

    Before and in a move that was read unsurely words stay as heard but for their case.
    """
    talk = walk.talk
    parts = [part(word.text) for word in talk.words]
    unsure = _unsure(walk)
    for index, p in enumerate(parts):
        found = _respelled(talk, index, parts)
        if found is not None and index in unsure and found[0].lower() != p.low:
            found = None
        if found is not None and found[0] != p.core:
            core, why = found
            yield Edit(index, index + 1, p.before + core + p.after, CorrectionKind.SPELLING, why)


def _unsure(walk: Walk) -> frozenset[int]:
    """The words of moves that were read unsurely, each with the word before."""
    spans = zip(walk.steps, step_spans(walk), strict=True)
    doubtful = [span for step, span in spans if isinstance(step, MoveStep) and step.sure < SURE]
    return frozenset(index for first, last in doubtful for index in range(first - 1, last))


def _respelled(talk: Talk, index: int, parts: Sequence[WordParts]) -> tuple[str, str] | None:
    """A word's core as it should be spelled, and why; None when it is not a word of the board."""
    p = parts[index]
    opens = opens_sentence(talk, index)
    previous = parts[index - 1].low if index and not parts[index - 1].after else ""
    if _SQUARE.fullmatch(p.core) or re.fullmatch(r"[A-H]-[Pp]awns?", p.core):
        return p.core.lower(), LOWER
    joined = _JOINED.fullmatch(p.core)
    if joined and previous in ("knight", "rook", "queen"):
        return f"{joined[1]} {joined[2]}".lower(), "the file it comes from, then the square"
    if p.low in _PAWNS and (previous in ("queen's", "king's") or re.fullmatch("[b-h]", previous)):
        return _PAWNS[p.low], "a pawn"
    if index + 1 == len(parts):
        return None
    following = parts[index + 1]
    if re.fullmatch(r"[A-H]", p.core) and not p.after:
        square = _SQUARE.fullmatch(following.core) and p.core != "A"
        file = following.low in _AFTER_FILE and not (opens and p.core == "A")
        return (p.core.lower(), LOWER) if square or file else None
    if p.low in ("night", "nights") and not p.after and _on_board(parts, index):
        return _cased("k" + p.low, opens), "it moves on the board"
    if p.low in _PIECES:
        return _piece(talk, index, parts, opens)
    return None


def _piece(talk: Talk, index: int, parts: Sequence[WordParts], opens: bool) -> tuple[str, str] | None:
    """A piece's name: small within a sentence, unless it is part of a name; large before a move that opens one."""
    p, following = parts[index], parts[index + 1]
    if opens:
        moves = not p.after and (_SQUARE.fullmatch(following.core) or following.low == "takes")
        return (_cased(p.low, True), "a sentence begins") if moves else None
    if not p.core[0].isupper():
        return None
    if not p.after and _is_name(following) and not _JOINED.fullmatch(following.core):
        return None
    before = parts[index - 1]
    if _is_name(before) and not before.after and not opens_sentence(talk, index - 1):
        return None
    return p.low, LOWER


def _is_name(p: WordParts) -> bool:
    """It may belong to a name: a capital and no square."""
    return p.core[:1].isupper() and len(p.core) > 1 and not _SQUARE.fullmatch(p.core) and p.low not in _PIECES


def _cased(word: str, opens: bool) -> str:
    return word.capitalize() if opens else word


def _on_board(parts: Sequence[WordParts], index: int) -> bool:
    """What follows a "night" shows that it is a knight: "night takes", "night on d4"."""
    rest = [p.low for p in parts[index + 1 : index + 3]]
    return bool(rest) and (
        bool(_SQUARE.fullmatch(rest[0]))
        or rest[0] in ("takes", "took")
        or (len(rest) > 1 and rest[0] in ("on", "to", "from") and bool(_SQUARE.fullmatch(rest[1])))
    )

"""Moves named inside a claim ("brings the knight out to f6", "takes with the b pawn"), matched to legal moves.

This is not the reader: nothing is played here. A mention is a pattern; which legal moves fit it is asked of a
position, and several may.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import chess

from linewright.claims.sentence.words import SentenceToken
from linewright.language.tables import load
from linewright.language.wordings import Heard, word_set, wording

#: How many tokens may lie between the piece and the square it goes to ("the bishop nearly always goes to e7").
PIECE_REACH = 9
#: How many words after "castles" may say on which wing ("on the queenside") …
WING = 3
#: … after a square, with what ("with the bishop") …
WITH_PIECE = 3
#: … and after "takes", with what and where ("it back again with the b pawn").
TAKING = 7

#: The letters of the men in written moves (FIDE Laws, Appendix C, and the PGN standard), and their figurines.
_LETTERS = {"K": chess.KING, "Q": chess.QUEEN, "R": chess.ROOK, "B": chess.BISHOP, "N": chess.KNIGHT}
_FIGURINES = dict(zip("♔♕♖♗♘♙♚♛♜♝♞♟", [6, 5, 4, 3, 2, 1] * 2, strict=True))
_SQUARE = re.compile(r"[a-h][1-8]")
_WRITTEN = re.compile(r"([KQRBN♔-♟]?)([a-h]?)([1-8]?)(x?)([a-h][1-8])(?:=?[QRBN])?[+#]?")
_CASTLING = re.compile(r"[o0]-[o0](-[o0])?[+#]?")
_FILE: Final = "claims/sentence/named_moves"


@dataclass(frozen=True, slots=True)
class Mention:
    """A move as it was named.

    :param first: index of the first token that names it.
    :param last: index after the last.
    :param piece: its kind; None when only "takes" or "castles" was said.
    :param to: the square it goes to (or where it captures).
    :param file: the file it comes from.
    :param origin: the square it comes from.
    :param capture: it must capture.
    :param castle: it castles: ``"k"``, ``"q"``, ``"any"``, or ``""``.
    :param check: it must give check.
    """

    first: int
    last: int
    piece: chess.PieceType | None = None
    to: chess.Square | None = None
    file: int | None = None
    origin: chess.Square | None = None
    capture: bool = False
    castle: str = ""
    check: bool = False

    def fits(self, board: chess.Board) -> tuple[chess.Move, ...]:
        """The legal moves that the mention can mean."""
        return tuple(move for move in board.legal_moves if self._fits(board, move))

    def _fits(self, board: chess.Board, move: chess.Move) -> bool:
        if self.castle:
            sides = {
                "k": board.is_kingside_castling,
                "q": board.is_queenside_castling,
                "any": board.is_castling,
            }
            return sides[self.castle](move)
        if board.is_castling(move):
            return False
        return (
            self.piece in (None, board.piece_type_at(move.from_square))
            and self.to in (None, move.to_square)
            and self.origin in (None, move.from_square)
            and self.file in (None, chess.square_file(move.from_square))
            and (not self.capture or board.is_capture(move))
            and (not self.check or board.gives_check(move))
        )


def mentions(tokens: tuple[SentenceToken, ...], first: int, last: int, code: str) -> tuple[Mention, ...]:
    """The moves named by the tokens from ``first`` up to, not including, ``last``, in order.

    :param code: the language of the tokens.
    """
    search = _MentionSearch(tokens, last, code)
    found: list[Mention] = []
    for i in range(first, last):
        free_from = found[-1].last if found else first
        if i < free_from:
            continue
        mention = _written(tokens[i], i) or search.spoken(i, free_from)
        if mention is not None:
            found = [m for m in found if m.last <= mention.first]
            found.append(mention)
    return tuple(found)


@cache
def piece_kinds(code: str) -> Mapping[str, chess.PieceType]:
    """The kinds of men by their names in a language, the singular ones."""
    letters = load(code).table("pieces").sorted_out("names")
    return {word: chess.PIECE_SYMBOLS.index(letter.lower()) for word, letter in letters.items()}


def _written(token: SentenceToken, i: int) -> Mention | None:
    """A written move (``Nf6``, ``exd5``, ``O-O``) that says more than a bare square, as token ``i``."""
    raw = token.raw
    if _CASTLING.fullmatch(token.text):
        return Mention(i, i + 1, chess.KING, castle="q" if token.text.count("-") == 2 else "k")
    # Captions write "bb5" for Bb5; a pawn move is never written so without its "x".
    match = (None if "x" in raw else _WRITTEN.fullmatch(raw[:1].upper() + raw[1:])) or _WRITTEN.fullmatch(raw)
    if match is None or len(match[0].rstrip("+#")) <= 2:
        return None
    letter, file, rank, takes, to = match.groups()
    piece = _LETTERS.get(letter) or _FIGURINES.get(letter) or chess.PAWN
    origin = chess.parse_square(file + rank) if file and rank else None
    return Mention(i, i + 1, piece, chess.parse_square(to), file_of(file), origin, bool(takes))


def file_of(letter: str | None) -> int | None:
    """0 for ``a``; None for nothing and for what is no file."""
    return chess.FILE_NAMES.index(letter) if letter in chess.FILE_NAMES else None


class _MentionSearch:
    """The search for spoken moves in the tokens of a sentence.

    :param last: index after the last token that may name a move.
    """

    def __init__(self, tokens: tuple[SentenceToken, ...], last: int, code: str) -> None:
        self.texts = [_without_clitic(token.text) for token in tokens]
        self.last = last
        self.code = code
        self.pieces = piece_kinds(code)
        self.takes = self._listed("takes")

    def _listed(self, name: str) -> frozenset[str]:
        return word_set(_FILE, name, self.code)

    def _heard(self, hint: str, start: int, length: int) -> Heard | None:
        """A hint at the head of so many words."""
        tail = " ".join(self.texts[start : min(start + length, self.last)])
        return wording(_FILE, self.code).hint(hint, tail)

    def spoken(self, i: int, free_from: int) -> Mention | None:
        """The move whose most telling word is token ``i``: castling, a square, a capture, or the file of a pawn."""
        text = self.texts[i]
        if text in self._listed("castles"):
            wing = "q" if self._heard("long", i + 1, WING) else "k" if self._heard("short", i + 1, WING) else "any"
            return Mention(i, i + 1, chess.KING, castle=wing)
        if _SQUARE.fullmatch(text) and not self._is_place(i):
            return self._to_square(i, free_from)
        if text in self.takes:
            return self._capture(i, free_from)
        if text in self._listed("file_pawn") and i and (file := file_of(self.texts[i - 1])) is not None:
            return Mention(i - 1, i + 1, chess.PAWN, file=file)
        return None

    def _is_place(self, i: int) -> bool:
        """Whether a square names where something stands: "the d5 knight", "the knight on c3 to d5"."""
        following = self.texts[i + 1] if i + 1 < self.last else ""
        if following.partition("'")[0] in self.pieces or following in self._listed("place"):
            return True
        stands = i >= 2 and self.texts[i - 1] in self._listed("stands_on") and self.texts[i - 2] in self.pieces
        return stands and following in self._listed("goes_on")

    def _to_square(self, i: int, free_from: int) -> Mention:
        to = chess.parse_square(self.texts[i])
        checks = self._listed("check_after").intersection(self.texts[i + 1 : min(i + 3, self.last)])
        plain = Mention(i, i + 1, chess.PAWN, to, check=bool(checks))
        for j in range(i - 1, max(free_from, i - PIECE_REACH) - 1, -1):
            text = self.texts[j]
            if text in self.pieces:
                return self._with_piece(replace(plain, first=j), j, i, free_from)
            if text in self.takes:
                taking = self._capture(j, free_from)
                return replace(taking, last=max(i + 1, taking.last), to=to, check=plain.check)
            if text in self._listed("check"):
                return replace(plain, first=j, piece=None, check=True)
        if heard := self._heard("with_piece", i + 1, WITH_PIECE):
            return replace(plain, last=i + 1 + heard.text.count(" ") + 1, piece=self.pieces[heard.value("piece")])
        return plain

    def _with_piece(self, mention: Mention, at: int, end: int, low: int) -> Mention:
        """Add the piece at token ``at`` with what is said of where it comes from."""
        before = self.texts[at - 1] if at > low else ""
        after = self.texts[at + 1] if at + 1 < end else ""
        taking = not self.takes.isdisjoint(self.texts[at:end])
        mention = replace(mention, piece=self.pieces[self.texts[at]], capture=mention.capture or taking)
        if (file := file_of(before)) is not None:
            return replace(mention, first=at - 1, file=file)
        if _SQUARE.fullmatch(before):
            return replace(mention, first=at - 1, origin=chess.parse_square(before))
        if (file := file_of(after)) is not None:
            return replace(mention, file=file)
        if after in self._listed("stands_on") and at + 2 < end and _SQUARE.fullmatch(self.texts[at + 2]):
            return replace(mention, origin=chess.parse_square(self.texts[at + 2]))
        return mention

    def _capture(self, i: int, free_from: int) -> Mention:
        """ "Takes", with the piece named before it ("the b pawn takes") or after it ("takes with the b pawn")."""
        mention = Mention(i, i + 1, capture=True)
        before = self.texts[i - 1] if i > free_from else ""
        if before in self.pieces:
            mention = self._with_piece(replace(mention, first=i - 1), i - 1, i, free_from)
        elif (file := file_of(before)) is not None:
            mention = replace(mention, first=i - 1, piece=chess.PAWN, file=file)
        if heard := self._heard("taking_with", i + 1, TAKING):
            file = file_of(heard.value("file"))
            mention = replace(
                mention,
                last=i + 1 + heard.text.count(" ") + 1,
                piece=self.pieces[heard.value("piece")],
                file=mention.file if file is None else file,
            )
        if heard := self._heard("taking_on", i + 1, TAKING):
            mention = replace(mention, to=chess.parse_square(heard.value("square")))
        return mention


def _without_clitic(text: str) -> str:
    """The square of "bishop e2's the one"; other words as they are."""
    square = text.partition("'")[0]
    return square if _SQUARE.fullmatch(square) else text

"""Moves named inside a claim ("brings the knight out to f6", "takes with the b pawn"), matched to legal moves.

This is not the reader: nothing is played here. A mention is a pattern; which legal moves fit it is asked of a
position, and several may.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import chess

from linewright.claims.sentence.words import Token

#: How many tokens may lie between the piece and the square it goes to ("the bishop nearly always goes to e7").
PIECE_REACH = 9

_PIECES = {
    "king": chess.KING, "queen": chess.QUEEN, "rook": chess.ROOK, "bishop": chess.BISHOP, "knight": chess.KNIGHT,
    "horse": chess.KNIGHT, "pawn": chess.PAWN,
}  # fmt: skip
_LETTERS = {"K": chess.KING, "Q": chess.QUEEN, "R": chess.ROOK, "B": chess.BISHOP, "N": chess.KNIGHT}
_FIGURINES = dict(zip("♔♕♖♗♘♙♚♛♜♝♞♟", [6, 5, 4, 3, 2, 1] * 2, strict=True))
_TAKES = frozenset(
    "take takes taking capture captures capturing recapture recaptures recapturing retake retakes exchange exchanges "
    "exchanging grab grabs grabbing chops snaps swap swaps trade trades wins accept accepts".split()
)
_CASTLES = {"castles", "castle", "castling"}
_SQUARE = re.compile(r"[a-h][1-8]")
#: "Bishop e2's the one".
_OWNING = re.compile(r"[a-h][1-8]'s")
_WRITTEN = re.compile(r"([KQRBN♔-♟]?)([a-h]?)([1-8]?)(x?)([a-h][1-8])(?:=?[QRBN])?[+#]?")


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


def mentions(tokens: tuple[Token, ...], first: int, last: int) -> tuple[Mention, ...]:
    """The moves named by the tokens from ``first`` up to, not including, ``last``, in order."""
    tokens = tuple(replace(t, text=t.text[:2]) if _OWNING.fullmatch(t.text) else t for t in tokens)
    found: list[Mention] = []
    for i in range(first, last):
        free_from = found[-1].last if found else first
        if i < free_from:
            continue
        mention = _written(tokens, i) or _spoken(tokens, i, free_from, last)
        if mention is not None:
            found = [m for m in found if m.last <= mention.first]
            found.append(mention)
    return tuple(found)


def _written(tokens: tuple[Token, ...], i: int) -> Mention | None:
    """A written move (``Nf6``, ``exd5``, ``O-O``) that says more than a bare square."""
    text, raw = tokens[i].text, tokens[i].raw
    if re.fullmatch(r"[o0]-[o0](-[o0])?[+#]?", text):
        return Mention(i, i + 1, chess.KING, castle="q" if text.count("-") == 2 else "k")
    # Captions write "bb5" for Bb5; a pawn move is never written so without its "x".
    match = (None if "x" in raw else _WRITTEN.fullmatch(raw[:1].upper() + raw[1:])) or _WRITTEN.fullmatch(raw)
    if match is None or len(match[0].rstrip("+#")) <= 2:
        return None
    letter, file, rank, takes, to = match.groups()
    piece = _LETTERS.get(letter) or _FIGURINES.get(letter) or chess.PAWN
    origin = chess.parse_square(file + rank) if file and rank else None
    at = "abcdefgh".index(file) if file else None
    return Mention(i, i + 1, piece, chess.parse_square(to), at, origin, bool(takes))


def _spoken(tokens: tuple[Token, ...], i: int, free_from: int, last: int) -> Mention | None:
    text = tokens[i].text
    if text in _CASTLES:
        wing = " ".join(token.text for token in tokens[i + 1 : min(i + 4, last)])
        long = re.match(r"(?:on the |to the )?(?:queenside|long)\b", wing)
        short = re.match(r"(?:on the |to the )?(?:kingside|short)\b", wing)
        return Mention(i, i + 1, chess.KING, castle="q" if long else "k" if short else "any")
    if _SQUARE.fullmatch(text) and not _is_place(tokens, i, last):
        return _to_square(tokens, i, free_from, last)
    if text in _TAKES:
        return _capture(tokens, i, free_from, last)
    if text in ("pawn", "pawns") and i and re.fullmatch("[a-h]", tokens[i - 1].text):
        # "it's always the b pawn": which pawn moves, the rest being plain from the board.
        return Mention(i - 1, i + 1, chess.PAWN, file="abcdefgh".index(tokens[i - 1].text))
    return None


def _is_place(tokens: tuple[Token, ...], i: int, last: int) -> bool:
    """Whether a square names where something stands: "the d5 knight", "the knight on c3 to d5"."""
    following = tokens[i + 1].text if i + 1 < last else ""
    if following.removesuffix("'s") in _PIECES or following in ("square", "squares"):
        return True
    before = tokens[i - 1].text if i else ""
    return (
        before in ("on", "from") and i >= 2 and tokens[i - 2].text in _PIECES and following in ("to", "takes", "goes")
    )


def _to_square(tokens: tuple[Token, ...], i: int, free_from: int, last: int) -> Mention:
    to = chess.parse_square(tokens[i].text)
    after = {token.text for token in tokens[i + 1 : min(i + 3, last)]}
    plain = Mention(i, i + 1, chess.PAWN, to, check=bool(after & {"check", "checkmate"}))
    for j in range(i - 1, max(free_from, i - PIECE_REACH) - 1, -1):
        text = tokens[j].text
        if text in _PIECES:
            return _with_piece(replace(plain, first=j), tokens, j, i, free_from)
        if text in _TAKES:
            taking = _capture(tokens, j, free_from, last)
            return replace(taking, last=max(i + 1, taking.last), to=to, check=plain.check)
        if text in ("check", "checks", "checking"):
            return replace(plain, first=j, piece=None, check=True)
    tail = " ".join(token.text for token in tokens[i + 1 : min(i + 4, last)])
    if match := re.match(r"with (?:the|his|her|our|my|a) (king|queen|rook|bishop|knight)\b", tail):
        return replace(plain, last=i + 4, piece=_PIECES[match[1]])
    return plain


def _with_piece(mention: Mention, tokens: tuple[Token, ...], at: int, end: int, low: int) -> Mention:
    """Add the piece at token ``at`` with what is said of where it comes from."""
    piece = _PIECES[tokens[at].text]
    before = tokens[at - 1].text if at > low else ""
    after = tokens[at + 1].text if at + 1 < end else ""
    taking = any(token.text in _TAKES for token in tokens[at:end])
    mention = replace(mention, piece=piece, capture=mention.capture or taking)
    if re.fullmatch("[a-h]", before):
        return replace(mention, first=at - 1, file="abcdefgh".index(before))
    if _SQUARE.fullmatch(before):
        return replace(mention, first=at - 1, origin=chess.parse_square(before))
    if re.fullmatch("[a-h]", after):
        return replace(mention, file="abcdefgh".index(after))
    if after in ("on", "from") and at + 2 < end and _SQUARE.fullmatch(tokens[at + 2].text):
        return replace(mention, origin=chess.parse_square(tokens[at + 2].text))
    return mention


def _capture(tokens: tuple[Token, ...], i: int, free_from: int, last: int) -> Mention:
    """ "takes", with the piece named before it ("the b pawn takes") or after it ("takes with the b pawn")."""
    mention = Mention(i, i + 1, capture=True)
    if i > free_from and tokens[i - 1].text in _PIECES:
        mention = _with_piece(replace(mention, first=i - 1), tokens, i - 1, i, free_from)
    elif i > free_from and re.fullmatch("[a-h]", tokens[i - 1].text):
        mention = replace(mention, first=i - 1, piece=chess.PAWN, file="abcdefgh".index(tokens[i - 1].text))
    tail = " ".join(token.text for token in tokens[i + 1 : min(i + 8, last)])
    match = re.match(r"(?:back |again |on [a-h][1-8] |it |that |the pawn )*with (?:the |his |her |our |my "
                     r")?(?P<file>[a-h] )?"
                     r"(?P<piece>king|queen|rook|bishop|knight|pawn)\b", tail)  # fmt: skip
    if match:
        file = "abcdefgh".index(match["file"].strip()) if match["file"] else mention.file
        length = match[0].count(" ") + 1
        mention = replace(mention, last=i + 1 + length, piece=_PIECES[match["piece"]], file=file)
    if match := re.match(r"(?:back |again |it |the pawn )*on (?P<square>[a-h][1-8])\b", tail):
        mention = replace(mention, to=chess.parse_square(match["square"]))
    return mention

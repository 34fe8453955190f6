"""Written moves: what a word in notation may mean, in correct notation and in hasty.

Good notation is standard algebraic notation, FIDE Laws of Chess, Appendix C, and the forms the PGN standard (1994,
section 8.2.3) allows readers to accept: zeros for castling, long notation with a hyphen, promotion with or without "=".
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from linewright.reading.words.tokens import Token

SAN = re.compile(
    r"^(?P<piece>[KQRBNP])?(?P<file>[a-h])?(?P<rank>[1-8])?(?P<sep>[-–x×:])?[KQRBN]?(?P<to>[a-h][1-8])"
    r"(?:=?(?P<promotion>[QRBNqrbn]))?(?P<check>[+#†‡]*)[!?]*$"
)
CASTLING = re.compile(r"^[O0o][-–−‑][O0o](?P<long>[-–−‑][O0o])?(?P<check>[+#]*)[!?]*$")
FIGURINES = {
    "♔": "K", "♕": "Q", "♖": "R", "♗": "B", "♘": "N", "♙": "",
    "♚": "K", "♛": "Q", "♜": "R", "♝": "B", "♞": "N", "♟": "",
}  # fmt: skip

#: Nats, in captions, for "Bd7": it may be a bishop or the knight on the b-file; other letters name no file.
FILE_OR_PIECE = 1.5
#: Nats for "to" written as a figure within a word.
TO_AS_TWO = 0.7
#: Nats for a small letter that names a piece, in a text whose hand writes pieces so.
SMALL_PIECE = 0.2
#: Nats for a capture given by its two files alone ("ed"), each rank alike.
FILES_ALONE = 0.5
#: Nats for a piece letter of another language, where English has none.
FOREIGN = 2.0
#: Piece letters of German (S L T D), French (C F T D) and Spanish (C A T D), as their federations print them (from
#: memory). "R" is a rook in English and stays one.
FOREIGN_PIECES = {"S": "N", "L": "B", "T": "R", "D": "Q", "C": "N", "F": "B", "A": "B"}
#: So many unmistakable small pieces ("nf3", "qxd5") show that a hand writes pieces small; a recogniser's text needs
#: more, where "r d 1" may be anything.
SMALL_PIECES = {False: 1, True: 2}
_SMALL = re.compile(r"[nrqk][a-h]?[1-8]?[x:]?[a-h][1-8][+#!?]*")
_SMALL_ANY = re.compile(r"[nbrqk][a-h]?[1-8]?[x:]?[a-h][1-8](?:=?[nbrq])?[+#†‡]*[!?]*")
_SMALL_FOREIGN = re.compile(r"[slt][a-h]?[1-8]?[x:]?[a-h][1-8][+#!?]*")
_FILES = re.compile(r"([a-h])([x:]?)([a-h])")
_NOTATION = re.compile(r"[KQRBNkqrbn]?[a-h]?[1-8]?[-x:]?[a-h][1-8][+#!?]*")


def writes_small(tokens: Sequence[Token], heard: bool) -> bool:
    """The text's hand writes pieces with small letters: "2. nf3 nc6", "2. sf3"."""
    return sum(bool(_SMALL.fullmatch(t.raw) or _SMALL_FOREIGN.fullmatch(t.raw)) for t in tokens) >= SMALL_PIECES[heard]


def written(raw: str, heard: bool, small: bool = False) -> list[tuple[str, str, float]]:
    """(kind, value, nats) of a written word: a square stays a square, everything else is a whole move."""
    text = "".join(FIGURINES.get(c, c) for c in raw)
    castling = CASTLING.match(text)
    if castling:
        return [("castling", "Q" if castling["long"] else "K", 0.0)]
    lower = text.lower()
    if re.fullmatch(r"[a-h][1-8]", lower):
        if text == raw or raw[0] not in FIGURINES:
            return [("square", lower, 0.0)]
        return [("san", lower, 0.0)]
    out: list[tuple[str, str, float]] = []
    match = SAN.match(text)
    pushed = small and text[0] == "b" and re.fullmatch(r"bb[1-8]", text)  # no hand writes a pawn's step so
    if match and not pushed:
        unclear = match["piece"] == "B" or not (match["piece"] or match["rank"])
        doubtful = heard and unclear and not match["sep"] and text == raw
        out.append(("san", text, FILE_OR_PIECE if doubtful else 0.0))
    to = re.fullmatch(r"([a-h]?)2([a-h][1-8])", lower) if heard else None
    if to:  # "b2d4" for "b to d4", "2f6" for "to f6"
        out.append(("filesquare" if to[1] else "square", to[1] + to[2], TO_AS_TWO))
    pair = re.fullmatch(r"([a-h])([a-h][1-8])", lower)
    if pair and (heard or not match or not match["piece"]):
        out.append(("filesquare", lower, 0.0))
    capture = re.fullmatch(r"([a-h])[x:]([a-h][1-8])", lower)
    if capture and not match:
        out.append(("san", lower, 0.5))
    out.extend(_hurried(text, match is not None, small))
    return out


def _hurried(text: str, good: bool, small: bool) -> Iterator[tuple[str, str, float]]:
    """Notation that no standard allows: small piece letters, captures without a rank, another language's pieces."""
    if small and _SMALL_ANY.fullmatch(text):
        yield "san", text[0].upper() + text[1:], SMALL_PIECE
    if small and _SMALL_FOREIGN.fullmatch(text):
        yield "san", FOREIGN_PIECES[text[0].upper()] + text[1:], SMALL_PIECE
    if not good and text[:1] in FOREIGN_PIECES and SAN.match(FOREIGN_PIECES[text[0]] + text[1:]):
        yield "san", FOREIGN_PIECES[text[0]] + text[1:], FOREIGN
    files = _FILES.fullmatch(text)
    if files and files[2]:
        yield from _captures(files[1], files[3])


def files_alone(tokens: Sequence[Token], index: int) -> Iterator[tuple[str, str, float]]:
    """A capture by its two files, "ed", among written moves; anywhere else two letters are a word or a name."""
    token = tokens[index]
    files = _FILES.fullmatch(token.raw)
    if not files or files[2]:
        return
    near = [tokens[i] for i in (index - 1, index + 1) if 0 <= i < len(tokens)]
    if token.number is not None or any(_NOTATION.fullmatch(t.raw) and t.number is not None for t in near):
        yield from _captures(files[1], files[3])


def _captures(one: str, two: str) -> Iterator[tuple[str, str, float]]:
    """A pawn's captures from one file to the next, on every rank: the board decides."""
    if abs(ord(one) - ord(two)) == 1:
        for rank in "234567":
            yield "san", f"{one}x{two}{rank}", FILES_ALONE

"""A move in words, in figurines and with its symbols; the written form is SAN.

Sources: FIDE Laws of Chess, Appendix C (algebraic notation, figurines in place of piece letters: C.2);
PGN standard (1994), 8.2.3 (SAN) and 10 (numeric annotation glyphs).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

import chess

#: English piece letters (FIDE C.2, C.3) and what they are called.
PIECES = {"K": "king", "Q": "queen", "R": "rook", "B": "bishop", "N": "knight"}

#: The white figurines of Unicode's Miscellaneous Symbols (U+2654-2658), used for both sides as in print.
FIGURINES = {"K": "♔", "Q": "♕", "R": "♖", "B": "♗", "N": "♘"}

SAN = re.compile(
    r"(?P<piece>[KQRBN])?(?P<file>[a-h])?(?P<rank>[1-8])?(?P<takes>x)?(?P<to>[a-h][1-8])"
    r"(?:=(?P<promotes>[QRBN]))?(?P<check>[+#])?"
)
CASTLES = re.compile(r"(?P<way>O-O-O|O-O)(?P<check>[+#])?")
CHECKS = {"+": ", check", "#": ", checkmate", None: ""}


class Nag(NamedTuple):
    """A numeric annotation glyph: the sign that a book prints and what it says in words."""

    sign: str
    words: str


#: Words after PGN standard (1994), section 10; the signs are the trade's (common practice).
NAGS = {
    1: Nag("!", "good move"),
    2: Nag("?", "poor move"),
    3: Nag("!!", "very good move"),
    4: Nag("??", "very poor move"),
    5: Nag("!?", "speculative move"),
    6: Nag("?!", "questionable move"),
    7: Nag("□", "forced move"),
    10: Nag("=", "drawish position"),
    11: Nag("=", "equal chances, quiet position"),
    12: Nag("=", "equal chances, active position"),
    13: Nag("∞", "unclear position"),
    14: Nag("⩲", "White has a slight advantage"),
    15: Nag("⩱", "Black has a slight advantage"),
    16: Nag("±", "White has a moderate advantage"),
    17: Nag("∓", "Black has a moderate advantage"),
    18: Nag("+−", "White has a decisive advantage"),
    19: Nag("−+", "Black has a decisive advantage"),
    22: Nag("⨀", "White is in zugzwang"),
    23: Nag("⨀", "Black is in zugzwang"),
    36: Nag("↑", "White has the initiative"),
    37: Nag("↑", "Black has the initiative"),
    40: Nag("→", "White has the attack"),
    41: Nag("→", "Black has the attack"),
    44: Nag("=∞", "White has sufficient compensation for material deficit"),
    45: Nag("=∞", "Black has sufficient compensation for material deficit"),
}


def in_words(san: str) -> str:
    """The move as a trainer says it: ``"Qxh7+"`` is "queen takes h7, check".

    Text that is not a move in SAN comes back as it is: a screen reader then spells it.
    """
    castles = CASTLES.fullmatch(san)
    if castles:
        side = "queenside" if castles["way"] == "O-O-O" else "kingside"
        return f"castles {side}{CHECKS[castles['check']]}"
    move = SAN.fullmatch(san)
    if not move:
        return san
    said = [
        PIECES.get(move["piece"] or ""),
        move["file"],
        move["rank"],
        move["takes"] and "takes",
        move["to"],
    ]
    words = " ".join(part for part in said if part)
    if move["promotes"]:
        words += f", promotes to a {PIECES[move['promotes']]}"
    return words + CHECKS[move["check"]]


def figurine(san: str) -> str:
    """The move with figurines in place of piece letters: ``"Nf3"`` is "♘f3", ``"e8=Q"`` is "e8=♕"."""
    return re.sub("[KQRBN]", lambda letter: FIGURINES[letter[0]], san)


def nag_sign(nag: int | None) -> str:
    """The printed sign of a numeric annotation glyph, ``""`` for none or one without a sign of its own."""
    return NAGS[nag].sign if nag in NAGS else ""


def numbered(before: str, san: str) -> str:
    """The move with its number as books print it, ``"4.Nxd4"`` or ``"4...Qh4"``.

    :param before: FEN of the position before the move; a missing move counter counts as 1.
    """
    return move_number(before) + san


def written(fen: str, moves: Iterable[str]) -> list[tuple[str, str]]:
    """Moves in UCI that follow each other from a position: the FEN before each, and its SAN.

    :raises ValueError: for a move that is not legal there.
    """
    board = chess.Board(fen)
    found = []
    for uci in moves:
        before, move = board.fen(), board.parse_uci(uci)
        found.append((before, board.san_and_push(move)))
    return found


def white_to_move(fen: str) -> bool:
    """Whether White is to move in a position; its FEN needs the first two fields."""
    return fen.split()[1] == "w"


def move_number(before: str) -> str:
    """``"4."`` for White's fourth move, ``"4..."`` for Black's, from the FEN before the move."""
    fields = before.split()
    number = fields[5] if len(fields) > 5 else "1"
    return f"{number}..." if len(fields) > 1 and fields[1] == "b" else f"{number}."

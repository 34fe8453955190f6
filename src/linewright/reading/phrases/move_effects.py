"""Deeds: what a move does, as plain words say it without its square: it comes out, goes back, hits the knight.

Each is judged by what is seen of the board at once, without an engine.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import chess

from linewright.reading.search.legal import Legal, gives_check, reach
from linewright.reading.search.move_prior import WORTH

#: Nats for a capture that isn't said to be one: "the knight attacks the queen" said of one that takes on its way.
CAPTURE_UNSAID = 1.5
#: Nats for a piece that was seen to hit, guard or hold the same before it moved.
NOT_NEW = 2.0
#: Nats for a piece that leaves, or comes out, where nothing chased it, or it was out already.
UNPROVOKED = 1.5
#: Nats for swapping pieces of unlike worth.
UNLIKE = 2.0

_LETTERS = " PNBRQK"
_HOME = {
    "N": chess.BB_B1 | chess.BB_G1 | chess.BB_B8 | chess.BB_G8,
    "B": chess.BB_C1 | chess.BB_F1 | chess.BB_C8 | chess.BB_F8,
    "R": chess.BB_CORNERS,
    "Q": chess.BB_D1 | chess.BB_D8,
}
_LIGHT = {"light": True, "dark": False}


@dataclass(frozen=True, slots=True)
class Deed:
    """What a move is said to do.

    :param kind: a key of ``DEEDS``.
    :param target: letter of the piece it is done to, or ``""``.
    :param square: square it is done to, or ``""``.
    :param it: it is done to the piece that moved last.
    :param files: files that the mover may come from (``"ah"`` for a rook's pawn), or ``""``.
    :param onto: file that the mover goes to, ``"open"`` for one without pawns of its own side, or ``""``.
    :param target_file: file of the piece it is done to, or ``""``.
    :param shade: ``"light"`` or ``"dark"`` squares that the mover stands on, or ``""``.
    """

    kind: str
    target: str = ""
    square: str = ""
    it: bool = False
    files: str = ""
    shade: str = ""
    onto: str = ""
    target_file: str = ""

    def cost(self, board: chess.Board, legal: Legal, last: Legal | None) -> float | None:
        """Nats for describing a legal move so; None when it doesn't do that.

        :param last: the move that led to the board, if it is known.
        """
        if self.files and legal.origin[0] not in self.files:
            return None
        origin = chess.BB_SQUARES[legal.move.from_square]
        if self.shade and bool(origin & chess.BB_LIGHT_SQUARES) is not _LIGHT[self.shade]:
            return None
        if (legal.castles and self.kind != "likewise") or (self.it and last is None):
            return None
        return DEEDS[self.kind](_SeenMove(board, legal, last, self))


class _SeenMove:
    """One legal move, looked at for one deed."""

    def __init__(self, board: chess.Board, legal: Legal, last: Legal | None, deed: Deed) -> None:
        self.board = board
        self.legal = legal
        self.last = last
        self.deed = deed

    @property
    def capture_unsaid(self) -> float:
        return CAPTURE_UNSAID if self.legal.capture else 0.0

    @property
    def forward(self) -> int:
        """Ranks that the move goes forward."""
        ranks = int(self.legal.to[1]) - int(self.legal.origin[1])
        return ranks if self.board.turn else -ranks

    def aims(self, side: chess.Color) -> int:
        """The men of a side that the deed may be done to, or the square itself when only that was said."""
        board, deed = self.board, self.deed
        out = board.occupied_co[side]
        if deed.target:
            out &= board.pieces_mask(_LETTERS.index(deed.target), side)
        if deed.target_file:
            out &= chess.BB_FILES["abcdefgh".index(deed.target_file)]
        square = self.last.to if deed.it and self.last is not None else deed.square
        if square:
            spot = chess.BB_SQUARES[chess.parse_square(square)]
            out = out & spot if deed.target or deed.it else spot
        return out

    @property
    def occupied(self) -> int:
        """Occupied squares after the move (but for a pawn taken in passing)."""
        move = self.legal.move
        return self.board.occupied & ~chess.BB_SQUARES[move.from_square] | chess.BB_SQUARES[move.to_square]

    def reach(self) -> int:
        """Squares that the moved piece looks at from where it stands then."""
        legal = self.legal
        return reach(legal.promotion or legal.piece, self.board.turn, legal.move.to_square, self.occupied)

    def reach_before(self) -> int:
        legal = self.legal
        return reach(legal.piece, self.board.turn, legal.move.from_square, self.board.occupied)

    def attacked(self) -> bool:
        """The piece was attacked where it stood."""
        return bool(self.board.attackers_mask(not self.board.turn, self.legal.move.from_square))


def _develops(seen: _SeenMove) -> float | None:
    legal = seen.legal
    if legal.piece not in _HOME or seen.forward < 0:
        return None
    if chess.BB_SQUARES[legal.move.from_square] & _HOME[legal.piece]:
        return seen.capture_unsaid
    return None if legal.capture else UNPROVOKED


def _retreats(seen: _SeenMove) -> float | None:
    return None if seen.legal.capture or seen.forward >= 0 else 0.0


def _advances(seen: _SeenMove) -> float | None:
    return None if seen.legal.capture or seen.forward <= 0 else 0.0


def _one_step(seen: _SeenMove) -> float | None:
    return None if seen.legal.capture or abs(seen.forward) > 1 else 0.0


def _two_steps(seen: _SeenMove) -> float | None:
    return None if seen.legal.capture or seen.forward != 2 else 0.0


def _pushes(seen: _SeenMove) -> float | None:
    return None if seen.legal.capture or seen.legal.piece != "P" else 0.0


def _centralises(seen: _SeenMove) -> float | None:
    centred = chess.BB_SQUARES[seen.legal.move.to_square] & chess.BB_CENTER
    return seen.capture_unsaid if centred and seen.legal.piece != "P" else None


def _cornered(seen: _SeenMove) -> float | None:
    return seen.capture_unsaid if chess.BB_SQUARES[seen.legal.move.to_square] & chess.BB_CORNERS else None


def _edged(seen: _SeenMove) -> float | None:
    return seen.capture_unsaid if seen.legal.to[0] in "ah" and seen.legal.piece != "P" else None


def _onto_file(seen: _SeenMove) -> float | None:
    legal, board, onto = seen.legal, seen.board, seen.deed.onto
    if onto != "open":
        return seen.capture_unsaid if legal.to[0] == onto and legal.origin[0] != onto else None
    file = chess.BB_FILES[legal.move.to_square & 7]
    closed = file & board.pawns & board.occupied_co[board.turn]
    return seen.capture_unsaid if legal.piece in "RQ" and legal.origin[0] != legal.to[0] and not closed else None


def _doubles(seen: _SeenMove) -> float | None:
    legal, board = seen.legal, seen.board
    if legal.piece not in "RQ" or legal.capture:
        return None
    heavy = (board.rooks | board.queens) & board.occupied_co[board.turn]
    others = heavy & ~chess.BB_SQUARES[legal.move.from_square] & chess.BB_FILES[legal.move.to_square & 7]
    if others and legal.origin[0] != legal.to[0]:
        return 0.0
    # a rook that makes room for the other one on its file
    return UNPROVOKED if legal.piece == "R" and legal.origin[0] == legal.to[0] and not others else None


def _likewise(seen: _SeenMove) -> float | None:
    legal, last = seen.legal, seen.last
    if last is None or bool(last.castles) != bool(legal.castles) or legal.capture != last.capture:
        return None
    if last.capture:
        return 0.0 if legal.to == last.to else UNLIKE
    mirrored = legal.to[0] == last.to[0] and int(legal.to[1]) == 9 - int(last.to[1])
    return 0.0 if legal.castles or (legal.piece == last.piece and mirrored) else None


def _moves(seen: _SeenMove) -> float | None:
    return seen.capture_unsaid


def _leaves(seen: _SeenMove) -> float | None:
    return seen.capture_unsaid + (0.0 if seen.attacked() else UNPROVOKED)


def _fianchettoes(seen: _SeenMove) -> float | None:
    legal = seen.legal
    return 0.0 if legal.piece == "B" and legal.to in ("b2", "g2", "b7", "g7") and not legal.capture else None


def _hits(seen: _SeenMove) -> float | None:
    aims = seen.aims(not seen.board.turn)
    if not seen.reach() & aims:
        return None
    return seen.capture_unsaid + (0.0 if seen.reach() & aims & ~seen.reach_before() else NOT_NEW)


def _guards(seen: _SeenMove) -> float | None:
    aims = seen.aims(seen.board.turn) & ~chess.BB_SQUARES[seen.legal.move.from_square]
    if not seen.reach() & aims or seen.legal.piece == "K":
        return None
    new = list(chess.scan_forward(seen.reach() & aims & ~seen.reach_before()))
    if not new:
        return seen.capture_unsaid + NOT_NEW
    them = not seen.board.turn
    return seen.capture_unsaid + (0.0 if any(seen.board.attackers_mask(them, s) for s in new) else UNPROVOKED)


def _pins(seen: _SeenMove) -> float | None:
    legal, board = seen.legal, seen.board
    piece = legal.promotion or legal.piece
    if piece not in "BRQ":
        return None
    looks, occupied, theirs = seen.reach(), seen.occupied, board.occupied_co[not board.turn]
    for square in chess.scan_forward(looks & theirs & seen.aims(not board.turn)):
        worth = WORTH[_LETTERS[board.piece_type_at(square) or 0].strip()]
        beyond = reach(piece, board.turn, legal.move.to_square, occupied & ~chess.BB_SQUARES[square]) & ~looks & theirs
        if any(WORTH[_LETTERS[board.piece_type_at(s) or 0]] > worth for s in chess.scan_forward(beyond)):
            return seen.capture_unsaid
    return None


def _blocks(seen: _SeenMove) -> float | None:
    if seen.legal.piece == "K" or seen.legal.capture:
        return None
    return 0.0 if seen.board.is_check() else UNPROVOKED


def _evades(seen: _SeenMove) -> float | None:
    return seen.capture_unsaid if seen.board.is_check() else None


def _checks(seen: _SeenMove) -> float | None:
    return seen.capture_unsaid if gives_check(seen.board, seen.legal) else None


def _takes(seen: _SeenMove) -> float | None:
    legal, deed = seen.legal, seen.deed
    if not legal.capture or (deed.target and legal.victim != deed.target) or (deed.square and legal.to != deed.square):
        return None
    return None if deed.it and seen.last is not None and legal.to != seen.last.to else 0.0


def _takes_back(seen: _SeenMove) -> float | None:
    if _takes(seen) is None or (seen.last is not None and not (seen.last.capture and seen.legal.to == seen.last.to)):
        return None
    return 0.0


def _to_the_centre(seen: _SeenMove) -> float | None:
    return 0.0 if _takes(seen) is not None and seen.legal.piece == "P" and _inwards(seen.legal) else None


def _from_the_centre(seen: _SeenMove) -> float | None:
    return 0.0 if _takes(seen) is not None and seen.legal.piece == "P" and not _inwards(seen.legal) else None


def _inwards(legal: Legal) -> bool:
    return abs("abcdefgh".index(legal.to[0]) - 3.5) < abs("abcdefgh".index(legal.origin[0]) - 3.5)


def _in_passing(seen: _SeenMove) -> float | None:
    return 0.0 if seen.board.is_en_passant(seen.legal.move) else None


def _swaps(seen: _SeenMove) -> float | None:
    legal = seen.legal
    if _takes(seen) is None:
        return None
    return 0.0 if WORTH[legal.piece] == WORTH[legal.victim] else UNLIKE


def _accepts(seen: _SeenMove) -> float | None:
    legal, last = seen.legal, seen.last
    if _takes(seen) is None:
        return None
    offered = last is not None and not last.capture and (last.to == legal.to or legal.victim == "P")
    return 0.0 if offered else UNLIKE


#: What each kind of deed asks of a move: nats for describing the move so, None when it can't be meant.
DEEDS: dict[str, Callable[[_SeenMove], float | None]] = {
    "develops": _develops,
    "retreats": _retreats,
    "advances": _advances,
    "one step": _one_step,
    "two steps": _two_steps,
    "pushes": _pushes,
    "centralises": _centralises,
    "cornered": _cornered,
    "edged": _edged,
    "onto file": _onto_file,
    "doubles": _doubles,
    "likewise": _likewise,
    "moves": _moves,
    "leaves": _leaves,
    "fianchettoes": _fianchettoes,
    "hits": _hits,
    "guards": _guards,
    "pins": _pins,
    "blocks": _blocks,
    "evades": _evades,
    "checks": _checks,
    "takes": _takes,
    "takes back": _takes_back,
    "to the centre": _to_the_centre,
    "from the centre": _from_the_centre,
    "in passing": _in_passing,
    "swaps": _swaps,
    "accepts": _accepts,
}

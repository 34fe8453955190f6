"""What a move does, in the terms trainers use instead of squares: each kind is a pure test of one move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import chess

from generator.lines import VALUES

NAMES = {1: "pawn", 2: "knight", 3: "bishop", 4: "rook", 5: "queen", 6: "king"}
HOME = {
    chess.WHITE: {chess.KNIGHT: (chess.B1, chess.G1), chess.BISHOP: (chess.C1, chess.F1)},
    chess.BLACK: {chess.KNIGHT: (chess.B8, chess.G8), chess.BISHOP: (chess.C8, chess.F8)},
}
LONG_DIAGONAL = (chess.B2, chess.G2, chess.B7, chess.G7)
CENTRE = (chess.D4, chess.E4, chess.D5, chess.E5)


@dataclass(frozen=True)
class Turn:
    """One move on its board, with the move before it and whether that was a capture."""

    board: chess.Board
    move: chess.Move
    last: chess.Move | None = None
    last_took: bool = False

    @cached_property
    def after(self) -> chess.Board:
        after = self.board.copy(stack=False)
        after.push(self.move)
        return after

    @cached_property
    def piece(self) -> int:
        return self.board.piece_type_at(self.move.from_square) or chess.PAWN

    @cached_property
    def taken(self) -> int:
        """Type of the piece captured, 0 for none."""
        if self.board.is_en_passant(self.move):
            return chess.PAWN
        return 0 if self.castles else self.board.piece_type_at(self.move.to_square) or 0

    @cached_property
    def castles(self) -> bool:
        return self.board.is_castling(self.move)

    @cached_property
    def rows(self) -> int:
        """Ranks moved forward, negative for backward."""
        rows = chess.square_rank(self.move.to_square) - chess.square_rank(self.move.from_square)
        return rows if self.board.turn else -rows

    @cached_property
    def files(self) -> tuple[int, int]:
        return chess.square_file(self.move.from_square), chess.square_file(self.move.to_square)

    def hits(self, kinds: tuple[int, ...]) -> list[chess.Square]:
        """Enemy pieces of these kinds that the moved piece attacks now and not before."""
        now = self.after.attacks(self.move.to_square)
        was = self.board.attacks(self.move.from_square)
        return [
            s for s in now - was if self.after.color_at(s) == self.after.turn and self.after.piece_type_at(s) in kinds
        ]

    @cached_property
    def quiet(self) -> bool:
        return not self.taken and not self.castles and not self.move.promotion


Key = dict[str, str]
Test = Callable[[Turn], Key | None]
KINDS: dict[str, Test] = {}


def kind(test: Test) -> Test:
    KINDS[test.__name__] = test
    return test


def _file(turn: Turn) -> str:
    return chess.FILE_NAMES[turn.files[0]]


@kind
def pawn_two(t: Turn) -> Key | None:
    return {"file": _file(t)} if t.piece == chess.PAWN and t.rows == 2 else None


@kind
def pawn_one(t: Turn) -> Key | None:
    return {"file": _file(t)} if t.piece == chess.PAWN and t.rows == 1 and t.quiet else None


@kind
def pawn_past(t: Turn) -> Key | None:
    """A pawn that could have taken another pawn walks past it."""
    if t.piece != chess.PAWN or not t.quiet:
        return None
    tension = [
        s for s in t.board.attacks(t.move.from_square) if t.board.piece_at(s) == chess.Piece(1, not t.board.turn)
    ]
    return {} if tension else None


@kind
def pawn_asks(t: Turn) -> Key | None:
    if t.piece != chess.PAWN or not t.quiet or t.files[0] not in (0, 7):
        return None
    hit = t.hits((chess.KNIGHT, chess.BISHOP))
    return {"obj": NAMES[t.after.piece_type_at(hit[0]) or 2]} if len(hit) == 1 else None


@kind
def pawn_kicks(t: Turn) -> Key | None:
    if t.piece != chess.PAWN or not t.quiet:
        return None
    hit = t.hits((chess.KNIGHT, chess.BISHOP, chess.ROOK, chess.QUEEN))
    return {"obj": NAMES[t.after.piece_type_at(hit[0]) or 2]} if len(hit) == 1 else None


@kind
def pawn_strikes(t: Turn) -> Key | None:
    if t.piece != chess.PAWN or not t.quiet:
        return None
    hit = [s for s in t.hits((chess.PAWN,)) if chess.square_file(s) in (3, 4)]
    return {"objfile": chess.FILE_NAMES[chess.square_file(hit[0])]} if hit else None


@kind
def accepts(t: Turn) -> Key | None:
    """A pawn takes the pawn that has just been put on offer."""
    if t.piece != chess.PAWN or t.taken != chess.PAWN or t.last is None or t.last_took:
        return None
    return {} if t.last.to_square == t.move.to_square else None


@kind
def recaptures(t: Turn) -> Key | None:
    took_back = t.last and t.last_took and t.last.to_square == t.move.to_square
    return {"n": NAMES[t.piece]} if t.taken and took_back else None


@kind
def recaptures_to_centre(t: Turn) -> Key | None:
    if t.piece != chess.PAWN or recaptures(t) is None or t.files[0] in (3, 4):
        return None
    return {} if abs(t.files[1] - 3.5) < abs(t.files[0] - 3.5) else None


@kind
def recaptures_off_centre(t: Turn) -> Key | None:
    if t.piece != chess.PAWN or recaptures(t) is None:
        return None
    return {} if abs(t.files[1] - 3.5) > abs(t.files[0] - 3.5) else None


@kind
def captures(t: Turn) -> Key | None:
    return {"n": NAMES[t.piece], "x": NAMES[t.taken]} if t.taken and recaptures(t) is None else None


@kind
def side_takes(t: Turn) -> Key | None:
    return {"to": chess.square_name(t.move.to_square)} if t.taken else None


@kind
def wins_pawn(t: Turn) -> Key | None:
    loose = not t.after.is_attacked_by(t.after.turn, t.move.to_square)
    return {} if t.taken == chess.PAWN and loose and recaptures(t) is None and t.piece != chess.PAWN else None


@kind
def trades(t: Turn) -> Key | None:
    if not t.taken or recaptures(t) is not None or t.piece in (chess.PAWN, chess.KING):
        return None
    same = VALUES[t.taken] == VALUES[t.piece]
    return (
        {"n": NAMES[t.piece], "x": NAMES[t.taken]}
        if same and t.after.is_attacked_by(t.after.turn, t.move.to_square)
        else None
    )


@kind
def trades_queens(t: Turn) -> Key | None:
    return {} if t.piece == t.taken == chess.QUEEN else None


@kind
def in_passing(t: Turn) -> Key | None:
    return {} if t.board.is_en_passant(t.move) else None


@kind
def develops(t: Turn) -> Key | None:
    home = HOME[t.board.turn].get(t.piece, ())
    if not t.quiet or t.move.from_square not in home:
        return None
    return {"n": NAMES[t.piece], "other": "" if all(_own(t, s) for s in home) else "other"}


def _own(t: Turn, square: chess.Square) -> bool:
    return t.board.piece_at(square) == chess.Piece(t.piece, t.board.turn)


@kind
def develops_other(t: Turn) -> Key | None:
    key = develops(t)
    return key if key and key["other"] else None


@kind
def fianchettoes(t: Turn) -> Key | None:
    home = HOME[t.board.turn][chess.BISHOP]
    long = t.move.to_square in LONG_DIAGONAL
    return {} if t.piece == chess.BISHOP and t.quiet and long and t.move.from_square in home else None


@kind
def castles_short(t: Turn) -> Key | None:
    return {} if t.board.is_kingside_castling(t.move) else None


@kind
def castles_long(t: Turn) -> Key | None:
    return {} if t.board.is_queenside_castling(t.move) else None


@kind
def retreats(t: Turn) -> Key | None:
    pieces = (chess.KNIGHT, chess.BISHOP, chess.ROOK, chess.QUEEN)
    return {"n": NAMES[t.piece]} if t.quiet and t.rows < 0 and t.piece in pieces else None


@kind
def moves_away(t: Turn) -> Key | None:
    hunted = t.last and t.move.from_square in t.board.attacks(t.last.to_square)
    return {"n": NAMES[t.piece]} if hunted and t.quiet and t.piece not in (chess.PAWN, chess.KING) else None


@kind
def attacks_piece(t: Turn) -> Key | None:
    """A piece comes to attack a piece worth more, or one that nobody protects."""
    if not t.quiet or t.piece in (chess.PAWN, chess.KING):
        return None
    for square in t.hits((chess.KNIGHT, chess.BISHOP, chess.ROOK, chess.QUEEN)):
        worth = VALUES[t.after.piece_type_at(square) or 1]
        if worth > VALUES[t.piece] or not t.after.is_attacked_by(t.after.turn, square):
            return {"n": NAMES[t.piece], "obj": NAMES[t.after.piece_type_at(square) or 1]}
    return None


@kind
def attacks_square(t: Turn) -> Key | None:
    """A piece comes to attack an enemy pawn, told by its square."""
    if not t.quiet or t.piece in (chess.PAWN, chess.KING):
        return None
    hit = t.hits((chess.PAWN,))
    return {"n": NAMES[t.piece], "osq": chess.square_name(min(hit))} if hit else None


@kind
def pins(t: Turn) -> Key | None:
    if t.piece != chess.BISHOP or not t.quiet:
        return None
    new = [s for s in t.hits((chess.KNIGHT,)) if t.after.is_pinned(t.after.turn, s) or _before_queen(t, s)]
    return {} if new else None


def _before_queen(t: Turn, square: chess.Square) -> bool:
    """Whether taking the piece off this square would open the mover's way to the queen."""
    opened = t.after.copy(stack=False)
    opened.remove_piece_at(square)
    queens = opened.pieces(chess.QUEEN, opened.turn)
    return bool(opened.attacks(t.move.to_square) & queens) and not t.after.attacks(t.move.to_square) & queens


@kind
def checks(t: Turn) -> Key | None:
    return {"n": NAMES[t.piece]} if t.after.is_check() and not t.taken and not t.castles else None


@kind
def blocks(t: Turn) -> Key | None:
    return {"n": NAMES[t.piece]} if t.board.is_check() and t.piece != chess.KING and not t.taken else None


@kind
def king_steps(t: Turn) -> Key | None:
    return {} if t.piece == chess.KING and t.quiet else None


@kind
def defends_pawn(t: Turn) -> Key | None:
    """A pawn that hung is protected now by the moved piece."""
    if not t.quiet or t.piece == chess.KING:
        return None
    us = t.board.turn
    for s in sorted(t.after.attacks(t.move.to_square)):
        if (
            t.after.piece_at(s) == chess.Piece(1, us)
            and t.board.is_attacked_by(not us, s)
            and not t.board.is_attacked_by(us, s)
        ):
            return {"n": NAMES[t.piece], "objfile": chess.FILE_NAMES[chess.square_file(s)]}
    return None


@kind
def rook_to_file(t: Turn) -> Key | None:
    if t.piece != chess.ROOK or not t.quiet or t.files[0] == t.files[1]:
        return None
    return {"file": chess.FILE_NAMES[t.files[1]]}


@kind
def queen_moves(t: Turn) -> Key | None:
    return {} if t.piece == chess.QUEEN and t.quiet and t.rows >= 0 else None


@kind
def jumps_to_centre(t: Turn) -> Key | None:
    return {} if t.piece == chess.KNIGHT and t.quiet and t.move.to_square in CENTRE else None


@kind
def goes_to_edge(t: Turn) -> Key | None:
    return {} if t.piece == chess.KNIGHT and t.quiet and t.files[1] in (0, 7) else None


@kind
def copies(t: Turn) -> Key | None:
    """Black does what White has just done."""
    if t.board.turn or t.last is None or not (t.quiet or t.castles):
        return None
    mirrored = chess.Move(chess.square_mirror(t.last.from_square), chess.square_mirror(t.last.to_square))
    return {} if mirrored == t.move else None


def kinds_of(turn: Turn) -> dict[str, Key]:
    """Every kind that this move is, with what a listener is told of it."""
    found = ((name, test(turn)) for name, test in KINDS.items())
    return {name: key for name, key in found if key is not None}


def clearness(turn: Turn, name: str, key: Key, replies: dict[str, int]) -> float:
    """The share of the games in which such words mean this move, among all legal moves they would fit (0-1)."""
    rest = 0.0
    mine = replies.get(turn.move.uci(), 0) + 0.2
    for move in turn.board.legal_moves:
        if move != turn.move and KINDS[name](Turn(turn.board, move, turn.last, turn.last_took)) == key:
            rest += replies.get(move.uci(), 0) + 0.2
    return mine / (mine + rest)

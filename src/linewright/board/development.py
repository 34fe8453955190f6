"""Development: pieces off their first squares, castling, and tempi."""

from __future__ import annotations

from itertools import combinations, permutations

import chess

from linewright.board.castling import looks_castled

#: First squares of the pieces on White's back rank (FIDE Laws, article 2.3).
_HOME = {
    chess.KNIGHT: (chess.B1, chess.G1),
    chess.BISHOP: (chess.C1, chess.F1),
    chess.QUEEN: (chess.D1,),
    chess.ROOK: (chess.A1, chess.H1),
}
#: More moves than any piece needs: a bishop never reaches the other colour.
_NEVER = 9
MINORS: tuple[chess.PieceType, ...] = (chess.KNIGHT, chess.BISHOP)


def pieces_out(
    board: chess.Board, color: chess.Color, kinds: tuple[chess.PieceType, ...] = MINORS
) -> tuple[chess.Square, ...]:
    """Squares of the pieces of ``kinds`` that stand off the first squares of their kind.

    Captured pieces don't count, and a piece that went back home counts as undeveloped. Common practice: trainers
    count knights and bishops; some count the queen and a rook that has moved too, so ``kinds`` can say so.
    """
    out: list[chess.Square] = []
    for kind in kinds:
        homes = [square if color else chess.square_mirror(square) for square in _HOME[kind]]
        out += [square for square in board.pieces(kind, color) if square not in homes]
    return tuple(sorted(out))


#: The minor pieces, the queen and the rooks: what can be developed.
PIECES: tuple[chess.PieceType, ...] = (*MINORS, chess.QUEEN, chess.ROOK)


def tempi(board: chess.Board, color: chess.Color) -> int:
    """The tempi that show on the board: the fewest moves by which the men of ``color`` can have come from their
    first squares to where they stand, each on an empty board.

    A pawn counts one move to its third or fourth rank, one more for each rank beyond; castling counts one for king
    and rook together; a piece off home counts one, or two where one move doesn't reach. What was captured, and what
    went to and fro, doesn't show. After Tarrasch's counting of tempi (The Game of Chess); from memory.
    """
    count = sum(_pawn_tempi(square, color) for square in board.pieces(chess.PAWN, color))
    castled = has_castled(board, color)
    king = board.king(color)
    if king is not None and king != (chess.E1 if color else chess.E8):
        count += 1 if castled else chess.square_distance(king, chess.E1 if color else chess.E8)
    for kind in PIECES:
        pieces, homes = list(board.pieces(kind, color)), _homes(kind, color)
        beside = _beside_castled(board, color)
        if castled and kind == chess.ROOK and beside in pieces:
            pieces.remove(beside)
            homes.remove(min(homes, key=lambda home: chess.square_distance(home, beside)))
        count += _fewest(kind, pieces, homes)
    return count


def lead(board: chess.Board, color: chess.Color) -> int:
    """The lead in tempi of ``color``, negative when it is behind.

    The side to move has its coming move counted in, as the start position shows: White, to move, is one tempo
    ahead there, and level after 1.e4 with Black to move.
    """
    own = tempi(board, color) + (board.turn == color)
    return own - tempi(board, not color) - (board.turn != color)


def has_castled(board: chess.Board, color: chess.Color) -> bool:
    """Whether the king stands as castling leaves it, on the g or c file or further out, on its first rank, and no
    rook is shut in beyond it (a king that walked to g1 leaves its rook on h1)."""
    king = board.king(color)
    if king is None or not looks_castled(board, color):
        return False
    file = chess.square_file(king)
    beyond = range(file + 1, 8) if file > 4 else range(file)
    rank = chess.square_rank(king)
    return not any(board.piece_at(chess.square(f, rank)) == chess.Piece(chess.ROOK, color) for f in beyond)


def _homes(kind: chess.PieceType, color: chess.Color) -> list[chess.Square]:
    return [square if color else chess.square_mirror(square) for square in _HOME[kind]]


def _pawn_tempi(square: chess.Square, color: chess.Color) -> int:
    gone = chess.square_rank(square) - 1 if color else 6 - chess.square_rank(square)
    return gone if gone < 2 else gone - 1


def _beside_castled(board: chess.Board, color: chess.Color) -> chess.Square | None:
    """Where castling put the rook: on f1 or d1, when the king went to that wing."""
    king = board.king(color)
    if king is None:
        return None
    return chess.square(5 if chess.square_file(king) > 4 else 3, chess.square_rank(king))


def _fewest(kind: chess.PieceType, pieces: list[chess.Square], homes: list[chess.Square]) -> int:
    """The fewest moves in which the pieces can have come from the first squares, each from one of its own.

    Pieces beyond the first squares' number were promoted, and count nothing.
    """
    some = min(len(pieces), len(homes))
    ways = (
        [_moves(kind, home, square) for home, square in zip(order, group, strict=True)]
        for group in combinations(pieces, some)
        for order in permutations(homes, some)
    )
    # A bishop of a colour that no first square is left for was promoted, too.
    return min((way.count(_NEVER), sum(moves for moves in way if moves != _NEVER)) for way in ways)[1]


def _moves(kind: chess.PieceType, home: chess.Square, square: chess.Square) -> int:
    """The fewest moves of a piece between two squares of an empty board."""
    if home == square:
        return 0
    if kind == chess.KNIGHT:
        return chess.square_knight_distance(home, square)
    empty = chess.Board(None)
    empty.set_piece_at(home, chess.Piece(kind, chess.WHITE))
    if square in empty.attacks(home):
        return 1
    same_colour = bool(chess.BB_LIGHT_SQUARES & chess.BB_SQUARES[home]) == bool(
        chess.BB_LIGHT_SQUARES & chess.BB_SQUARES[square]
    )
    return 2 if kind != chess.BISHOP or same_colour else _NEVER

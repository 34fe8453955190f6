"""What lasts, in words: material, pawns, structures, files, centre, development, squares, bishops, kings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import chess

from linewright.board import bishops, castling, development, king_safety, material
from linewright.board.feature import Feature, Topic
from linewright.board.naming import file_names, listed, man_name, side_name, square_names
from linewright.board.structure import centre, chains, open_files, pawns, squares
from linewright.board.structure.named_structures import Structure, structures

#: From this lead in tempi on, one side is said to be ahead: one tempo is the move itself, and a second is often a
#: pawn move that develops nothing. Our choice.
TEMPI_LEAD: Final = 3
#: Chains of fewer pawns are not worth a word: two pawns beside each other are everywhere. Our choice.
LEAST_CHAIN: Final = 3
_SIDES: Final = (chess.WHITE, chess.BLACK)
#: Structures named by the pawns' own sentences.
_SAID_OF_PAWNS: Final = (Structure.HANGING_PAWNS,)


def material_features(board: chess.Board) -> Iterator[Feature]:
    """The balance in words: an extra pawn, a rook for a bishop and a pawn."""
    balance = material.balance(board, chess.WHITE)
    counts = {
        "queen": balance.queens,
        "rook": balance.rooks,
        "bishop": balance.bishops,
        "knight": balance.knights,
        "pawn": balance.pawns,
    }
    more = {color: [_counted(n if color else -n, kind) for kind, n in counts.items() if (n > 0) == color and n]
            for color in _SIDES}  # fmt: skip
    ahead = balance.points >= 0
    if more[chess.WHITE] or more[chess.BLACK]:
        ahead = ahead if more[ahead] else not ahead
        against = f" for {listed(more[not ahead])}" if more[not ahead] else ""
        extra = "" if against else " more"
        words = f"{side_name(ahead)} has {listed(more[ahead])}{against}{extra}"
        level = balance.points == 0
        yield Feature(Topic.MATERIAL, "material", None if level else balance.points > 0, (), words)


def _counted(count: int, kind: str) -> str:
    return f"a {kind}" if count == 1 else f"{count} {kind}s"


def pawns_features(board: chess.Board) -> Iterator[Feature]:
    """Isolated, doubled, tripled, backward, passed and hanging pawns, chains, majorities, islands, breaks."""
    for color in _SIDES:
        weak = (
            ("isolated pawn", "isolated", pawns.isolated(board, color)),
            ("backward pawn", "backward", pawns.backward(board, color)),
            ("protected passed pawn", "a protected passed pawn", pawns.protected_passed(board, color)),
        )
        for name, words, found in weak:
            for square in found:
                yield _pawn(board, name, color, square, f"is {words}")
        for square in set(pawns.passed(board, color)) - set(pawns.protected_passed(board, color)):
            yield _pawn(board, "passed pawn", color, square, "is passed")
        for file in range(8):
            stack = pawns.on_file(board, color, file)
            if len(stack) > 1:
                word = "doubled" if len(stack) == 2 else "tripled"
                words = f"the {side_name(color)} pawns on {square_names(stack)} are {word}"
                yield Feature(Topic.PAWNS, f"{word} pawns", color, stack, words)
        if pair := pawns.hanging_pawns(board, color):
            words = f"the {side_name(color)} pawns on {square_names(pair)} are hanging pawns"
            yield Feature(Topic.PAWNS, "hanging pawns", color, pair, words)
        for square in squares.blockades(board, color):
            by = man_name(board, square + (8 if color else -8))
            yield _pawn(board, "blockaded pawn", color, square, f"is blockaded by {by}")
        yield from _chains(board, color)
        yield from _majorities(board, color)
    yield from _islands(board)
    for color in _SIDES:
        for lever in chains.breaks(board, color):
            words = (
                f"{side_name(color)} has the break {chess.square_name(lever.source)}-"
                f"{chess.square_name(lever.target)}, against {square_names(lever.against)}"
            )
            yield Feature(Topic.PAWNS, "break", color, (lever.source, lever.target), words)


def _pawn(board: chess.Board, name: str, color: chess.Color, square: chess.Square, words: str) -> Feature:
    return Feature(Topic.PAWNS, name, color, (square,), f"{man_name(board, square)} {words}")


def _chains(board: chess.Board, color: chess.Color) -> Iterator[Feature]:
    for chain in chains.chains(board, color):
        if len(chain.squares) >= LEAST_CHAIN:
            words = (
                f"{side_name(color)}'s pawn chain on {square_names(chain.squares)} has its base on "
                f"{square_names(chain.bases)} and its head on {square_names(chain.heads)}"
            )
            yield Feature(Topic.PAWNS, "pawn chain", color, chain.squares, words)


def _majorities(board: chess.Board, color: chess.Color) -> Iterator[Feature]:
    for wing in pawns.Wing:
        narrow, wide = pawns.wing_counts(board, wing)
        leads = [count.of(color) - count.of(not color) for count in (narrow, wide)]
        if min(leads) >= 0 < max(leads):
            count = narrow if leads[0] > 0 else wide
            words = (
                f"{side_name(color)} has the majority on the {wing}, {count.of(color)} against {count.of(not color)}"
            )
            found = tuple(s for file in count.files for s in pawns.on_file(board, color, file))
            yield Feature(Topic.PAWNS, "pawn majority", color, tuple(sorted(found)), words)


def _islands(board: chess.Board) -> Iterator[Feature]:
    white, black = (len(pawns.islands(board, color)) for color in _SIDES)
    if white != black:
        words = f"white has {_counted(white, 'pawn island')}, black {_counted(black, 'pawn island')}"
        yield Feature(Topic.PAWNS, "pawn islands", None, (), words)


def structures_features(board: chess.Board) -> Iterator[Feature]:
    """The named structures."""
    for named in structures(board):
        if named.structure in _SAID_OF_PAWNS:
            continue
        lone = pawns.isolated_queens_pawn(board, named.color) if named.color is not None else None
        if named.structure is Structure.ISOLATED_QUEENS_PAWN and lone is not None:
            words = f"{man_name(board, lone)} is an isolated queen's pawn"
            yield Feature(Topic.STRUCTURE, "structure", named.color, (lone,), words)
        else:
            turned = ", with colours reversed" if named.reversed else ""
            owner = "" if named.color is None else f", {side_name(named.color)}'s"
            words = f"the pawns stand in the {named.structure}{owner}{turned}"
            yield Feature(Topic.STRUCTURE, "structure", named.color, (), words)


def files_features(board: chess.Board) -> Iterator[Feature]:
    """Open and half-open files, and who holds them."""
    for file in range(8):
        state = open_files.file_state(board, file)
        if state is open_files.FileState.CLOSED:
            continue
        holder = open_files.held_by(board, file)
        held = f", held by {side_name(holder)}" if holder is not None else ""
        seen = open_files.holders(board, file, holder) if holder is not None else ()
        if state is open_files.FileState.OPEN:
            words = f"{file_names((file,))} is open{held}"
            yield Feature(Topic.FILES, "open file", holder, seen, words)
        else:
            color = state is open_files.FileState.HALF_OPEN_FOR_WHITE
            words = f"{file_names((file,))} is half-open for {side_name(color)}"
            yield Feature(Topic.FILES, "half-open file", color, seen, words)


def centre_features(board: chess.Board) -> Iterator[Feature]:
    """The kind of centre, who has the classical centre, and space."""
    kind = centre.centre(board)
    if kind is not centre.Centre.UNSETTLED:
        words = f"the centre is {kind}"
        yield Feature(Topic.CENTRE, "centre", None, tuple(chess.SquareSet(board.pawns & centre.CENTRE)), words)
    for color in _SIDES:
        if centre.classical_centre(board, color):
            seen = centre.holders(board, color)
            words = f"{side_name(color)} has the classical centre, pawns on {square_names(seen)}"
            yield Feature(Topic.CENTRE, "classical centre", color, seen, words)
    wider = centre.more_space(board)
    if wider is not None:
        own, other = centre.space(board, wider), centre.space(board, not wider)
        words = f"{side_name(wider)} has more space: {own} attacks on the other half against {other}"
        yield Feature(Topic.CENTRE, "space", wider, (), words)


def development_features(board: chess.Board) -> Iterator[Feature]:
    """The lead in tempi, and castling."""
    lead = development.lead(board, chess.WHITE)
    if abs(lead) >= TEMPI_LEAD:
        color = lead > 0
        words = f"{side_name(color)} is {abs(lead)} tempi ahead in development"
        yield Feature(Topic.DEVELOPMENT, "development", color, (), words)
    for color in _SIDES:
        square = board.king(color)
        seen = () if square is None else (square,)
        kept = [w for w in ("kingside", "queenside") if castling.may_still_castle(board, color, castling.Castling(w))]
        if kept:
            words = f"{side_name(color)} may still castle {listed(kept)}"
            yield Feature(Topic.DEVELOPMENT, "may castle", color, seen, words)
        elif development.has_castled(board, color):
            yield Feature(Topic.DEVELOPMENT, "castled", color, seen, f"{side_name(color)} has castled")
        else:
            words = f"{side_name(color)} can't castle any more"
            yield Feature(Topic.DEVELOPMENT, "lost castling", color, seen, words)


def squares_features(board: chess.Board) -> Iterator[Feature]:
    """Outposts that are held or central, and holes on the c to f files that the enemy looks at."""
    for color in _SIDES:
        for outpost in squares.outposts(board, color):
            if outpost.occupied:
                words = f"{man_name(board, outpost.square)} stands on an outpost"
                yield Feature(Topic.SQUARES, "outpost", color, (outpost.square,), words)
            elif 2 <= chess.square_file(outpost.square) <= 5 and _usable(board, outpost.square, color):
                words = f"{chess.square_name(outpost.square)} is an outpost for {side_name(color)}"
                yield Feature(Topic.SQUARES, "outpost", color, (outpost.square,), words)
        for square in squares.weak_squares(board, color):
            if 2 <= chess.square_file(square) <= 5 and _usable(board, square, not color):
                words = f"{chess.square_name(square)} is a hole in {side_name(color)}'s camp"
                yield Feature(Topic.SQUARES, "hole", color, (square,), words)


def _usable(board: chess.Board, square: chess.Square, color: chess.Color) -> bool:
    """Whether ``color`` still has a knight, or a bishop on the square's colour, to put there."""
    alike = chess.BB_LIGHT_SQUARES if chess.BB_LIGHT_SQUARES & chess.BB_SQUARES[square] else chess.BB_DARK_SQUARES
    return bool((board.knights | (board.bishops & alike)) & board.occupied_co[color])


def bishops_features(board: chess.Board) -> Iterator[Feature]:
    """Bishop pair, opposite-coloured bishops, good and bad bishops."""
    for color in _SIDES:
        if material.bishop_pair(board, color) and not material.bishop_pair(board, not color):
            seen = tuple(board.pieces(chess.BISHOP, color))
            yield Feature(Topic.BISHOPS, "bishop pair", color, seen, f"{side_name(color)} has the bishop pair")
    if material.opposite_bishops(board):
        seen = tuple(chess.SquareSet(board.bishops))
        yield Feature(Topic.BISHOPS, "opposite-coloured bishops", None, seen, "the bishops run on opposite colours")
    for color in _SIDES:
        for bishop in bishops.bishops(board, color):
            if bishop.quality is bishops.Quality.BAD:
                active = ", though outside its pawn chain" if bishop.outside else ""
                words = f"{man_name(board, bishop.square)} is bad: its own pawns on {square_names(bishop.same)}{active}"
                yield Feature(Topic.BISHOPS, "bad bishop", color, (bishop.square,), words)
            elif bishop.quality is bishops.Quality.GOOD:
                words = f"{man_name(board, bishop.square)} is a good bishop by its pawns"
                yield Feature(Topic.BISHOPS, "good bishop", color, (bishop.square,), words)


def kings_features(board: chess.Board) -> Iterator[Feature]:
    """A king stuck in the centre; a castled king's missing shield and the lines towards it."""
    for color in _SIDES:
        safety = king_safety.king_safety(board, color)
        if safety is None:
            continue
        name = man_name(board, safety.square)
        seen = (safety.square,)
        if safety.stuck:
            yield Feature(Topic.KING, "king stuck in the centre", color, seen, f"{name} is stuck in the centre")
        if development.has_castled(board, color) and board.pieces(chess.QUEEN, not color):
            if safety.bare:
                words = f"no pawn shields {name} on {file_names(safety.bare)}"
                yield Feature(Topic.KING, "bare king", color, seen, words)
            for file in safety.lines:
                if open_files.holders(board, file, not color):
                    words = f"{file_names((file,))} is open towards {name}, and {side_name(not color)} is on it"
                    yield Feature(Topic.KING, "line to the king", color, seen, words)

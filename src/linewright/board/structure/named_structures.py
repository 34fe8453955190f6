"""The pawn structures that trainers know by name, each by an explicit rule.

A rule is written as the structure is usually drawn: which pawns each side has, and which it lacks. It is a list of
conditions that must all hold: ``d4`` a pawn there, ``c6/c7`` a pawn on one of these, ``-e`` no pawn on the e file,
``-c4`` none on that square. ``usual`` is the side that the structure is named for when drawn so; with colours
reversed it is that of the other side.

The names and their pawns follow Soltis, Pawn Structure Chess, Kmoch, Pawn Power in Chess, and Nimzowitsch, My
System, where named; no edition was at hand, so all are from memory, the rest common practice. Where books leave
the edges open (how far may a flank pawn have gone?), the rule names only the pawns that make the structure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import chess

from linewright.board.structure import pawns


class Structure(StrEnum):
    """Names of the trade, as used in a sentence."""

    ISOLATED_QUEENS_PAWN = "isolated queen's pawn"
    HANGING_PAWNS = "hanging pawns"
    ISOLATED_COUPLE = "isolated pawn couple"
    CARLSBAD = "Carlsbad structure"
    STONEWALL = "Stonewall"
    HEDGEHOG = "hedgehog"
    MAROCZY = "Maroczy bind"
    FRENCH_CHAIN = "French advance chain"
    FRENCH_OPEN = "French structure without the d pawn"
    CZECH_BENONI = "closed Benoni"
    MODERN_BENONI = "Benoni structure"
    BENKO = "Benko structure"
    KINGS_INDIAN_CLOSED = "closed King's Indian centre"
    KINGS_INDIAN_OPEN = "King's Indian centre with tension"
    SPANISH_CLOSED = "closed Spanish centre"
    SPANISH_OPEN = "Spanish centre with tension"
    PHILIDOR = "little centre"
    SCHEVENINGEN = "Scheveningen structure"
    DRAGON = "Dragon structure"
    BOLESLAVSKY = "Boleslavsky hole structure"
    SLAV_TRIANGLE = "Slav triangle"
    CARO_KANN = "Caro-Kann structure"
    SLAV = "Slav structure"
    GRUNFELD = "Grünfeld centre"
    NIMZO_DOUBLED = "doubled c pawns of the Nimzo-Indian"
    WINAWER = "Winawer structure"
    BOTVINNIK = "Botvinnik triangle"
    FRENCH_EXCHANGE = "French exchange structure"
    SYMMETRIC = "symmetric structure"


@dataclass(frozen=True, slots=True)
class Rule:
    """How a structure is drawn.

    :param white: conditions on the white pawns, see the module's notation.
    :param black: conditions on the black pawns.
    :param usual: the side it belongs to when drawn so.
    :param source: where the definition comes from.
    """

    white: str
    black: str
    usual: chess.Color
    source: str


_SOLTIS = "Soltis, Pawn Structure Chess; from memory"
_KMOCH = "Kmoch, Pawn Power in Chess; from memory"
_PRACTICE = "common practice"
_W, _B = chess.WHITE, chess.BLACK

RULES: dict[Structure, Rule] = {
    # c3 and d4 alone on half-open files: Nimzowitsch's couple, which becomes hanging pawns when c3 goes to c4.
    Structure.ISOLATED_COUPLE: Rule("c3 d4 -b -e", "-c -d", _W, "Nimzowitsch, My System; from memory"),
    # White's half-open c file against Black's half-open e file: the ground of the minority attack.
    Structure.CARLSBAD: Rule("d4 e3/e2 -c", "d5 c6/c7 b7/b6/b5 -e", _W, _SOLTIS),
    # The wall on one colour; the side behind it has given up the square before it (e5, from Black's e4).
    Structure.STONEWALL: Rule("d4", "d5 e6 f5 c6/c7", _B, _SOLTIS),
    # Everything on the third rank, against the space of c4.
    Structure.HEDGEHOG: Rule("c4 -d", "a6 b6 d6 e6 -c", _B, _SOLTIS),
    Structure.MAROCZY: Rule("c4 e4 -d", "-c d6/d7", _W, _SOLTIS),
    Structure.FRENCH_CHAIN: Rule("d4 e5", "d5 e6", _W, _SOLTIS),
    # After ...dxe4 and an exchange there: White's d pawn against Black's e pawn.
    Structure.FRENCH_OPEN: Rule("d4 -e", "e6 -d c5/c7", _B, _SOLTIS),
    Structure.CZECH_BENONI: Rule("c4 d5 e4", "c5 d6 e5", _B, _SOLTIS),
    Structure.MODERN_BENONI: Rule("d5 -c", "c5 d6 -e", _B, _SOLTIS),
    Structure.BENKO: Rule("d5 a2/a3/a4 b2/b3/b4", "c5 d6 e7/e6 -a -b", _B, _PRACTICE),
    Structure.KINGS_INDIAN_CLOSED: Rule("c4/c5 d5 e4", "c6/c7 d6 e5", _B, _SOLTIS),
    Structure.KINGS_INDIAN_OPEN: Rule("c4 d4 e4", "d6 e5", _B, _SOLTIS),
    Structure.SPANISH_CLOSED: Rule("c2/c3 d5 e4", "d6 e5", _W, _SOLTIS),
    Structure.SPANISH_OPEN: Rule("c3 d4 e4", "d6 e5", _W, _PRACTICE),
    # The centre given up with ...exd4: e4 against d6.
    Structure.PHILIDOR: Rule("e4 -d", "d6 c6/c7 -e", _B, _KMOCH),
    Structure.SCHEVENINGEN: Rule("e4 -d -c4", "d6 e6 -c", _B, _SOLTIS),
    Structure.DRAGON: Rule("e4 -d -c4", "d6 e7 f7 g6 h7/h6/h5 -c", _B, _SOLTIS),
    Structure.BOLESLAVSKY: Rule("e4 -d -c4", "d6 e5 -c", _B, _SOLTIS),
    Structure.SLAV_TRIANGLE: Rule("d4", "c6 d5 e6", _B, _PRACTICE),
    Structure.CARO_KANN: Rule("d4 -e", "c6 e6/e7 -d", _B, _SOLTIS),
    Structure.SLAV: Rule("d4 e3/e4 -c", "c6 e6/e7 -d", _B, _SOLTIS),
    Structure.GRUNFELD: Rule("c3 d4 e4 -b", "-d", _W, _PRACTICE),
    Structure.NIMZO_DOUBLED: Rule("c3 c4 d4/d3/d5 -b", "", _W, "Nimzowitsch, My System; from memory"),
    Structure.WINAWER: Rule("c2 c3 d4 e5 -b", "d5 e6", _W, _PRACTICE),
    Structure.BOTVINNIK: Rule("c4 d3 e4", "", _W, _PRACTICE),
    Structure.FRENCH_EXCHANGE: Rule("d4 c2/c3 -e", "d5 c6/c7 -e", _W, _SOLTIS),
}


@dataclass(frozen=True, slots=True)
class Named:
    """A structure that stands on the board.

    :param color: the side it belongs to; None for one that belongs to both.
    :param reversed: it stands with colours reversed from how it is usually drawn.
    """

    structure: Structure
    color: chess.Color | None
    reversed: bool = False


def structures(board: chess.Board) -> tuple[Named, ...]:
    """The named structures that stand on the board, in the order of :class:`Structure`; often more than one."""
    found = []
    for structure in Structure:
        for color in (chess.WHITE, chess.BLACK):
            if stands(board, structure, color):
                shared = structure in _SHARED
                rule = RULES.get(structure)
                turned = rule is not None and color != rule.usual and not shared
                found.append(Named(structure, None if shared else color, turned))
                if shared:
                    break
    return tuple(found)


def stands(board: chess.Board, structure: Structure, color: chess.Color) -> bool:
    """Whether ``color`` has the structure: for the isolated queen's pawn its own pawn, for the Stonewall or the
    Maroczy bind the side that built it, for the Carlsbad structure the side with the half-open c file."""
    if structure in _BY_FUNCTION:
        return _BY_FUNCTION[structure](board, color)
    rule = RULES[structure]
    as_drawn = board.pieces_mask(chess.PAWN, chess.WHITE), board.pieces_mask(chess.PAWN, chess.BLACK)
    white, black = as_drawn if color == rule.usual else tuple(chess.flip_vertical(mask) for mask in as_drawn[::-1])
    return _fits(rule.white, white) and _fits(rule.black, black)


def _fits(conditions: str, own: chess.Bitboard) -> bool:
    return all(bool(own & mask) == wanted for mask, wanted in _masks(conditions))


@cache
def _masks(conditions: str) -> tuple[tuple[chess.Bitboard, bool], ...]:
    """Each condition as squares, and whether a pawn has to stand on one of them or none may."""
    found = []
    for condition in conditions.split():
        names = condition.removeprefix("-").split("/")
        mask = 0
        for name in names:
            mask |= chess.BB_SQUARES[chess.parse_square(name)] if len(name) == 2 else chess.BB_FILES[ord(name) - 97]
        found.append((mask, not condition.startswith("-")))
    return tuple(found)


def _symmetric(board: chess.Board, _: chess.Color) -> bool:
    """Mirrored pawns, of which at least one has left its first square: the start doesn't count."""
    return pawns.symmetric(board) and board.pieces_mask(chess.PAWN, chess.WHITE) != chess.BB_RANK_2


#: Structures that :mod:`linewright.board.structure.pawns` defines.
_BY_FUNCTION: dict[Structure, Callable[[chess.Board, chess.Color], bool]] = {
    Structure.ISOLATED_QUEENS_PAWN: lambda board, color: pawns.isolated_queens_pawn(board, color) is not None,
    Structure.HANGING_PAWNS: lambda board, color: bool(pawns.hanging_pawns(board, color)),
    Structure.SYMMETRIC: _symmetric,
}
#: Structures of both sides at once.
_SHARED = (Structure.SYMMETRIC, Structure.FRENCH_EXCHANGE)

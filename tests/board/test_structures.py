"""Named structures, chains and breaks: the lines that lead to them, and the diagrams of the handbooks."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings

from linewright.board.structure.chains import breaks, chains
from linewright.board.structure.named_structures import RULES, Structure, stands, structures
from tests.board.positions import line, played, squares
from tests.board.test_pawns import skeletons

S = Structure
NAJDORF = "e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3"
SPANISH = "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7 Re1 b5 Bb3 d6 c3 O-O h3 Na5 Bc2 c5 d4"

#: The line in which every trainer would name the structure, and whose it is; common practice.
LINES = [
    (S.ISOLATED_QUEENS_PAWN, "white", "d4 d5 c4 dxc4 Nf3 Nf6 e3 e6 Bxc4 c5 O-O cxd4 exd4"),
    (S.ISOLATED_QUEENS_PAWN, "black", "d4 d5 c4 e6 Nc3 c5 cxd5 exd5 Nf3 Nc6 g3 Nf6 Bg2 Be7 dxc5 Bxc5"),
    (S.CARLSBAD, "white", "d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5 Bg5 c6 e3"),
    (S.CARLSBAD, "black", "e4 c6 d4 d5 exd5 cxd5 Bd3 Nc6 c3 Nf6 Bf4 e6"),
    (S.STONEWALL, "black", "d4 f5 c4 Nf6 g3 e6 Bg2 d5 Nf3 c6"),
    (S.STONEWALL, "white", "d4 d5 e3 Nf6 Bd3 e6 f4 Be7 c3"),
    (S.HEDGEHOG, "black", "Nf3 Nf6 c4 c5 Nc3 e6 g3 b6 Bg2 Bb7 O-O Be7 d4 cxd4 Qxd4 d6 Rd1 a6"),
    (S.MAROCZY, "white", "e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 g6 c4"),
    (S.FRENCH_CHAIN, "white", "e4 e6 d4 d5 e5"),
    (S.FRENCH_OPEN, "black", "e4 e6 d4 d5 Nc3 dxe4 Nxe4"),
    (S.CZECH_BENONI, "black", "d4 Nf6 c4 c5 d5 e5 Nc3 d6 e4"),
    (S.MODERN_BENONI, "black", "d4 Nf6 c4 c5 d5 e6 Nc3 exd5 cxd5 d6"),
    (S.BENKO, "black", "d4 Nf6 c4 c5 d5 b5 cxb5 a6 bxa6 Bxa6 Nc3 d6"),
    (S.KINGS_INDIAN_OPEN, "black", "d4 Nf6 c4 g6 Nc3 Bg7 e4 d6 Nf3 O-O Be2 e5"),
    (S.KINGS_INDIAN_CLOSED, "black", "d4 Nf6 c4 g6 Nc3 Bg7 e4 d6 Nf3 O-O Be2 e5 d5"),
    (S.SPANISH_OPEN, "white", SPANISH),
    (S.SPANISH_CLOSED, "white", f"{SPANISH} Qc7 d5"),
    (S.PHILIDOR, "black", "e4 e5 Nf3 d6 d4 exd4 Nxd4"),
    (S.SCHEVENINGEN, "black", f"{NAJDORF} e6"),
    (S.DRAGON, "black", f"{NAJDORF} g6"),
    (S.BOLESLAVSKY, "black", f"{NAJDORF} a6 Be2 e5"),
    (S.SLAV_TRIANGLE, "black", "d4 d5 c4 e6 Nc3 c6"),
    (S.CARO_KANN, "black", "e4 c6 d4 d5 Nc3 dxe4 Nxe4 Bf5"),
    (S.SLAV, "black", "d4 d5 c4 c6 Nf3 Nf6 Nc3 dxc4 a4 Bf5 e3 e6 Bxc4"),
    (S.GRUNFELD, "white", "d4 Nf6 c4 g6 Nc3 d5 cxd5 Nxd5 e4 Nxc3 bxc3"),
    (S.NIMZO_DOUBLED, "white", "d4 Nf6 c4 e6 Nc3 Bb4 a3 Bxc3+ bxc3"),
    (S.WINAWER, "white", "e4 e6 d4 d5 Nc3 Bb4 e5 c5 a3 Bxc3+ bxc3"),
    (S.BOTVINNIK, "white", "c4 e5 Nc3 Nc6 g3 g6 Bg2 Bg7 e4 d6 d3"),
    (S.FRENCH_EXCHANGE, "both", "e4 e6 d4 d5 exd5 exd5"),
    (S.SYMMETRIC, "both", "e4 e5 Nf3 Nc6"),
]

#: Pawn diagrams as handbooks of structures print them (Soltis, Pawn Structure Chess; Nimzowitsch, My System), from
#: memory; kings added.
DIAGRAMS = [
    (S.ISOLATED_QUEENS_PAWN, "white", "4k3/pp3ppp/4p3/8/3P4/8/PP3PPP/4K3"),
    (S.HANGING_PAWNS, "black", "4k3/p4ppp/8/2pp4/8/4P3/PP3PPP/4K3"),
    (S.ISOLATED_COUPLE, "white", "4k3/pp3ppp/4p3/8/3P4/2P5/P4PPP/4K3"),
    (S.CARLSBAD, "white", "4k3/pp3ppp/2p5/3p4/3P4/4P3/PP3PPP/4K3"),
    (S.STONEWALL, "black", "4k3/pp4pp/2p1p3/3p1p2/2PP4/6P1/PP2PP1P/4K3"),
    (S.HEDGEHOG, "black", "4k3/5ppp/pp1pp3/8/2P1P3/1P6/P4PPP/4K3"),
    (S.MAROCZY, "white", "4k3/pp2pp1p/3p2p1/8/2P1P3/8/PP3PPP/4K3"),
    (S.FRENCH_CHAIN, "white", "4k3/pp3ppp/4p3/2ppP3/3P4/2P5/PP3PPP/4K3"),
    (S.MODERN_BENONI, "black", "4k3/pp3p1p/3p2p1/2pP4/4P3/8/PP3PPP/4K3"),
    (S.KINGS_INDIAN_CLOSED, "black", "4k3/ppp2p1p/3p2p1/3Pp3/2P1P3/8/PP3PPP/4K3"),
    (S.SCHEVENINGEN, "black", "4k3/1p3ppp/p2pp3/8/4P3/8/PPP2PPP/4K3"),
    (S.DRAGON, "black", "4k3/pp2pp1p/3p2p1/8/4P3/8/PPP2PPP/4K3"),
    (S.BOLESLAVSKY, "black", "4k3/1p3ppp/p2p4/4p3/4P3/8/PPP2PPP/4K3"),
    (S.CARO_KANN, "black", "4k3/pp3ppp/2p1p3/8/3P4/8/PPP2PPP/4K3"),
]

#: Near to a structure, but not it.
NOT = [
    (S.DRAGON, "black", "e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 g6 c4 Bg7 Be3 d6"),  # the bind
    (S.SCHEVENINGEN, "black", f"{NAJDORF} g6"),
    (S.CARLSBAD, "white", "d4 d5 c4 e6 Nc3 Nf6"),  # no exchange yet
    (S.STONEWALL, "black", "d4 f5 c4 Nf6 g3 e6 Bg2 Be7"),
    (S.FRENCH_CHAIN, "white", "e4 c6 d4 d5 e5 Bf5"),  # no pawn on e6 yet
    (S.MODERN_BENONI, "black", "d4 Nf6 c4 c5 d5 e6"),
    (S.SYMMETRIC, "both", ""),  # the start is symmetric, but no structure
]

ALL = [(s, who, line(moves)) for s, who, moves in LINES] + [
    (s, w, chess.Board(f"{f} w - - 0 1")) for s, w, f in DIAGRAMS
]
SIDES = {"white": (True,), "black": (False,), "both": (True, False)}


@pytest.mark.parametrize(("structure", "who", "board"), ALL, ids=[f"{row[0]}, {row[1]}" for row in ALL])
def test_the_structure_is_known_and_whose_it_is(structure: Structure, who: str, board: chess.Board) -> None:
    assert tuple(color for color in (True, False) if stands(board, structure, color)) == SIDES[who]
    named = [n for n in structures(board) if n.structure is structure]
    assert [n.color for n in named] == [None if who == "both" else who == "white"]


@pytest.mark.parametrize(("structure", "who", "moves"), NOT)
def test_what_only_looks_like_it_is_not_named(structure: Structure, who: str, moves: str) -> None:
    assert not any(stands(line(moves), structure, color) for color in SIDES[who])


def test_every_structure_has_its_line() -> None:
    assert {structure for structure, _, _ in ALL} == set(Structure)
    assert set(RULES) < set(Structure)
    assert all(rule.source for rule in RULES.values())


def test_reversed_structures_say_so() -> None:
    carlsbad = [n for n in structures(line("e4 c6 d4 d5 exd5 cxd5 Bd3 Nc6 c3 Nf6 Bf4 e6")) if n.structure is S.CARLSBAD]
    assert [(n.color, n.reversed) for n in carlsbad] == [(chess.BLACK, True)]


laws = settings(deadline=None, max_examples=150)


@laws
@given(skeletons())
def test_mirroring_the_colours_mirrors_every_structure(board: chess.Board) -> None:
    for structure in Structure:
        for color in (True, False):
            assert stands(board, structure, color) == stands(board.mirror(), structure, not color), structure


@laws
@given(played())
def test_a_symmetric_structure_is_the_same_for_both(board: chess.Board) -> None:
    for named in structures(board):
        if named.color is None:
            assert stands(board, named.structure, True) and stands(board, named.structure, False)


#: moves, colour, base, head, locked. French advance: Nimzowitsch's own example, My System (white base d4, head e5;
#: Black's chain f7 e6 d5); from memory.
CHAINS = [
    ("e4 e6 d4 d5 e5 c5 c3", "white", "b2 c3 d4 e5", "b2", "e5", True),
    ("e4 e6 d4 d5 e5", "white", "d4 e5", "d4", "e5", True),
    ("e4 e6 d4 d5 e5", "black", "d5 e6 f7", "f7", "d5", True),
    ("d4 d5 e3 e6 f4 f5", "white", "d4 e3 f4", "e3", "d4 f4", True),
    ("d4 f6 c4 e5", "black", "e5 f6 g7", "g7", "e5", False),
]


@pytest.mark.parametrize(("moves", "side", "pawns", "base", "head", "locked"), CHAINS)
def test_chains_with_base_and_head(moves: str, side: str, pawns: str, base: str, head: str, locked: bool) -> None:
    found = [c for c in chains(line(moves), side == "white") if set(squares(head)) <= set(c.heads)]
    assert [(c.squares, c.bases, c.heads, c.locked) for c in found] == [
        (squares(pawns), squares(base), squares(head), locked)
    ]


@laws
@given(skeletons())
def test_a_chain_holds_together(board: chess.Board) -> None:
    for color in (True, False):
        own = board.pieces(chess.PAWN, color)
        for chain in chains(board, color):
            assert set(chain.squares) <= set(own)
            assert chain.bases and chain.heads
            for square in chain.squares:
                guarded = bool(board.attackers(color, square) & own)
                assert guarded != (square in chain.bases)
                assert bool(board.attacks(square) & own) != (square in chain.heads)


def test_breaks_of_known_structures() -> None:
    """French: Black's breaks are c5 and f6; King's Indian: f5 and c6 for Black, c5 for White. Common practice."""
    told = {chess.square_name(b.target) for b in breaks(line("e4 e6 d4 d5 e5"), chess.BLACK)}
    assert told == {"c5", "f6"}
    board = line("d4 Nf6 c4 g6 Nc3 Bg7 e4 d6 Nf3 O-O Be2 e5 d5 Nh5")
    assert {chess.square_name(b.target) for b in breaks(board, chess.BLACK)} == {"b5", "c6", "f5"}
    assert "c5" in {chess.square_name(b.target) for b in breaks(board, chess.WHITE)}

"""Moves told in plain words. Each row: words, then all the moves they can mean in a position; the facts are counted by
hand on the board. How often such words are played is judged elsewhere; here only whether they are found, and what they
can mean."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.reading.phrases.move_effects import DEEDS, Deed
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.phrases.verbs import forms
from linewright.reading.search.positions import Atlas, Position
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk


def found(words: str, heard: bool = False) -> list[Phrase]:
    phrases = PhraseFinder(tokens(plain_talk(words)), heard).all()
    return [p for options in phrases for p in options if p.kind.startswith("plain")]


def position_after(moves: str, fen: str = chess.STARTING_FEN) -> Position:
    """The position after moves in standard algebraic notation; it knows its last move."""
    position = Atlas(None).start(chess.Board(fen))
    for san in moves.split():
        uci = position.board.parse_san(san).uci()
        position = position.after(next(m for m in position.legal if m.uci == uci))
    return position


def meant(words: str, position: Position) -> set[str]:
    """The moves that the longest plain description in the words can mean, the cheapest readings only."""
    options = found(words)
    if not options:
        return set()
    long = max(p.last - p.first for p in options)
    costs: dict[str, float] = {}
    for phrase in options:
        if phrase.last - phrase.first == long:
            for match in position.matches(phrase):
                costs[match.legal.uci] = min(phrase.cost + match.cost, costs.get(match.legal.uci, 99.0))
    least = min(costs.values(), default=0.0)
    return {position.board.san(chess.Move.from_uci(uci)) for uci, cost in costs.items() if cost <= least + 0.5}


ITALIAN = "e4 e5 Nf3 Nc6 Bc4"  # Black to move
SPANISH = "e4 e5 Nf3 Nc6 Bb5 a6"  # White's bishop is hit
GAMBIT = "e4 e5 f4"  # Black can take on f4
EXCHANGE = "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6"  # both pawns can take back
CHECK = "e4 e5 Nf3 d6 Bb5+"  # Black is in check
SCOTCH = "e4 e5 Nf3 Nc6 d4 exd4"  # White can take back on d4
PIN = "d4 d5 c4 e6 Nc3"  # Black's bishop can pin on b4

PLAIN = [
    ("The king's bishop comes out.", ITALIAN, "Ba3 Bb4 Bc5 Bd6 Be7", "develops"),
    ("So he brings the other knight out.", ITALIAN, "Nf6 Nh6 Nge7", "develops: the c6 knight is out already"),
    ("and Black develops his king's knight", ITALIAN, "Nf6 Nh6 Nge7", "develops, named by its side"),
    ("The bishop drops back.", SPANISH, "Ba4 Bc4 Bd3 Be2 Bf1", "retreats"),
    ("Back it goes.", SPANISH, "Ba4 Bc4 Bd3 Be2 Bf1 Ng1", "retreats, called it"),
    ("White withdraws his bishop.", SPANISH, "Ba4 Bc4 Bd3 Be2 Bf1", "retreats, as an object"),
    ("The rook's pawn asks the bishop.", "e4 e5 Nf3 Nc6 Bb5", "a6", "hits the bishop with a pawn from a or h"),
    ("He kicks it with the a-pawn.", "e4 e5 Nf3 Nc6 Bb5", "a6", "hits what moved last"),
    ("and White attacks the pawn on e5", "e4 e5", "Nf3 Qh5 d4 f4", "hits a square's pawn"),
    ("he goes after f7 with his queen", "e4 e5 Bc4 Nc6", "Qf3 Qh5", "hits a square"),
    ("Black defends the pawn with his knight.", "e4 e5 Nf3", "Nc6", "guards; Nf6 guards none"),
    ("And now Black pins the knight.", PIN, "Bb4", "pins to the king"),
    ("he puts a pin on it", PIN, "", "not known: nothing is guessed"),
    ("Black accepts.", GAMBIT, "exf4", "accepts"),
    ("Black accepts the gambit.", GAMBIT, "exf4", "accepts, with its object"),
    ("Black recaptures away from the centre.", EXCHANGE, "dxc6", "the direction of a capture"),
    ("He takes back towards the centre.", EXCHANGE, "bxc6", "the other direction"),
    ("He takes back.", EXCHANGE, "bxc6 dxc6", "any recapture"),
    ("White retakes with the knight.", SCOTCH, "Nxd4", "who takes back"),
    ("Black blocks the check.", CHECK, "Bd7 Nc6 Nd7 c6 Qd7", "blocks"),
    ("he gets out of check", CHECK, "Bd7 Nc6 Nd7 c6 Qd7 Ke7", "evades"),
    ("White gives a check.", "e4 e5 Nf3 d6", "Bb5+", "checks"),
    ("she gives a check on b5", "e4 e5 Nf3 d6", "Bb5+", "checks, with the square"),
    ("The e-pawn advances.", "e4 c5", "e5", "advances"),
    ("He pushes the e-pawn on.", "e4 c5", "e5", "advances, as an object"),
    ("The c-pawn goes one step.", "e4", "c6", "one step"),
    ("The queen's pawn goes two squares.", "e4 c6", "d4", "two steps"),
    ("She fianchettoes the bishop.", "e4 g6 d4", "Bg7", "fianchettoes"),
    ("White centralises the queen.", "e4 c5 d4 cxd4 c3 d3", "", "the queen can't get there"),
    ("so does he", "e4 e5 Nf3 Nf6 Bc4 Bc5 O-O", "O-O", "does as the other did"),
    ("we do the same", "e4", "e5", "does as the other did"),
    ("the knight goes to the edge, h6", "e4 e5 Nf3", "Nh6", "the square as an afterthought"),
    ("he takes it in passing", "e4 c6 e5 d5", "exd6", "in passing"),
    ("White wins a pawn.", "e4 e5 Nf3 d5", "Nxe5 exd5", "takes a kind of piece"),
    ("He trades the bishop for the knight.", SPANISH, "Bxc6", "swaps"),
    ("he swaps it off", "e4 e5 Nf3 Nc6 d4 Nxd4", "Nxd4", "swaps what moved last"),
    ("The bishop moves away.", SPANISH, "Ba4 Bc4 Bd3 Be2 Bf1", "leaves; captures cost more"),
    ("He pushes e5.", "e4 c5", "e5", "the square named in the end"),
    ("We attack the knight with bishop g5.", "d4 Nf6", "Bg5", "piece and square named in the end"),
    ("She tucks her king into the corner.", "e4 e5 Nf3 Nf6 Bc4 Bc5", "O-O", "castles"),
    ("She gets the king to safety.", "e4 e5 Nf3 Nf6 Bc4 Bc5", "O-O", "castles"),
]


@pytest.mark.parametrize(("words", "moves", "sans", "comment"), PLAIN, ids=[row[0] for row in PLAIN])
def test_plain_words(words: str, moves: str, sans: str, comment: str) -> None:
    assert meant(words, position_after(moves)) == set(sans.split()), comment


NO_PLAIN = [
    ("The bishop that attacks the knight is strong.", "a side clause: the piece is described"),
    ("We want to attack the pawn.", "an infinitive"),
    ("You can pin the knight.", "what may be done"),
    ("the attack on the knight", "a noun"),
    ("He brings the bishop out to g5.", "named with its square"),
    ("There are two knights on the board.", "no verb"),
    ("Defending the pawn is dull.", "no finite verb"),
    ("knight takes, bishop takes", "moves named by their pieces"),
    ("You hate that everyone's castled.", "a state: more than the word itself"),
]


@pytest.mark.parametrize(("words", "comment"), NO_PLAIN, ids=[row[0] for row in NO_PLAIN])
def test_no_plain_words(words: str, comment: str) -> None:
    assert found(words) == [], comment


def test_both_sides_castle_is_two_moves() -> None:
    position = position_after("e4 e5 Nf3 Nf6 Bc4 Bc5")
    one, two = found("Both sides castle.")[0], PhraseFinder(tokens(plain_talk("Both sides castle.")), False).all()[2][0]
    assert {m.legal.uci for m in position.matches(one)} == {"e1g1"} and one.last == two.first
    assert {m.legal.uci for m in position_after("e4 e5 Nf3 Nf6 Bc4 Bc5 O-O").matches(two)} == {"e8g8"}


PAST = [
    ("She retreated.", True),
    ("the knight came out", True),
    ("He gave a check.", True),
    ("we hit the knight", False),
    ("he hit the knight", True),
    ("the bishop hits the knight", False),
    ("Novak accepts", None),
    ("and Novak accepted", True),
]


@pytest.mark.parametrize(("words", "past"), PAST, ids=[row[0] for row in PAST])
def test_tense(words: str, past: bool | None) -> None:
    phrases = found(words)
    assert [p.past for p in phrases[:1]] == ([] if past is None else [past])


VERBS = [
    ("push", {"push": "base", "pushes": "third", "pushed": "past"}),
    ("hop", {"hop": "base", "hops": "third", "hopped": "past"}),
    ("hurry", {"hurry": "base", "hurries": "third", "hurried": "past"}),
    ("go", {"go": "base", "goes": "third", "went": "past"}),
    ("hit", {"hit": "past or base", "hits": "third"}),
    ("take", {"take": "base", "takes": "third", "took": "past"}),
    ("annoy", {"annoy": "base", "annoys": "third", "annoyed": "past"}),
]


@pytest.mark.parametrize(("base", "shapes"), VERBS, ids=[row[0] for row in VERBS])
def test_forms_of_verbs(base: str, shapes: dict[str, str]) -> None:
    assert forms([base]) == shapes


@st.composite
def positions(draw: st.DrawFn) -> Position:
    """A position reached by a few legal moves, that knows its last move."""
    position = Atlas(None).start(chess.Board())
    for _ in range(draw(st.integers(0, 30))):
        if not position.legal:
            break
        position = position.after(position.legal[draw(st.integers(0, len(position.legal) - 1))])
    return position


@settings(max_examples=60, deadline=None)
@given(positions(), st.sampled_from(sorted(DEEDS)), st.sampled_from(["", "P", "N", "B", "R", "Q"]), st.booleans())
def test_deeds_hold_of_legal_moves_alone(position: Position, kind: str, target: str, it: bool) -> None:
    """Whatever is said, a phrase means legal moves, costs nothing negative, and narrows down as more is said."""
    wide, narrow = (
        Phrase(0, 1, "plain side", deed=Deed(kind)),
        Phrase(0, 1, "plain side", deed=Deed(kind, target, it=it)),
    )
    legal = {m.uci() for m in position.board.legal_moves}
    assert position.fits(wide) <= legal and position.fits(narrow) <= legal
    assert all(m.cost >= 0.0 for m in position.matches(wide))
    if kind not in ("likewise",):
        assert not any(m.legal.castles for m in position.matches(wide))
    if kind in ("takes", "swaps", "takes back", "accepts"):
        assert position.fits(narrow) <= position.fits(wide)
        assert all(m.legal.capture for m in position.matches(wide))


def _pinned(board: chess.Board, side: chess.Color) -> set[int]:
    return {s for s in chess.scan_forward(board.occupied_co[side]) if board.is_pinned(side, s)}


@settings(max_examples=60, deadline=None)
@given(positions())
def test_pins_are_pins(position: Position) -> None:
    """What is said to pin a piece to the king holds it there: python-chess finds it pinned as well."""
    board = position.board
    for match in position.matches(Phrase(0, 1, "plain side", deed=Deed("checks"))):
        assert board.gives_check(match.legal.move)
    for legal in position.legal:
        after = position.after(legal).board
        new = _pinned(after, after.turn) - _pinned(board, after.turn)
        own = {s for s in new if after.pin(after.turn, s) & chess.BB_SQUARES[legal.move.to_square]}
        if own and legal.piece in "BRQ" and not legal.castles and not legal.promotion:
            assert Deed("pins").cost(board, legal, position.last) is not None

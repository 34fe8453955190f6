"""Phrases: how moves are said and written. Each row: words, then the one legal move they mean, and a comment."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.reading.phrases.phrase_finder import Phrase, PhraseFinder
from linewright.reading.search.positions import Atlas
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk

START = chess.STARTING_FEN
#: White can castle on both sides, take on d5 with pawn and knight, and has two knights for d2 and e5.
MIDDLE = "r3k2r/ppq1bppp/2n2n2/2pp1b2/2PP1B2/2N2N2/PP2QPPP/R3K2R w KQkq - 0 1"
#: Both rooks can go to d1, both knights can go to d2.
ROOKS = "6k1/8/8/8/8/1N3N2/8/R4RK1 w - - 0 1"
PROMOTING = "3r2k1/4P3/8/8/8/8/8/6K1 w - - 0 1"
EN_PASSANT = "4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 2"


def found(words: str, heard: bool = False) -> list[list[Phrase]]:
    return PhraseFinder(tokens(plain_talk(words)), heard).all()


def meant(words: str, fen: str, heard: bool = False) -> list[tuple[float, str]]:
    """Moves that the words mean, cheapest first, of phrases that use up all the words."""
    position = Atlas(None).start(chess.Board(fen))
    options = found(words, heard)
    count = len(tokens(plain_talk(words)))
    best: dict[str, float] = {}
    for phrase in options[0]:
        if phrase.last == count:
            for match in position.matches(phrase):
                cost = phrase.cost + match.cost
                best[match.legal.uci] = min(cost, best.get(match.legal.uci, 99.0))
    return sorted((cost, uci) for uci, cost in best.items())


SPOKEN = [
    ("knight f3", START, "g1f3", "a piece and a square"),
    ("Knight to f3", START, "g1f3", "with a preposition"),
    ("e4", START, "e2e4", "a bare square is a pawn's move"),
    ("pawn to e four", START, "e2e4", "square spelled out"),
    ("e 4", START, "e2e4", "square in two tokens"),
    ("knight c three", START, "b1c3", "piece, square spelled out"),
    ("horse to f3", START, "g1f3", "a child's word"),
    ("castles kingside", MIDDLE, "e1g1", "side said"),
    ("castles long", MIDDLE, "e1c1", "the other side"),
    ("castles queen side", MIDDLE, "e1c1", "side in two words"),
    ("goes long", MIDDLE, "e1c1", "trainers' way of castling"),
    ("tucks the king in on the queenside", MIDDLE, "e1c1", "castling told to children"),
    ("c takes d5", MIDDLE, "c4d5", "a pawn by its file"),
    ("takes on d5 with the knight", MIDDLE, "c3d5", "who takes, said last"),
    ("knight takes the pawn", MIDDLE, "c3d5", "what is taken"),
    ("bishop takes c7", MIDDLE, "f4c7", "piece takes square"),
    ("takes the queen", MIDDLE, "f4c7", "the victim tells all"),
    ("rook f d1", ROOKS, "f1d1", "file between piece and square"),
    ("the f rook to d1", ROOKS, "f1d1", "file before the piece"),
    ("knight b d2", ROOKS, "b3d2", "file between, knight"),
    ("the b3 knight drops back to d2", ROOKS, "b3d2", "square before the piece, any verb"),
    ("e8 queens", PROMOTING, "e7e8q", "promotion"),
    ("e8 makes a knight", PROMOTING, "", "not a phrase yet: nothing must be guessed"),
    ("e takes d6", EN_PASSANT, "e5d6", "en passant needs no words of its own"),
    ("queen takes e7 check", MIDDLE, "e2e7", "with check"),
    ("the queen swings over to e7", MIDDLE, "e2e7", "a capture may be left unsaid"),
]


@pytest.mark.parametrize(("words", "fen", "uci", "comment"), SPOKEN, ids=[row[0] for row in SPOKEN])
def test_spoken_moves(words: str, fen: str, uci: str, comment: str) -> None:
    moves = meant(words, fen)
    assert (moves[0][1] if moves else "") == uci, f"{comment}: {moves}"


#: FIDE Laws of Chess, Appendix C (C.1-C.13): letters, figurines, captures with and without x, "0-0", e.p., "+" and
#: "#"; PGN standard (1994) section 8.2.3: SAN with "O-O", promotion "=Q", disambiguation by file, rank, square.
WRITTEN = [
    ("Nf3", START, "g1f3", "C.2, C.8"),
    ("♘f3", START, "g1f3", "C.3 figurine"),
    ("e4", START, "e2e4", "C.4 pawns have no letter"),
    ("1.e4", START, "e2e4", "with its number"),
    ("1. e4", START, "e2e4", "number apart"),
    ("Bxc7", MIDDLE, "f4c7", "C.9 capture"),
    ("B:c7", MIDDLE, "f4c7", "colon for a capture, older books"),
    ("cxd5", MIDDLE, "c4d5", "C.9.1 pawn's capture"),
    ("Nxd5", MIDDLE, "c3d5", ""),
    ("Rfd1", ROOKS, "f1d1", "C.10.2 file tells which"),
    ("Nbd2!", ROOKS, "b3d2", "with a sign"),
    ("N3d2", "4k3/8/8/8/8/1N6/8/1N2K3 w - - 0 1", "b3d2", "C.10.1 rank tells which"),
    ("exd6 e.p.", EN_PASSANT, "e5d6", "C.9.2 en passant"),
    ("exd8=Q+", PROMOTING, "e7d8q", "C.11 promotion"),
    ("e8N", PROMOTING, "e7e8n", "C.11, FIDE's form without the sign"),
    ("O-O", MIDDLE, "e1g1", "PGN: letter O"),
    ("0-0", MIDDLE, "e1g1", "C.13.1: digit zero"),
    ("O-O-O", MIDDLE, "e1c1", ""),
    ("0-0-0+", MIDDLE, "e1c1", "with a check sign"),
    ("e2-e4", START, "e2e4", "C.8 long notation"),
    ("Ng1-f3", START, "g1f3", "long notation with a piece"),
    ("e2e4", START, "e2e4", "as engines write it"),
    ("12.Rfd1!?", ROOKS, "f1d1", "number and sign"),
]


@pytest.mark.parametrize(("words", "fen", "uci", "comment"), WRITTEN, ids=[row[0] for row in WRITTEN])
def test_written_moves(words: str, fen: str, uci: str, comment: str) -> None:
    position = Atlas(None).start(chess.Board(fen))
    phrase = found(words)[0][0]
    assert [m.legal.uci for m in position.matches(phrase)][:1] == [uci], comment


def test_signs_become_nags() -> None:
    assert [found(f"Nf3{sign}")[0][0].nag for sign in ("!", "?", "!!", "??", "!?", "?!", "")] == [
        1, 2, 3, 4, 5, 6, None,
    ]  # fmt: skip


def test_numbers_keep_their_side() -> None:
    assert found("4...Nfd7")[0][0].number == (4, False)
    assert found("4…Nfd7")[0][0].number == (4, False)
    assert found("12.Rfe1!?")[0][0].number == (12, True)


HEARD = [
    ("night f3", START, "g1f3", "knight"),
    ("Night, F3.", START, "g1f3", "commas of a recogniser mean little"),
    ("this should C7", MIDDLE, "f4c7", "bishop"),
    ("before", START, "e2e4", "e4"),
    ("rookie one", "6k1/8/8/8/8/8/8/3R2K1 w - - 0 1", "d1e1", "rook e1"),
    ("Knight BD2", ROOKS, "b3d2", "letters run together"),
    ("castle's", MIDDLE, "e1g1", "castles"),
]


@pytest.mark.parametrize("words", ["Nf3", "♘f3", "g1f3", "Ng1-f3"])
def test_notation_in_captions_costs_nothing(words: str) -> None:
    assert meant(words, START, heard=True)[0] == (0.0, "g1f3")


@pytest.mark.parametrize(("words", "fen", "uci", "comment"), HEARD, ids=[row[0] for row in HEARD])
def test_sound_alikes(words: str, fen: str, uci: str, comment: str) -> None:
    assert uci in [move for _, move in meant(words, fen, heard=True)], comment
    assert uci not in [move for _, move in meant(words, fen) if words != "Night, F3."] or comment.startswith("letters")


MENTIONS = ["the knight", "a bishop", "our rook is strong", "he is better", "a good move", "the e file", "rank", "take"]


@pytest.mark.parametrize("words", MENTIONS)
def test_words_without_a_square_name_no_piece_move(words: str) -> None:
    assert not [p for options in found(words) for p in options if p.kind in ("piece", "square", "san", "to")]


def test_a_sentence_end_ends_a_phrase() -> None:
    assert all(p.last == 1 for p in found("knight. f3")[0])


@settings(deadline=None, max_examples=150)
@given(st.lists(st.integers(0, 40), max_size=30))
def test_every_legal_move_can_be_read_from_its_own_notation(choices: list[int]) -> None:
    """Law: a move's SAN, and its SAN with figurines, mean that move in its position."""
    board = chess.Board()
    for choice in choices:
        legal = sorted(board.legal_moves, key=str)
        if not legal:
            break
        board.push(legal[choice % len(legal)])
    figurines = dict(zip("KQRBN", "♔♕♖♗♘", strict=True))
    for move in list(board.legal_moves)[:12]:
        san = board.san(move)
        for text in (san, "".join(figurines.get(c, c) for c in san) if san[0] in figurines else san):
            costs = meant(text, board.fen())
            assert costs and costs[0][1] == move.uci(), (text, board.fen(), costs)


@settings(deadline=None, max_examples=100)
@given(st.text(max_size=120), st.booleans())
def test_any_text_is_taken_apart(text: str, heard: bool) -> None:
    """Law: no text breaks the finder, and phrases lie within the text."""
    words = tokens(plain_talk(text))
    for index, options in enumerate(PhraseFinder(words, heard).all()):
        assert all(p.first == index and index < p.last <= len(words) for p in options)

"""Moves named inside a claim, matched to the legal moves of a position."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.sentence.named_moves import PIECE_REACH, TAKING, WING, WITH_PIECE, Mention, mentions
from linewright.claims.sentence.words import tokens
from tests.support import plain_talk

#: Words, position after these moves, the moves they can mean there.
MENTIONS = [
    ("brings the knight out to f6", "e4", "Nf6"),
    ("the bishop nearly always goes to b5", "e4 e5 Nf3 Nc6", "Bb5"),
    ("takes with the d pawn", "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6", "dxc6"),
    ("takes back with the b pawn", "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6", "bxc6"),
    ("takes", "e4 d5", "exd5"),
    ("castles", "e4 e5 Nf3 Nc6 Bc4 Bc5", "O-O"),
    ("castles long", "e4 e5 Nf3 Nc6 Bc4 Bc5", ""),
    ("the b knight to d7", "d4 Nf6 c4 d6 Nc3", "Nbd7"),
    ("knight f to d7", "d4 Nf6 c4 d6 Nc3", "Nfd7"),
    ("knight d7", "d4 Nf6 c4 d6 Nc3", "Nbd7 Nfd7"),
    ("pushes to e5", "e4 c6 d4 d5", "e5"),
    ("Nf6", "e4", "Nf6"),
    ("bb5", "e4 e5 Nf3 Nc6", "Bb5"),
    ("O-O", "e4 e5 Nf3 Nc6 Bc4 Bc5", "O-O"),
    ("the check on b4", "d4 Nf6 c4 e6 Nf3", "Bb4+"),
    ("the c6 knight to d4", "e4 e5 Nf3 Nc6 Bc4", "Nd4"),
    ("the knight on c6 goes to d4", "e4 e5 Nf3 Nc6 Bc4", "Nd4"),
    ("exd5", "e4 d5", "exd5"),
    ("♘f6", "e4", "Nf6"),
    ("knight d5", "e4", ""),
    ("the f6 square", "e4", ""),
]


@pytest.mark.parametrize(("words", "moves", "expected"), MENTIONS)
def test_moves_named_in_a_claim(words: str, moves: str, expected: str) -> None:
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    found = tokens(plain_talk(words))
    named = mentions(found, 0, len(found), "en")
    fitting = {board.san(move) for mention in named for move in mention.fits(board)}
    assert fitting == set(expected.split())


def mention(words: str) -> Mention:
    found = tokens(plain_talk(words))
    return mentions(found, 0, len(found), "en")[-1]


def test_a_piece_is_named_at_most_nine_words_before_its_square() -> None:
    assert PIECE_REACH == 9
    assert mention(f"the knight {'so ' * 8} f6").piece == chess.KNIGHT
    assert mention(f"the knight {'so ' * 9} f6").piece == chess.PAWN


def test_what_follows_a_move_belongs_to_it() -> None:
    """As many words as these sentences need, and no more."""
    assert (WING, WITH_PIECE, TAKING) == (3, 3, 7)
    assert mention("castles on the queenside").castle == "q"
    assert mention("to f6 with the knight").piece == chess.KNIGHT
    assert mention("takes back on d4 with the b pawn").file == chess.FILE_NAMES.index("b")
    assert mention("takes back again on d4 with the b pawn").file is not None  # by "the b pawn" alone

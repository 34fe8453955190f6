"""Tokens, sentences and clauses of typed talks and captions; moves named inside a claim."""

from __future__ import annotations

from itertools import pairwise

import chess
import pytest

from linewright.claims.sentence.named_moves import mentions
from linewright.claims.sentence.words import sentences, tokens
from tests.claims.support import as_captions
from tests.support import plain_talk

TEXTS = [
    ("The half-open C-file, um, the queen side.", "the halfopen c file the queenside"),
    ("a semi open c file and the palm on d5", "a halfopen c file and the pawn on d5"),
    ("We’ve got c5/d5 pawns", "we've got c5 d5 pawns"),
    ("played in 63% of games", "played in 63 percent of games"),
    ("12.Nf3 and O-O", "nf3 and o-o"),
    ("the sea file, the dee pawn", "the c file the d pawn"),
    ("I see a pawn, to be sure", "i see a pawn to be sure"),
    ("the F9 goes", "the f knight goes"),
]


@pytest.mark.parametrize(("text", "expected"), TEXTS)
def test_words_become_tokens(text: str, expected: str) -> None:
    assert " ".join(token.text for token in tokens(plain_talk(text))) == expected


def clauses(text: str) -> list[str]:
    return [
        " ".join(token.text for token in sentence.tokens[first:last])
        for sentence in sentences(plain_talk(text))
        for first, last in sentence.parts
    ]


CLAUSES = [
    ("We take, he takes. And that's it!", ["we take", "he takes", "and that's it"]),
    ("he has doubled pawns but we have the bishops", ["he has doubled pawns", "but we have the bishops"]),
    ("pawns on c5 and d5 are hanging", ["pawns on c5 and d5 are hanging"]),
    ("knight f3 now black has two pawns", ["knight f3", "now black has two pawns"]),
    ("Heading words\n\nThen the text", ["heading words", "then the text"]),
]


@pytest.mark.parametrize(("text", "expected"), CLAUSES)
def test_sentences_fall_into_clauses(text: str, expected: list[str]) -> None:
    assert clauses(text) == expected


def test_captions_without_a_full_stop_are_cut_somewhere() -> None:
    talk = as_captions(plain_talk(" ".join(["we take and he takes back"] * 60)))
    cut = sentences(talk)
    assert sum(len(s.tokens) for s in cut) == 360
    assert all(len(s.tokens) <= 80 for s in cut)
    assert all(a.tokens[-1].last == b.tokens[0].first for a, b in pairwise(cut))


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


def test_squares_said_in_two_words_are_squares_and_articles_are_not() -> None:
    found = tokens(plain_talk("the knight to e seven and a three pawn lead, then pawn to a three"))
    assert " ".join(token.text for token in found) == "the knight to e7 and a three pawn lead then pawn to a3"

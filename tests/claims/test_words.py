"""Tokens, sentences and clauses of typed talks and captions."""

from __future__ import annotations

from itertools import pairwise

import pytest

from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import INTERJECTION, LONGEST_ASIDE, Sentence, sentences, tokens, without_asides
from tests.claims.support import as_captions, walk_of
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
    ("he takes and the king is safe", ["he takes", "and the king is safe"]),
    ("he takes and the d pawn falls", ["he takes and the d pawn falls"]),
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


def sentence_of(text: str) -> Sentence:
    (one,) = sentences(plain_talk(text))
    return one


@pytest.mark.parametrize("words", [LONGEST_ASIDE, LONGEST_ASIDE + 1])
def test_an_aside_of_up_to_ten_words_can_be_left_out(words: int) -> None:
    assert LONGEST_ASIDE == 10
    sentence = sentence_of(f"The pawn, {' '.join(['contrary'] * words)}, is isolated.")
    shorter = [short.text for short, _ in without_asides(sentence)]
    assert shorter == (["the pawn is isolated"] if words == 10 else [])


@pytest.mark.parametrize("words", [INTERJECTION, INTERJECTION + 1])
def test_two_words_between_commas_stay_with_what_follows(words: int) -> None:
    assert INTERJECTION == 2
    sentence = sentence_of(f"He goes there, {' '.join(['well'] * words)}, the pawn is isolated.")
    last = len(sentence.tokens)
    assert sentence.clause(last - 2, last) == ((3, last) if words == 2 else (6, last))


def test_a_clause_without_borders_ends_fourteen_words_from_the_claim() -> None:
    scene = Scene(walk_of(" ".join(["well"] * 60)))
    assert scene.clause(scene.sentences[0], (30, 32)) == (16, 46)


def test_squares_said_in_two_words_are_squares_and_articles_are_not() -> None:
    found = tokens(plain_talk("the knight to e seven and a three pawn lead, then pawn to a three"))
    assert " ".join(token.text for token in found) == "the knight to e7 and a three pawn lead then pawn to a3"

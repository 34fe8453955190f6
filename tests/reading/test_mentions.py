"""Moves that are only mentioned: each row has words, a phrase in them, the features that tell, and why."""

from __future__ import annotations

import pytest

from linewright.reading.phrases.context import Context
from linewright.reading.phrases.manner import Tense
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk


def features(words: str, said: str, nth: int = 0) -> frozenset[str]:
    """The features of the longest phrase that begins with the ``nth`` place where ``said`` stands."""
    talk = tokens(plain_talk(words))
    phrases = PhraseFinder(talk, False).all()
    wanted = said.split()
    found: list[Phrase] = [
        options[0]
        for i, options in enumerate(phrases)
        if options and [t.text for t in talk[i : i + len(wanted)]] == wanted
    ]
    return Context(talk, phrases).features(found[nth])


TELLING = [
    ("Let us take a look at the board.", "take", "idiom", "to look"),
    ("It takes place in the middle.", "takes", "idiom", "to happen"),
    ("That took him thirty minutes.", "took", "idiom", "time, not pawns"),
    ("Do take your time with this.", "take", "idiom", "patience"),
    ("Check your notes before you come.", "check", "idiom", "no check to a king"),
    ("After that comes the trade.", "trade", "noun of a move", "a noun with its article"),
    ("It is a fair trade.", "trade", "noun of a move", "an adjective between"),
    ("And here knight g4 is annoying.", "knight g4", "judged after", "spoken of"),
    ("The push f5 would be nice.", "f5", "judged after", "only wished for"),
    ("We want these squares, d5 and e4.", "d5", "places before", "a list of squares"),
    ("He controls the centre, that is e5, d5.", "e5", "places before", "the centre, square by square"),
    ("This protects the pawn b3 for good.", "the pawn b3", "acted on", "a pawn by its square"),
    ("He aims against the knight f6 here.", "the knight f6", "acted on", "a knight by its square"),
]


@pytest.mark.parametrize(("words", "said", "feature", "comment"), TELLING, ids=[row[0] for row in TELLING])
def test_mentions(words: str, said: str, feature: str, comment: str) -> None:
    assert feature in features(words, said), comment


PLAYED = [
    ("He takes the pawn.", "takes", "idiom", "a capture"),
    ("Black takes a pawn.", "takes", "idiom", "a capture with an article"),
    ("We take, take, take.", "take", "noun of a move", "a verb"),
    ("Knight g4, and h3.", "knight g4", "judged after", "nothing is said of it"),
    ("Bishop b5 pins, knight f6.", "knight f6", "acted on", "the clause ends before it"),
    ("So e4 and e5.", "e4", "places before", "moves of pawns"),
]


@pytest.mark.parametrize(("words", "said", "feature", "comment"), PLAYED, ids=[row[0] for row in PLAYED])
def test_no_mentions(words: str, said: str, feature: str, comment: str) -> None:
    assert feature not in features(words, said), comment


def test_closing_words_end_a_lesson() -> None:
    moves = "knight f3, knight c6, bishop b5, a6, bishop a4, knight f6, castles, " * 6
    words = moves + "so remember, rook e1 and then d4. Thank you, good night."
    assert "closing" in features(words, "rook e1")
    assert "closing" not in features(words, "bishop b5")
    early = "Remember the start? " + moves
    assert all("closing" not in features(early, "bishop b5", n) for n in range(6))


PAST = "He played e4, I answered with e5. She came out with the knight. He took on e5 and went home."
PRESENT = "He plays e4, I answer with e5. She comes out with the knight. He took on e5 and goes home."


def test_the_past_is_told_by_the_stretch_it_stands_in() -> None:
    assert {"past", "past, in a past stretch"} <= features(PAST, "took on e5")
    told = features(PRESENT, "took on e5")
    assert "past" in told and "past, in a past stretch" not in told
    assert "past, perfect" in features("He has castled and now he waits.", "castled")


def test_tense_leaves_out_the_phrase_itself() -> None:
    talk = tokens(plain_talk("took"))
    assert Tense(talk).share(0, 1) == 0.0

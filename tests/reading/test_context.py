"""What the words around a phrase say of it: played, mentioned, corrected; returns announced or not."""

from __future__ import annotations

import pytest

from linewright.reading.phrases.context import Context
from linewright.reading.phrases.phrase_finder import Phrase, PhraseFinder
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk


def context(words: str) -> Context:
    found = tokens(plain_talk(words))
    return Context(found, PhraseFinder(found, False).all())


def phrase(there: Context, words: str) -> Phrase:
    """The phrase made of exactly these words (the last one, if they are said twice)."""
    hits = [
        p for p in there.main if p is not None and words in " ".join(t.text for t in there.tokens[p.first : p.last])
    ]
    return hits[-1]


PLAYED = [
    ("We go knight f3, he goes d6, and knight c3.", "knight c3"),
    ("And then f4.", "f4"),
    ("So bishop e7, castles.", "bishop e7"),
    ("The knight drops back to d2.", "knight drops back to d2"),
    ("He takes on c5.", "takes on c5"),
]
MENTIONED = [
    ("The pawn on c5 is weak.", "c5", "a pawn's place"),
    ("The f4 square is ours.", "f4", "a square"),
    ("He would like knight h5 one day.", "knight h5", "a wish"),
    ("The threat is queen h7 mate.", "queen h7", "a threat"),
    ("We'll want f4, bishop d3, castles, the whole shop.", "bishop d3", "listed on after a wish"),
    ("Then it's queen c7, rook e8, that kind of thing.", "queen c7", "an open list"),
    ("White doesn't play knight f3.", "knight f3", "negated"),
    ("The knight on d5 is strong.", "knight on d5", "where a piece stands"),
    ("It keeps a knight out of b4.", "b4", "a square after a place word"),
    ("Which way does he take back?", "take back", "a question"),
]


@pytest.mark.parametrize(("words", "said"), PLAYED)
def test_played(words: str, said: str) -> None:
    there = context(words)
    assert there.playing(phrase(there, said)) > 1.0


@pytest.mark.parametrize(("words", "said", "comment"), MENTIONED, ids=[row[2] for row in MENTIONED])
def test_mentioned(words: str, said: str, comment: str) -> None:
    there = context(words)
    assert there.playing(phrase(there, said)) < 0.5, (comment, there.features(phrase(there, said)))


CORRECTED = [
    ("Knight c3, sorry, knight d2.", "knight c3", True),
    ("Bishop g4, no, um, rook e8.", "bishop g4", True),
    ("Bishop e6, no, I beg your pardon, bishop g7.", "bishop e6", True),
    ("Knight c3, and he plays knight d2.", "knight c3", False),
    ("Knight e4, sorry, knight d5 I mean, c4.", "knight d5", False),
]


@pytest.mark.parametrize(("words", "said", "truth"), CORRECTED)
def test_corrections(words: str, said: str, truth: bool) -> None:
    there = context(words)
    assert (there.corrected(phrase(there, said)) is not None) is truth


RETURNS = [
    ("e4 e5. Let's go back to the start. d4", "announced", True),
    ("e4 e5. The other way is d4", "announced", True),
    ("e4 e5. What about d4", "hinted", True),
    ("e4 e5 d4", "announced", False),
    ("e4 e5. He takes back d4", "announced", False),
    ("Nf3 d5. The knight hops back d4", "announced", False),
]


@pytest.mark.parametrize(("words", "feature", "truth"), RETURNS)
def test_return_cues(words: str, feature: str, truth: bool) -> None:
    there = context(words)
    last = [i for i, p in enumerate(there.main) if p is not None][-1]
    assert (feature in there.return_features(2, last)) is truth


def test_negated_phrases_name_the_branch() -> None:
    there = context("e4 e5 Nf3. Instead of e5 he can play c5")
    gap = there.gap(3, phrase(there, "c5").first)
    assert [p.to for p in gap.named] == ["e5"]
    assert gap.negated == gap.named


NUMBERS = [
    ("rook e8. Nine, knight e1", "knight e1", 9),
    ("rook e8, ten, knight d5", "knight d5", 10),
    ("rook e8. The eighth move alternatives are few: bishop e3", "bishop e3", 8),
    ("rook e8. On move five, knight c3", "knight c3", 5),
    ("rook e8. My second move here, knight c3", "knight c3", None),  # it counts tries as well
    ("rook e8. There are two, knight c3", "knight c3", None),
    ("rook e8. Nine people out of ten go knight c3", "knight c3", None),
    ("rook e8, nine pawns each, knight c3", "knight c3", None),
]


@pytest.mark.parametrize(("words", "move", "number"), NUMBERS, ids=[row[0] for row in NUMBERS])
def test_spoken_move_numbers(words: str, move: str, number: int | None) -> None:
    there = context(words)
    since = phrase(there, "rook e8").last
    assert there.number(since, phrase(there, move).first) == number

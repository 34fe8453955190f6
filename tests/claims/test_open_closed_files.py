"""File claims as trainers word them. Definitions: open and half-open files, common practice."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.lesson.finding import Kind
from tests.claims.support import verdicts_of, walk_of

# line, side of the lesson, words, verdict
CLAIMS = [
    ("carlsbad", "white", "The c file is half open for white.", "holds"),
    ("carlsbad", "white", "we've got the half-open c-file", "holds"),
    ("carlsbad", "white", "Black has the half open e file", "holds"),
    ("carlsbad", "black", "we put a rook on the half open e file", "holds"),
    ("carlsbad", "white", "the e file is half open for us", "fails"),
    ("carlsbad", "white", "our rook belongs on the open c file", "holds"),
    ("carlsbad", "white", "the c file is open", "holds"),
    ("carlsbad", "", "he has the half open e file", "undecided"),
    ("carlsbad", "white", "both sides have the half open c file", "fails"),
    ("carlsbad", "white", "the c file is completely open", "fails"),
    ("carlsbad", "white", "the d file is closed", "holds"),
    ("carlsbad", "white", "the d file is open", "fails"),
    ("carlsbad", "white", "the c file isn't fully open", "holds"),
    ("carlsbad", "white", "there are no open files", "holds"),
    ("slav exchange", "black", "The c-file is open.", "holds"),
    ("slav exchange", "black", "so the only open file is the c file", "holds"),
    ("slav exchange", "black", "we've got an open c file", "holds"),
    ("slav exchange", "black", "the c file is wide open and that's where the rooks go", "holds"),
    ("slav exchange", "black", "the c file is half open for white", "fails"),
    ("slav exchange", "black", "the e file is half-open", "fails"),
    ("slav exchange", "black", "the sea file is open", "holds"),
    ("sicilian", "white", "the defile is half open for white", "holds"),
    ("slav exchange", "black", "there's not a single open file", "fails"),
    ("sicilian", "black", "white has the d file half open and black has the c file half open", "holds"),
    ("sicilian", "black", "we have the semi-open c file", "holds"),
    ("sicilian", "black", "He has the half open d file", "holds"),
    ("sicilian", "white", "Black gets the half open c file", "holds"),
    ("french", "white", "the e file is still closed", "holds"),
    ("petroff", "white", "the e file is open", "holds"),
    ("scandinavian", "white", "we've the half open e file and he has the half open d file", "holds"),
    ("spanish exchange", "white", "which opens the d file for the queen", "holds"),
    ("spanish exchange", "white", "taking back opened the d file", "holds"),
    ("carlsbad", "white", "Our rook will love c1 because the c-file is half open", "holds"),
    ("carlsbad", "white", "black's counterplay comes down the half-open e-file", "holds"),
    ("carlsbad", "white", "With the c file half open, the rook goes to c1", "holds"),
    ("carlsbad", "white", "there's a half-open c file for us to use", "holds"),
    ("carlsbad", "white", "we double on the semi-open c-file", "holds"),
    ("slav exchange", "white", "Only one file is open, the c-file", "holds"),
    ("slav exchange", "white", "The only open file on the board is the c-file", "holds"),
    ("italian break", "white", "the only open file is the d file", "fails"),
    ("slav exchange", "white", "Everything happens on the open c-file", "holds"),
    ("slav exchange", "white", "with an open c-file the rooks will be swapped", "holds"),
    ("slav exchange", "white", "the c-file has been opened", "holds"),
    ("slav exchange", "white", "the d file is blocked", "holds"),
    ("slav exchange", "white", "the c- and d-files are open", "fails"),
    ("sicilian", "black", "black has the half-open c-file, white has the half-open d-file, that's the Sicilian in one "
                          "sentence", "holds"),
    ("petroff", "white", "notice that the e-file is now fully open", "holds"),
    ("french", "white", "no files are open yet", "holds"),
    ("italian break", "white", "The e-file is open.", "holds"),
    ("italian break", "white", "The c-file is half-open for White.", "holds"),
    ("spanish ending", "white", "The d file's open.", "holds"),
    ("open", "white", "The d file's wide open now.", "fails"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "side", "words", "verdict"), CLAIMS, ids=[row[2][:60] for row in CLAIMS])
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdict: str, timed: bool) -> None:
    assert set(verdicts_of(words, line, Kind.FILES, side, timed)) == {verdict}


#: Fragments, and pawns that a file lacks; read with their punctuation.
TYPED = [
    ("carlsbad", "white", "Half-open c-file for us.", "holds"),
    ("carlsbad", "white", "Half-open d-file for us.", "fails"),
    ("spanish exchange", "white", "On the d-file there is no black pawn any more.", "holds"),
    ("spanish exchange", "white", "There is no pawn left on the d-file.", "fails"),
    ("scandinavian", "white", "Not a black pawn on the d-file.", "holds"),
]


@pytest.mark.parametrize(("line", "side", "words", "verdict"), TYPED, ids=[row[2][:60] for row in TYPED])
def test_fragments_are_found_and_decided(line: str, side: str, words: str, verdict: str) -> None:
    assert verdicts_of(words, line, Kind.FILES, side) == [verdict]


EVIDENCE = [
    ("carlsbad", "the c file is open", "no white pawn on c, black has c6: half-open for white (said: open)"),
    ("slav exchange", "the c file is half open for white", "no pawn of either side on c: open"),
    ("carlsbad", "the d file is open", "pawns on d4 (white) and d5 (black): the d file is closed"),
]


@pytest.mark.parametrize(("line", "words", "evidence"), EVIDENCE)
def test_evidence_says_which_is_meant(line: str, words: str, evidence: str) -> None:
    (found,) = check_walk(walk_of(words, line, "white"))
    assert found.evidence == evidence


NO_CLAIM = [
    "the e file is about to open",
    "the e file will be open soon",
    "If he takes the c file is half open",
    "we want to open the d file",
    "the e file might matter one day",
    "rooks love open files",
    "he would love the open c file",
    "let's open the file on my desk",
    "I keep an open mind",
    "is the c file open?",
    "the threat is to open the h file",
    "a rook belongs on an open file",
    "then we open the f file with f4 f5",
    "not yet, but one day the c file opens",
]


@pytest.mark.parametrize("words", NO_CLAIM)
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_no_claim_is_heard_where_none_is_made(words: str, timed: bool) -> None:
    assert not verdicts_of(words, "carlsbad", Kind.FILES, timed=timed)


def test_a_file_lost_to_the_recogniser_stays_open() -> None:
    (found,) = check_walk(walk_of("The final is half open for our rook.", "carlsbad", "white", timed=True))
    assert found.verdict.value == "undecided"
    assert "half-open for white: c" in found.evidence


@pytest.mark.parametrize("words", ["The final isn't half open for our rook.", "There is no open or half-open line."])
def test_a_denial_of_a_file_that_was_not_heard_stays_open(words: str) -> None:
    assert verdicts_of(words, "carlsbad", Kind.FILES, timed=True) == ["undecided"]


def test_open_is_no_error_for_a_half_open_file() -> None:
    """Trainers say "open" for both: the finding says which is meant, and cries no error."""
    (found,) = check_walk(walk_of("The c-file is open for our rook.", "italian break", "white"))
    assert found.verdict != "fails" and "half-open" in found.evidence

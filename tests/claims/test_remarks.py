"""Remarks: words that speak of a kind in a way no other finder reads, left undecided with what the position shows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Facts
from linewright.claims.remarks.remark import REMARKS
from linewright.claims.remarks.remark_classifier import NOTHING, TAKEN, classify, load_weights
from linewright.claims.sentence.talk_scene import Scene
from linewright.lesson.finding import Finding, Kind, Verdict
from tests.claims.support import ScriptedBase, walk_of

BASE = ScriptedBase({"e4 e5 Nf3 Nc6": {"Bb5": 60, "Bc4": 30, "d4": 10}})


def remarks(words: str, line: str) -> list[Finding]:
    found = check_walk(walk_of(words, line, "white"), BASE)
    return [f for f in found if f.kind not in (Kind.UNREAD, Kind.UNSURE)]


@pytest.mark.parametrize(
    ("line", "words", "kind", "told"),
    [
        (
            "winawer",
            "White's pawn skeleton is a wreck on that wing, all split in two.",
            "structure",
            "a3 is isolated",
        ),
        (
            "spanish exchange",
            "There's a highway for somebody, look at the wide d file.",
            "files",
            "half-open for black: d",
        ),
        ("winawer", "The whole white queenside is still asleep in its bed.", "development", "knights and bishops out"),
        ("king walk", "His king has no shelter at all on that square.", "king", "can't castle any more"),
        ("french", "Everything in the middle is under tension, nothing is fixed there.", "centre", "tension"),
        ("exchange up", "One side has sacrificed a knight, and it shows.", "material", "white has 1 rook more"),
        ("open", "Three quarters of all games go on with the Spanish bishop move.", "frequency", "Bb5 60 %"),
    ],
)
def test_unfamiliar_words_are_left_open_with_the_facts_beside_them(line: str, words: str, kind: str, told: str) -> None:
    found = [f for f in remarks(words, line) if f.kind == kind]
    assert [f.verdict for f in found] == [Verdict.UNDECIDED], remarks(words, line)
    assert told in found[0].evidence


@pytest.mark.parametrize(
    "words",
    [
        "I would like to put my king in safety one day.",
        "Let's put a pawn in the centre.",
        "Is the king safe here?",
        "If he takes, the pawn is weak.",
        "My pupils usually attack the pawn.",
        "The train to the tournament was late.",
        "We want to open the file.",
    ],
)
def test_plans_wishes_and_questions_are_no_remarks(words: str) -> None:
    assert remarks(words, "open") == []


def test_a_remark_gives_way_to_a_claim_that_a_rule_decides() -> None:
    found = remarks("Black has doubled pawns, the structure is broken, and his pawns are weak.", "spanish exchange")
    assert [(f.kind, f.verdict) for f in found] == [(Kind.STRUCTURE, Verdict.HOLDS)]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("start", "A lonely pawn."),
        ("start", "His pawn skeleton is a wreck on that wing, all split in two."),
        ("open", "The knight on c6 covers the pawn, it is guarded."),
    ],
)
def test_what_the_board_shows_nothing_of_is_no_finding(line: str, words: str) -> None:
    assert remarks(words, line) == []


VOCABULARY = (
    "the his our white black pawn king pieces file centre is has weak open safe home up down better attacked threat no "
    "hangs move usual d4 e5 bishop with of"
).split()


@given(st.lists(st.sampled_from(VOCABULARY), min_size=3, max_size=12), st.sampled_from(["open", "winawer", "start"]))
def test_no_remark_is_ever_called_true_or_false(words: list[str], line: str) -> None:
    walk = walk_of(" ".join(words), line, "white")
    scene = Scene(walk)
    board = scene.board(len(walk.steps))
    for remark in REMARKS:
        for sentence in scene.sentences:
            for found in remark.find(sentence, scene):
                ruling = remark.decide(found.about, Facts(board, BASE.replies(board)))
                assert ruling is None or ruling.verdict is Verdict.UNDECIDED


def test_every_kind_of_claim_has_its_remark() -> None:
    assert {remark.kind for remark in REMARKS} == set(Kind) - {
        Kind.UNREAD, Kind.UNSURE, Kind.REPLY, Kind.PRAISE, Kind.REFUTATION, Kind.BRANCH, Kind.FINISH
    }  # fmt: skip


def test_the_likely_kinds_are_kinds_and_every_name_weighs_on_each() -> None:
    classes, weights = load_weights()
    assert {*classes} - {NOTHING} == {str(remark.kind) for remark in REMARKS}
    assert all(len(row) == len(classes) for row in weights.values())


@pytest.mark.parametrize(
    ("claiming", "other"),
    [
        ("black has two weak pawns on the queenside", "thank you all for coming to the club tonight"),
        ("white is a little better here", "my grandmother baked a cake that afternoon"),
        ("most players take on d5", "let's have a look at what happens then"),
    ],
)
def test_claims_are_likelier_than_chat(claiming: str, other: str) -> None:
    assert classify(claiming.split(), True, True).odds > TAKEN > classify(other.split(), True, True).odds

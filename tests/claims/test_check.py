"""Checking a whole walk: order, unread and unsure places, whose side is meant, and nothing that stops it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.claims.check import check_walk
from linewright.claims.finding_lines import finding_line
from linewright.claims.sentence.talk_scene import lesson_side
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import SURE, Alternative, MoveStep, Unread, Walk
from linewright.support.errors import UnusableInput
from linewright.talk.typed import typed_talk
from tests.claims.support import ScriptedBase, walk_of
from tests.support import needs_shared, walk_from_ref

TALK = """[e4|E4] [e5|e5].
[Nf3|Knight f3], nearly everybody plays it.

The e file is closed, and material is level."""


def test_findings_come_by_place() -> None:
    found = check_walk(walk_of(TALK, side="white"))
    assert [f.kind for f in found] == [Kind.FREQUENCY, Kind.FILES, Kind.MATERIAL]
    assert [f.said.first for f in found] == sorted(f.said.first for f in found)


def test_a_line_jumps_to_the_words() -> None:
    walk = walk_of(TALK, side="white")
    found = check_walk(walk)[1]
    assert finding_line("talk.md", found) == (
        "talk.md:4:1: files holds: The e file is closed, — pawns on e4 (white) and e5 (black): the e file is closed"
    )
    assert "\n" not in finding_line("talk.md", replace(found, reason="two\nlines"))


def test_a_heading_claims_nothing_of_the_board() -> None:
    talk = typed_talk(
        "# A lonely pawn\n\nWelcome.\n\n## The e file is open\n\nThe e file is open.\n", "talk", "talk.md"
    )
    found = check_walk(Walk(talk, ()))
    assert [(f.kind, f.verdict, f.said.place.line) for f in found] == [(Kind.FILES, Verdict.FAILS, 7)]


def with_first_move(walk: Walk, **changes: object) -> Walk:
    first = walk.steps[0]
    assert isinstance(first, MoveStep)
    return replace(walk, steps=(replace(first, **changes), *walk.steps[1:]))  # type: ignore[arg-type]


def test_an_unsure_move_is_shown_with_its_alternatives() -> None:
    walk = with_first_move(
        walk_of("[e4|E4], and so on."),
        sure=0.55,
        instead=(Alternative("d4", "d2d4", 0.3), Alternative("b4", "b2b4", 0.1)),
    )
    (found,) = check_walk(walk)
    assert (found.kind, found.verdict) == (Kind.UNSURE, Verdict.UNDECIDED)
    assert found.evidence == "read as e4 (55 % sure); or d4 30 %, b4 10 %"
    assert found.before == walk.steps[0].before  # type: ignore[union-attr]


def test_a_sure_move_is_no_finding() -> None:
    assert check_walk(with_first_move(walk_of("[e4|E4], and so on."), sure=SURE)) == ()


def test_nothing_is_called_false_on_a_board_that_rests_on_unsure_moves() -> None:
    walk = walk_of("[e4|E4], and white has an isolated pawn.", side="white")
    assert [f.verdict for f in check_walk(walk)] == [Verdict.FAILS]
    _, found = check_walk(with_first_move(walk, sure=0.58))
    assert found.verdict is Verdict.UNDECIDED
    assert (found.evidence, found.waits_for) == ("settle 1.e4 (read with 58 %) first", 0)


def with_sure(walk: Walk, *sure: float) -> Walk:
    return replace(walk, steps=tuple(replace(s, sure=p) for s, p in zip(walk.steps, sure, strict=True)))


# how surely each of five steps was read (the fourth goes back two half-moves); verdict after each sentence; which steps
# are findings of their own, with how many moves are unsure with them
STRETCHES: list[tuple[tuple[float, ...], str, str, dict[int, int]]] = [
    ((1.0, 1.0, 1.0, 1.0, 1.0), "holds", "holds", {}),
    ((1.0, 0.6, 0.5, 1.0, 1.0), "undecided", "holds", {1: 1}),  # the doubt ends where the talk goes back before it
    ((0.6, 0.5, 0.5, 1.0, 0.5), "undecided", "undecided", {0: 3}),  # one root, one finding
    ((0.6, 0.5, SURE, 1.0, 0.5), "holds", "undecided", {4: 0}),  # what is read surely further on vouches
    ((0.6, 0.5, 0.5, 1.0, SURE), "undecided", "holds", {1: 1}),
    ((1.0, 1.0, 1.0, 0.7, 0.5), "holds", "undecided", {3: 0, 4: 0}),
    ((1.0, 1.0, 0.89, 1.0, 1.0), "undecided", "holds", {2: 0}),
]


@pytest.mark.parametrize(("sure", "first", "second", "roots"), STRETCHES)
def test_nothing_firm_before_the_first_unsure_step_is_settled(
    sure: tuple[float, ...], first: str, second: str, roots: dict[int, int]
) -> None:
    walk = with_sure(
        walk_of(
            "[e4|E4] [e5|e5] [Nf3|knight f3]. The e file is closed. [<2|Going back,] [c5|c5]. Material is level.",
            side="white",
        ),
        *sure,
    )
    found = check_walk(walk)
    claims = [f for f in found if f.kind is not Kind.UNSURE]
    assert [f.verdict.value for f in claims] == [first, second]
    assert all((f.waits_for is None) == (f.verdict is not Verdict.UNDECIDED) for f in claims)
    doubts = {f.waits_for: f.evidence for f in found if f.kind is Kind.UNSURE}
    assert set(doubts) == set(roots)
    for index, further in roots.items():
        assert doubts[index].endswith(f"{further} more move{'s' * (further > 1)}") == (further > 0)
    assert {f.waits_for for f in claims} - {None} <= set(doubts)


def test_unread_places_are_shown_with_their_reason() -> None:
    walk = walk_of("[e4|E4] and rook d5 next.")
    said = replace(walk.steps[0].said, first=2, last=4, words="rook d5", place=walk.talk.words[2].place)
    (found,) = check_walk(replace(walk, unread=(Unread(said, "no rook can reach d5"),)))
    assert finding_line("t", found) == "t:1:8: unread: rook d5 — no rook can reach d5"
    assert found.step == 1


class BrokenBase:
    def replies(self, board: object, /) -> ScriptedBase:
        raise UnusableInput("games.duckdb can't be read", "Add the games again")


def test_a_base_that_cannot_answer_leaves_the_claim_open() -> None:
    (found,) = check_walk(walk_of("Most people play e4 here."), BrokenBase())  # type: ignore[arg-type]
    assert found.verdict is Verdict.UNDECIDED
    assert "games.duckdb can't be read" in found.evidence


def verdicts(words: str, line: str, side: str) -> list[str]:
    return [f.verdict.value for f in check_walk(walk_of(words, line, side))]


# words, line, verdict told for white, for black, and for nobody known
SIDES = [
    ("we have an isolated pawn", "tarrasch", "fails", "holds", "undecided"),
    ("he has an isolated pawn", "tarrasch", "holds", "fails", "undecided"),
    ("we have doubled pawns", "open", "fails", "fails", "fails"),
    ("we've got an isolated pawn on d5", "tarrasch", "fails", "holds", "holds"),
    ("white has an isolated pawn", "tarrasch", "fails", "fails", "fails"),
    ("we have the open c file", "slav exchange", "holds", "holds", "holds"),
    # "he" right after the lesson's own colour may be either
    ("Black takes and he has an isolated pawn", "tarrasch", "holds", "undecided", "undecided"),
]


@pytest.mark.parametrize(("words", "line", "white", "black", "unknown"), SIDES)
def test_whose_side_is_meant(words: str, line: str, white: str, black: str, unknown: str) -> None:
    assert verdicts(words, line, "white") == [white]
    assert verdicts(words, line, "black") == [black]
    assert verdicts(words, line, "") == [unknown]


HINTS = [
    ("We look at it from the black side. [e4|E4], [c5|c5].", False),
    ("A repertoire for White. [e4|E4], [c5|c5].", True),
    ("we're black in this one", False),
    ("[e4|we play e4] [c5|he plays c5] [Nf3|we play] [d6|he goes] [d4|our pawn] [cxd4|he takes]", True),
    ("[e4|he plays e4] [c5|we play c5] [Nf3|he goes] [d6|we play] [d4|his pawn] [cxd4|we take]", False),
    ("[e4|e4] [c5|c5] [Nf3|knight f3]", None),
    ("[e4|we play e4] [c5|we play c5] [Nf3|we go] [d6|we play] [d4|d4]", None),
]


@pytest.mark.parametrize(("words", "white"), HINTS)
def test_the_side_of_a_lesson(words: str, white: bool | None) -> None:
    assert lesson_side(walk_of(words)) is white


VOCABULARY = (
    "we he white black has have got is are an a the no not never isolated doubled passed backward hanging pawn pawns "
    "on d4 e5 c file files half open halfopen completely queenside majority three against two most people play nearly "
    "always everybody takes knight f3 main move rare castle castles can lost right to material level up down two "
    "bishops position same before third time repetition pieces out developed and but if . , ? percent sixty 60%"
).split()


@settings(deadline=None, max_examples=150)
@given(st.lists(st.sampled_from(VOCABULARY), max_size=40), st.sampled_from(["open", "tarrasch", "start"]))
def test_no_run_of_words_stops_the_check(words: list[str], line: str) -> None:
    walk = walk_of(" ".join(words), line, "white")
    found = check_walk(walk, ScriptedBase({"": {"e4": 60, "d4": 40}}))
    assert all(0 <= f.said.first < f.said.last <= len(walk.talk.words) for f in found)
    assert all(f.evidence and "\n" not in finding_line("t", f) for f in found)


@settings(deadline=None, max_examples=60)
@given(st.text(max_size=200))
def test_no_text_stops_the_check(text: str) -> None:
    check_walk(walk_of(text.replace("[", "(").replace("|", "/"), "open", "white"))


REQUIRED = (Kind.STRUCTURE, Kind.FILES)


@needs_shared
@pytest.mark.parametrize("name", ["benoni", "panov", "scotch", "slav"])
def test_no_true_claim_of_the_open_talks_is_called_false(name: str) -> None:
    """Against the marks of ../shared/talks: findings on the very words of a mark never contradict it."""
    walk, marked = walk_from_ref(name)
    found = check_walk(walk)
    for claim in marked:
        for finding in _on(claim["words"], found):
            if finding.kind in REQUIRED and finding.kind == claim["kind"]:
                assert finding.verdict in (claim["truth"], Verdict.UNDECIDED), claim


def _on(words: str, found: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in found if words.lower() in f.said.words.lower()]


def test_a_short_sentence_with_one_claim_is_shown_whole() -> None:
    (found,) = check_walk(walk_of("It's all square, so to say, black has an isolated pawn.", "tarrasch", "white"))
    assert found.said.words == "It's all square, so to say, black has an isolated pawn."

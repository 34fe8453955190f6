"""The chapter keeps every word, sets every step once, and breaks long paragraphs at good places."""

from __future__ import annotations

from dataclasses import replace

import chess
import pytest
from hypothesis import HealthCheck, given, settings

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.lines import LessonLine, lesson_lines
from linewright.lesson.walk import MoveStep, ReturnStep, Walk
from linewright.publish.page.margin import margin_notes
from linewright.publish.page.opening_map import draw_map
from linewright.publish.page.passage_parts import (
    BoardMarkWords,
    NotePlace,
    NoteRef,
    PassagePiece,
    PrintedMove,
    ReturnJump,
    WordRun,
    is_plain,
    trimmed,
)
from linewright.publish.page.passages import LONG_PARAGRAPH, Passage, set_passages
from tests.lesson.walks import walks
from tests.publish.samples import doubtful, lesson
from tests.support import needs_shared, plain_talk, said

FOUR = ["panov", "scotch", "slav", "benoni"]


def pieces(blocks: tuple[Passage, ...]) -> list[PassagePiece]:
    return [piece for block in blocks for piece in block.pieces]


def letters(text: str) -> str:
    """Text without white space and without the signs that a move's symbol replaces."""
    return "".join(text.split()).replace("!", "").replace("?", "")


def printed(blocks: tuple[Passage, ...]) -> str:
    texts = [
        p.text if isinstance(p, WordRun) else p.said for p in pieces(blocks) if isinstance(p, WordRun | PrintedMove)
    ]
    return letters("".join(texts))


def check(walk: Walk, found: tuple[Finding, ...] = ()) -> None:
    margin = margin_notes(walk, found)
    blocks = set_passages(walk, margin)
    assert printed(blocks) == letters("".join(word.text for word in walk.talk.words))
    steps = [p.state for p in pieces(blocks) if isinstance(p, PrintedMove | ReturnJump)]
    assert steps == list(range(1, len(walk.steps) + 1))
    numbers = [note.number for note in margin]
    assert [p.number for p in pieces(blocks) if isinstance(p, NoteRef)] == numbers
    assert [p.number for p in pieces(blocks) if isinstance(p, NotePlace)] == numbers
    drawn = {node for block in blocks for node in block.plates}
    worth = {node.id for node in walk.nodes[1:] if len(node.children) != 1}
    assert worth <= drawn
    assert drawn - worth <= {walk.node_after(p.state) for p in pieces(blocks) if isinstance(p, BoardMarkWords)}
    for run in (p for p in pieces(blocks) if isinstance(p, WordRun)):
        for index, text in enumerate(run.text.split()):
            assert text in walk.talk.words[run.first + index].text, "a touch of a word finds its time by this"


@given(walks())
@settings(deadline=None, max_examples=100, suppress_health_check=list(HealthCheck))
def test_any_walk_is_set_whole(walk: Walk) -> None:
    check(walk)


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_open_talks_are_set_whole(name: str) -> None:
    walk, found = lesson(name)
    check(walk, found)
    check(doubtful(walk), found)


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_long_paragraphs_are_broken(name: str) -> None:
    """The open talks are one paragraph each; no printed paragraph may be longer than a sentence allows."""
    walk, found = lesson(name)
    blocks = set_passages(walk, margin_notes(walk, found))
    sizes = [sum(len(p.text.split()) for p in block.pieces if isinstance(p, WordRun)) for block in blocks]
    assert len(blocks) > 5
    assert max(sizes) <= LONG_PARAGRAPH + 30


def test_own_paragraphs_and_headings_stay() -> None:
    talk = plain_talk("Title here\n\nFirst part. More.\n\nSecond part.", title="Title here")
    words = tuple(replace(w, heading=1 if w.paragraph == 0 else 0) for w in talk.words)
    blocks = set_passages(Walk(replace(talk, words=words), ()), ())
    assert [p.text for p in pieces(blocks) if isinstance(p, WordRun)] == ["First part. More.", "Second part."]
    other = replace(talk, words=words, title="Another name")
    assert [block.level for block in set_passages(Walk(other, ()), ())] == [1, 0, 0]


@pytest.mark.parametrize(
    ("texts", "signed", "parts"),
    [
        (["knight", "f3,"], False, ("", ["knight", "f3"], ",")),
        (["(Nf3!?),"], True, ("(", ["Nf3"], "),")),
        (["“takes?”"], False, ("“", ["takes"], "?”")),
        (["..."], False, ("", ["..."], "")),
        ([], False, ("", [], "")),
    ],
)
def test_punctuation_stays_outside_the_move(texts: list[str], signed: bool, parts: tuple[str, list[str], str]) -> None:
    assert trimmed(texts, signed) == parts


@pytest.mark.parametrize(
    ("words", "plain"),
    [
        ("knight f3", True),
        ("E takes d5", True),
        ("castles kingside", True),
        ("12.Rfe1", True),
        ("4...Nfd7", True),
        ("0-0", True),
        ("♘f3", True),
        ("he takes back", False),
        ("knight c3, sorry, knight d2", False),
    ],
)
def test_what_a_figurine_may_replace(words: str, plain: bool) -> None:
    assert is_plain(words.split()) is plain


def test_notes_for_doubts_without_findings() -> None:
    walk = short_walk()
    made = margin_notes(walk, ())
    assert [(n.kind, n.verdict) for n in made] == [(Kind.UNSURE, Verdict.UNDECIDED)]
    assert [other.san for other in made[0].others] == ["d4"]
    given_one = Finding(Kind.UNSURE, Verdict.UNDECIDED, walk.steps[0].said, "", plain("said so"), 1)
    both = margin_notes(walk, (given_one,))
    assert [(n.evidence, len(n.others)) for n in both] == [("said so", 1)]


def short_walk() -> Walk:
    import chess

    from linewright.lesson.walk import Alternative

    talk = plain_talk("So e4 now.")
    board = chess.Board()
    board.push_san("e4")
    step = MoveStep(
        said(talk, 3, 5),
        "e4",
        "e2e4",
        chess.STARTING_FEN,
        board.fen(),
        0,
        1,
        sure=0.6,
        instead=(Alternative("d4", "d2d4", 0.3), Alternative("e5", "e2e5", 0.1)),
    )
    return Walk(talk, (step,))


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_lines_cover_the_tree_and_the_map_shows_it(walk: Walk) -> None:
    found: list[int] = []

    def gather(some: tuple[LessonLine, ...]) -> None:
        for line in some:
            found.extend(line.nodes)
            assert walk.nodes[line.nodes[0]].parent == line.parent
            gather(line.sides)

    gather(lesson_lines(walk))
    assert sorted(found) == [node.id for node in walk.nodes[1:]]
    drawn = draw_map(walk)
    assert sorted(dot.node for dot in drawn.dots) == [node.id for node in walk.nodes]
    assert len({(dot.x, dot.y) for dot in drawn.dots}) == len(walk.nodes), "two positions on one spot"
    assert all(0 < dot.x < drawn.width and 0 < dot.y < drawn.height for dot in drawn.dots)


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_rails_never_cross(walk: Walk) -> None:
    """A line's way down (at its parent's column) meets no dot of the rows between."""
    drawn = draw_map(walk)
    at = {dot.node: dot for dot in drawn.dots}
    for label in drawn.labels:
        parent, child = at[walk.nodes[label.node].parent or 0], at[label.node]
        between = [d for d in drawn.dots if parent.y < d.y < child.y]
        assert all(dot.x > parent.x for dot in between)


def test_returns_start_where_they_are_said() -> None:
    walk = short_walk()
    back = ReturnStep(said(walk.talk, 6, 10), walk.start, 0)
    blocks = set_passages(replace(walk, steps=(*walk.steps, back)), ())
    assert [type(p) for p in pieces(blocks)] == [WordRun, PrintedMove, ReturnJump, WordRun]


@pytest.mark.parametrize(
    ("text", "step", "shown"),
    [
        ("c5, and I respect that. We take, 4.exd5. So.", (6, 7), "We take, [exd5] ."),
        ("Now we take on c5, bishop takes c5", (2, 5), "we take on c5 [exd5] ,"),
        ("Here he takes d5 and so", (2, 4), "he takes d5 [exd5]"),
        ("Then knight takes d5, exd5, done", (1, 4), "Then [exd5] , done"),
        ("So, takes d5, 4.exd5!", (1, 3), "So, [exd5] !"),
        ("We take, 4.Nxd5", (1, 2), "We take [exd5] , 4.Nxd5"),
    ],
)
def test_a_move_said_and_written_is_set_once_and_a_sentence_keeps_its_verb(
    text: str, step: tuple[int, int], shown: str
) -> None:
    talk = plain_talk(text)
    first, last = step
    words = said(talk, talk.words[first].at[0], talk.words[last - 1].at[1])
    board = chess.Board("rnbqkbnr/pp3ppp/4p3/2pp4/3PP3/8/PPPN1PPP/R1BQKBNR w KQkq - 0 4")
    before = board.fen()
    board.push_san("exd5")
    walk = Walk(talk, (MoveStep(words, "exd5", "e4d5", before, board.fen(), 0, 1),), before)
    check(walk)
    found = [
        f"[{walk.moves[0].san}]" if isinstance(p, PrintedMove) else getattr(p, "text", "")
        for p in pieces(set_passages(walk, ()))
    ]
    assert shown in " ".join(found)

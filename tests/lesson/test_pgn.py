"""The annotated PGN: legal, complete, and read back by the reference library as the same tree."""

from __future__ import annotations

import io
import re
from collections import Counter
from dataclasses import replace

import chess
import chess.pgn
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.pgn import AGAIN, BACK_HERE, mark_words, said_text, walk_to_pgn
from linewright.lesson.step_words import step_stretches
from linewright.lesson.walk import BoardMark, MoveStep, Opening, ReturnStep, Walk
from linewright.talk.model import Place
from tests.lesson.walks import walks
from tests.support import needs_shared, plain_talk, said, walk_from_ref

FOUR = ["panov", "scotch", "slav", "benoni"]


def read(text: str) -> chess.pgn.Game:
    handle = io.StringIO(text)
    game = chess.pgn.read_game(handle)
    assert game is not None
    assert game.errors == []
    assert chess.pgn.read_game(handle) is None, "more than one game came out"
    return game


def tree_of_walk(walk: Walk, node: int = 0) -> list[object]:
    return [[walk.nodes[c].uci, tree_of_walk(walk, c)] for c in walk.nodes[node].children]


def tree_of_game(node: chess.pgn.GameNode) -> list[object]:
    return [[child.move.uci(), tree_of_game(child)] for child in node.variations]


def comments_of(game: chess.pgn.Game) -> str:
    texts, todo = [], [game]  # type: list[str], list[chess.pgn.GameNode]
    while todo:
        node = todo.pop()
        texts += [node.comment, getattr(node, "starting_comment", "") if node.parent else ""]
        todo += node.variations
    return folded(" ".join(texts))


def folded(text: str) -> str:
    return " ".join(text.split())


def words_told(comments: str, walk: Walk) -> Counter[str]:
    """The words of all comments without the editor's notes."""
    for mark in walk.marks:
        comments = comments.replace(mark_words(mark), "", 1)
    return Counter(comments.replace(BACK_HERE, "").replace(AGAIN, "").split())


def words_of_talk(walk: Walk) -> Counter[str]:
    return Counter(said_text(" ".join(word.text for word in walk.talk.words)).split())


def check(walk: Walk) -> None:
    text = walk_to_pgn(walk)
    game = read(text)
    assert tree_of_game(game) == tree_of_walk(walk)
    assert words_told(comments_of(game), walk) == words_of_talk(walk)
    assert all(len(line) < 256 for line in text.splitlines())  # import limit, PGN standard 4.3
    assert game.board().fen() == chess.Board(walk.start).fen()


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_open_talks_come_back(name: str) -> None:
    walk, _ = walk_from_ref(name)
    check(walk)
    lines = walk_to_pgn(walk).splitlines()
    assert max(map(len, lines)) < 80  # export format, PGN standard 3.2.4


@given(walks())
@settings(deadline=None, max_examples=150, suppress_health_check=list(HealthCheck))
def test_any_walk_comes_back(walk: Walk) -> None:
    check(walk)


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_tellings_hold_every_word_once(walk: Walk) -> None:
    spans = step_stretches(walk)
    assert len(spans) == len(walk.steps) + 1
    assert [i for first, last in spans for i in range(first, last)] == list(range(len(walk.talk.words)))


@given(st.text(max_size=60), st.text(max_size=30))
@example("[Back here:] [Again:] [ring on e5] [Fails (structure): x]", "")
@settings(deadline=None, max_examples=80)
def test_any_text_is_safe(text: str, title: str) -> None:
    walk = Walk(plain_talk(text, title=title), ())
    game = read(walk_to_pgn(walk))
    assert game.is_end()
    assert game.headers["Event"]
    assert words_told(folded(game.comment), walk) == words_of_talk(walk)


def small(text: str, *moves: tuple[str, str]) -> Walk:
    """A walk of (words, SAN) told in one line; a SAN of ``<3`` returns to node 3."""
    talk, steps, board, at, known, seek = plain_talk(text), [], {0: chess.Board()}, 0, {}, 0
    for words, san in moves:
        start = text.index(words, seek)
        seek = start + len(words)
        told = said(talk, start, seek)
        if san.startswith("<"):
            at = int(san[1:])
            steps.append(ReturnStep(told, board[at].fen(), at))
            continue
        after = board[at].copy()
        move = after.push_san(san)
        node = known.setdefault((at, move.uci()), len(board))
        board[node] = after
        before = board[at].fen()
        steps.append(MoveStep(told, after.peek() and san, move.uci(), before, after.fen(), at, node))
        at = node
    return Walk(talk, tuple(steps))


TWO_LINES = (
    "First e4 then e5 good. Going back, c5 is sharp. And again e5, knight f3 {mind this}.",
    ("e4", "e4"),
    ("e5", "e5"),
    ("Going back,", "<1"),
    ("c5", "c5"),
    ("And again", "<1"),
    ("e5,", "e5"),
    ("knight f3", "Nf3"),
)


def test_words_stand_where_they_are_said() -> None:
    game = read(walk_to_pgn(small(*TWO_LINES)))
    assert game.comment == "First"
    e4 = game.variations[0]
    assert e4.comment == f"e4 then {BACK_HERE} And again"
    e5, c5 = e4.variations
    assert (c5.starting_comment, c5.comment) == ("Going back,", "c5 is sharp.")
    assert e5.comment == f"e5 good. {AGAIN} e5,"
    assert e5.variations[0].comment == "knight f3 (mind this)."


def test_marks_symbols_and_failures() -> None:
    walk = small(*TWO_LINES)
    place = walk.talk.words[walk.steps[3].said.first].place
    marks = (BoardMark("ring", ("c5",), 4, place), BoardMark("path", ("c5", "d4"), 4, place))
    steps = list(walk.steps)
    steps[3] = replace(steps[3], nag=5)  # type: ignore[arg-type]
    walk = replace(walk, steps=tuple(steps), marks=marks)
    sharp = said(walk.talk, walk.talk.text.index("is sharp"), walk.talk.text.index("is sharp") + 8)
    failed = Finding(Kind.ASSESSMENT, Verdict.FAILS, sharp, "", plain("it is {not}"), 4)
    held = replace(failed, verdict=Verdict.HOLDS, reason="unseen")
    text = walk_to_pgn(walk, [failed, held])
    c5 = read(text).variations[0].variations[1]
    assert c5.nags == {5}
    assert folded(c5.comment) == "c5 is sharp. [ring on c5] [path from c5 to d4] [Fails (assessment): it is (not)]"
    assert "[%" not in text
    assert "unseen" not in text


def test_tag_pairs() -> None:
    """Seven Tag Roster in order (PGN standard 8.1.1), then ECO and Opening; SetUp and FEN (9.7)."""
    walk = replace(small(*TWO_LINES), opening=Opening("C40", 'The "Knight"'))
    lines = walk_to_pgn(walk).splitlines()
    assert [re.match(r"\[(\w+) ", line)[1] for line in lines[:9]] == [  # type: ignore[index]
        *("Event", "Site", "Date", "Round", "White", "Black", "Result"),
        *("ECO", "Opening"),
    ]
    assert "[Opening \"The 'Knight'\"]" in lines
    fen = "8/8/4k3/8/8/3QK3/8/8 w - - 0 1"
    headers = read(walk_to_pgn(Walk(plain_talk("mate soon"), (), start=fen))).headers
    assert (headers["SetUp"], headers["FEN"]) == ("1", fen)
    assert "SetUp" not in read(walk_to_pgn(walk)).headers


def test_no_line_starts_with_the_escape_character() -> None:
    """A percent sign in the first column hides the line from readers (PGN standard, section 6)."""
    text = " ".join(f"{'word ' * n}%hidden" for n in range(1, 40))
    walk = Walk(plain_talk(text), ())
    written = walk_to_pgn(walk)
    assert not any(line.startswith("%") for line in written.splitlines())
    assert words_told(read(written).comment, walk) == words_of_talk(walk)


def test_an_illegal_move_is_never_written() -> None:
    walk = small(*TWO_LINES)
    steps = (replace(walk.steps[0], uci="e2e5"), *walk.steps[1:])
    with pytest.raises(ValueError, match="e2e5 is not legal"):
        walk_to_pgn(replace(walk, steps=steps))


def test_mark_words() -> None:
    assert mark_words(BoardMark("cross", ("e5", "d4"), 0, Place(1, 1))) == "[cross on e5 and d4]"

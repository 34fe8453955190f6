"""Reading a talk while it is written gives the walk that reading it whole gives."""

from __future__ import annotations

import random

import pytest

from linewright.lesson.walk import MoveStep, Walk
from linewright.reading.answers import Answer
from linewright.reading.incremental import GrowingReader
from linewright.reading.reader import read_talk
from linewright.talk.load import TalkFormat, load_text

TALK = (
    "# The Scotch\n\nWe start with e4, and he answers e5. Knight f3, knight c6, and now d4. He takes, exd4, and we "
    "take back, knight takes d4.\n\nNow Black has a choice. The main line is knight f6. We take on c6, and he takes "
    "back with the b pawn. Now e5, and the queen comes to e7. We answer queen e2, and knight d5.\n\nBack to knight "
    "takes d4. The other move is bishop c5. We play bishop e3, queen f6, and c3, guarding the knight. He goes "
    "knight ge7 and we play bishop c4.\n\nIf he castles, we castle too. Last, instead of bishop c5, there is queen h4. "
    "Now knight c3, and bishop b4. We play bishop e2, and he takes on e4.\n"
)


def told(walk: Walk | None) -> list[tuple[object, ...]]:
    assert walk is not None
    return [
        (s.said.first, s.said.last, s.san, s.before, round(s.sure, 6), [a.san for a in s.instead])
        if isinstance(s, MoveStep)
        else (s.said.first, s.said.last, s.to)
        for s in walk.steps
    ] + [(u.said.first, u.why) for u in walk.unread]


def talk(text: str):  # type: ignore[no-untyped-def]
    return load_text(text, TalkFormat.TYPED, "talk.md")


def test_each_edit_reads_as_if_it_were_read_whole() -> None:
    chance = random.Random(6)
    growing = GrowingReader()
    text = TALK
    edits = [
        ("knight f6", "bishop b4 check"),
        ("guarding the knight", "guarding it {ring: d4}"),
        ("We answer queen e2, and knight d5.", "We answer queen e2."),
        ("Back to knight", "{back: start} Back to knight"),
        ("Back to knight", "Black plays this too. Back to knight"),
        ("# The Scotch", "# The Scotch from the black side"),
    ]
    chance.shuffle(edits)
    for old, new in [("", ""), *edits]:
        text = text.replace(old, new) if old else text
        assert told(growing.read(talk(text))) == told(read_talk(talk(text)))


def test_typing_word_by_word_reads_as_whole() -> None:
    growing = GrowingReader()
    words = TALK.split(" ")
    for count in range(4, len(words), 9):
        text = " ".join(words[:count])
        assert told(growing.read(talk(text))) == told(read_talk(talk(text))), text[-60:]


def test_an_answer_is_obeyed_at_once_and_taken_back_as_well() -> None:
    growing = GrowingReader()
    plain = talk(TALK)
    before = told(growing.read(plain))
    walk = read_talk(plain)
    step = walk.moves[12]
    answers = [Answer(step.said.first, step.said.last, "")]
    assert told(growing.read(plain, answers)) == told(read_talk(plain, answers=answers)) != before
    assert told(growing.read(plain)) == before


@pytest.mark.parametrize("after", [1, 20, 90])
def test_a_stopped_reading_is_taken_up(after: int) -> None:
    growing = GrowingReader()
    left = iter(range(after))
    assert growing.read(talk(TALK), stop=lambda: next(left, None) is None) is None
    changed = TALK.replace("guarding", "keeping")
    assert told(growing.read(talk(changed))) == told(read_talk(talk(changed)))


def test_a_first_look_comes_before_the_rest_and_agrees_where_it_ends() -> None:
    growing = GrowingReader()
    seen: list[tuple[Walk, int]] = []
    growing.read(talk(TALK))
    text = TALK.replace("We start", "We always start")
    walk = growing.read(talk(text), peek=lambda early, until: seen.append((early, until)))
    assert walk is not None and len(seen) == 1
    early, until = seen[0]
    assert 0 < len(early.steps) < len(walk.steps)
    assert all(step.said.last <= until for step in early.steps)
    assert [s.san for s in early.moves[:6]] == [s.san for s in walk.moves[:6]]

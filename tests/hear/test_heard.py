from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.hear.heard_words import HeardStretch, HeardWord, hear
from tests.hear.doubles import Scripted, said, silence


def heard(*stretches: HeardStretch, seconds: float = 100) -> list[HeardWord]:
    return list(hear(silence(seconds), Scripted(stretches), ""))


def test_words_come_out_in_order_without_their_spaces() -> None:
    words = heard(HeardStretch(tuple(said("Knight f3,")), 1), HeardStretch(tuple(said("knight c6.", start=2)), 3))
    assert [w.text for w in words] == ["Knight", "f3,", "knight", "c6."]
    assert words[2].start == 2


def test_pieces_of_a_word_are_joined_and_as_sure_as_the_least_sure() -> None:
    pieces = (HeardWord(" Caro", 1, 1.2, 0.9), HeardWord("-Kann", 1.2, 1.5, 0.4), HeardWord(" is", 1.6, 1.7, 1))
    assert heard(HeardStretch(pieces, 2)) == [HeardWord("Caro-Kann", 1, 1.5, 0.4), HeardWord("is", 1.6, 1.7, 1)]


def test_empty_pieces_are_left_out() -> None:
    assert heard(HeardStretch((HeardWord(" ", 0, 1, 1), HeardWord("", 1, 2, 1)), 2)) == []


def test_progress_tells_the_seconds_heard_and_never_more_than_there_are() -> None:
    seen: list[tuple[str, float, float | None]] = []
    script = Scripted([HeardStretch((), 4), HeardStretch(tuple(said("e4", start=5)), 9), HeardStretch((), 12)])
    hear(silence(10), script, "", lambda *step: seen.append(step))
    assert seen == [("hearing", 4, 10), ("hearing", 9, 10), ("hearing", 10, 10)]


def test_the_recogniser_is_told_the_prompt() -> None:
    script = Scripted([])
    hear(silence(1), script, "Knight f3.")
    assert script.told == ["Knight f3."]


@pytest.mark.parametrize("error", [KeyboardInterrupt(), RuntimeError("broken")])
def test_what_stops_the_recogniser_stops_the_hearing(error: BaseException) -> None:
    with pytest.raises(type(error)):
        heard_or = Scripted([HeardStretch(tuple(said("e4")), 1), error])
        hear(silence(9), heard_or, "")


TIMES = st.floats(-5, 50, allow_nan=False)


@settings(deadline=None)
@given(st.lists(st.tuples(st.sampled_from([" e4", "-Kann", " knight", " ", "5"]), TIMES, TIMES), max_size=30))
def test_times_lie_inside_and_never_go_back(pieces: list[tuple[str, float, float]]) -> None:
    words = heard(HeardStretch(tuple(HeardWord(t, s, e, 0.5) for t, s, e in pieces), 1), seconds=30)
    assert "".join(w.text for w in words) == "".join(text.strip() for text, _, _ in pieces)
    assert all(0 <= w.start <= w.end <= 30 for w in words)
    starts = [w.start for w in words]
    assert starts == sorted(starts)

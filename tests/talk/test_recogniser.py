"""Recognisers' JSON: both shapes, places inside the JSON, times that are missing or wrong."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text
from linewright.talk.model import Place, Talk
from linewright.talk.recogniser import string_offsets
from tests.support import TALKS, needs_shared


def heard(data: Any, **how: Any) -> Talk:
    return load_text(json.dumps(data, **how), TalkFormat.RECOGNISER, "talk.json")


def words(talk: Talk) -> list[tuple[str, float, float, float | None]]:
    return [(w.text, w.start, w.end, w.confidence) for w in talk.words]


def test_a_list_of_words() -> None:
    talk = heard(
        {
            "words": [
                {"word": "Knight", "start": 0, "end": 0.5, "p": 0.9},
                {"word": "f3", "start": 0.5, "end": 1},
            ]
        }
    )
    assert words(talk) == [("Knight", 0.0, 0.5, 0.9), ("f3", 0.5, 1.0, None)]
    assert talk.text == "Knight f3"


def test_segments_with_words() -> None:
    talk = heard(
        {
            "text": " E4, he said",
            "segments": [
                {
                    "text": " E4, he",
                    "words": [
                        {"word": " E4,", "start": 1.0, "end": 1.2, "probability": 0.7},
                        {"word": " he", "start": 1.2, "end": 1.5, "probability": 1.0},
                    ],
                },
                {"text": " said so", "start": 4.0, "end": 11.0},
            ],
        }
    )
    assert words(talk)[:2] == [("E4,", 1.0, 1.2, 0.7), ("he", 1.2, 1.5, 1.0)]
    assert words(talk)[2:] == [("said", 4.0, 8.0, None), ("so", 9.0, 11.0, None)]
    assert [w.paragraph for w in talk.words] == [0, 0, 1, 1]


def test_places_are_inside_the_json() -> None:
    talk = load_text(
        '{"words": [\n {"p": 1, "word": " rook\\u00a0\\"e1\\"",\n  "start": 0, "end": 7}]}', None, "t.json"
    )
    assert [(w.text, w.place) for w in talk.words] == [("rook", Place(2, 21)), ('"e1"', Place(2, 31))]


def test_times_that_are_missing_or_go_back_are_mended_and_noted() -> None:
    talk = heard(
        {
            "words": [
                {"word": "a", "start": 1.0, "end": 2.0},
                {"word": "b"},
                {"word": "c", "start": 3.0, "end": 2.5},
                {"word": "d", "start": 2.0, "end": 4.0},
                {"word": "e", "start": float("inf"), "end": True},
            ]
        }
    )
    assert words(talk) == [
        ("a", 1.0, 2.0, None),
        ("b", 2.0, 3.0, None),
        ("c", 3.0, 3.0, None),
        ("d", 3.0, 4.0, None),
        ("e", 4.0, 4.0, None),
    ]
    assert "4 words" in talk.notes[0]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('{"words": [\n  {"word" "e4"}]}', r"^t\.json:2:11: broken JSON"),
        ('{"words": [{"word": "e4", "st', r"^t\.json:1:27: broken JSON"),
        ("[" * 100_000, "can't be read|broken JSON"),
        ('{"words": [' + "9" * 5000 + "]}", "can't be read"),
        ('{"words": []}', "no words"),
        ('{"segments": [3, null, {"text": 4}]}', "no words"),
        ('"e4"', "no words"),
        ('{"words": [{"word": "\\u200b", "end": 1}]}', "no words"),
        ('{"words": [{"word": "e4"}]}', "no times"),
    ],
    ids=[
        "missing colon",
        "cut",
        "deep",
        "long number",
        "empty",
        "wrong types",
        "string",
        "invisible",
        "no times",
    ],
)
def test_unusable(text: str, message: str) -> None:
    with pytest.raises(UnusableInput, match=message):
        load_text(text, TalkFormat.RECOGNISER, "t.json")


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=12,
)


@settings(deadline=None, max_examples=200)
@given(JSON, st.sampled_from([None, 1]))
def test_every_string_value_is_found_where_it_stands(data: Any, indent: int | None) -> None:
    text = json.dumps(data, indent=indent)
    strings: dict[tuple[str | int, ...], str] = {}

    def collect(value: Any, path: tuple[str | int, ...]) -> None:
        if isinstance(value, str):
            strings[path] = value
        elif isinstance(value, dict):
            for key, item in value.items():
                collect(item, (*path, key))
        elif isinstance(value, list):
            for i, item in enumerate(value):
                collect(item, (*path, i))

    collect(data, ())
    found = string_offsets(text)
    assert found.keys() == strings.keys()
    for path, offset in found.items():
        assert json.JSONDecoder().raw_decode(text, offset - 1)[0] == strings[path]


@needs_shared
def test_open_talks_are_read_whole() -> None:
    files = sorted(TALKS.glob("*.words.json"))
    assert files
    for file in files:
        text = file.read_text()
        data = json.loads(text)["words"]
        talk = load_text(text, None, str(file))
        assert [(w.text, w.start, w.end, w.confidence) for w in talk.words] == [
            (w["word"], w["start"], w["end"], w["p"]) for w in data
        ]
        lines = text.splitlines()
        assert all(lines[w.place.line - 1][w.place.column - 1 :].startswith(w.text) for w in talk.words)
        assert not talk.notes
        assert talk.title == file.name.removesuffix(".words.json").capitalize()

"""Messages between desk and page: what fits becomes a dataclass, what doesn't is named in one sentence."""

from __future__ import annotations

import json
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.desk.messages.dictation import EndDictation, ToDictation
from linewright.desk.messages.from_manuscript import FromManuscript, ReadText, SettlePlace, ShowEvidence, SpellMoves
from linewright.desk.messages.room import FromRoom, NoteLoudness, ToRoom
from linewright.desk.messages.to_manuscript import ToManuscript
from linewright.stage.acts import DrawMarks, DrawnMark, PressKey
from linewright.support.errors import UnusableInput
from linewright.support.page_messages import ToPage, from_json, tags_of, to_json


@pytest.mark.parametrize(
    ("sent", "message"),
    [
        ({"do": "text", "serial": 3, "text": "e4"}, ReadText(3, "e4")),
        ({"do": "text", "serial": 3, "text": "e4", "newer": 1}, ReadText(3, "e4")),
        ({"do": "evidence", "fen": "x"}, ShowEvidence("x", "")),
        ({"do": "ask", "first": 4, "answer": {"choose": 0}}, SettlePlace(4, {"choose": 0})),
        ({"do": "ask", "first": 4}, SettlePlace(4)),
        ({"do": "spell", "fen": "x", "moves": ["e2e4"]}, SpellMoves("x", ("e2e4",))),
    ],
)
def test_what_a_manuscript_sends(sent: object, message: FromManuscript) -> None:
    assert from_json(json.dumps(sent), FromManuscript) == message


@pytest.mark.parametrize(
    ("sent", "message"),
    [
        ({"do": "pause", "by": "keys"}, PressKey("pause", "keys")),
        ({"do": "mark", "marks": [{"shape": "dot", "squares": ["e4"]}]}, DrawMarks((DrawnMark("dot", ("e4",)),))),
        ({"do": "loud", "level": [0, 0.5], "every": 1}, NoteLoudness((0, 0.5), 1)),
    ],
)
def test_what_a_room_is_sent(sent: object, message: FromRoom) -> None:
    assert from_json(json.dumps(sent), FromRoom) == message


@pytest.mark.parametrize(
    ("kind", "sent", "why"),
    [
        (FromManuscript, "not json", "a message was not understood: it is not JSON"),
        (FromManuscript, "[" * 100_000, "a message was not understood: it is not JSON"),
        (FromManuscript, "[1]", "a message was not understood: it is [1], which has no meaning here"),
        (FromManuscript, "{}", "a message was not understood: it is {}, which has no meaning here"),
        (FromManuscript, '{"do": "dance"}', "a message 'dance' was not understood: it is"),
        (FromManuscript, '{"do": ["text"]}', "a message was not understood: it is"),
        (FromManuscript, '{"do": "text", "text": "e4"}', "a message 'text' was not understood: serial is missing"),
        (FromManuscript, '{"do": "text", "serial": "a", "text": ""}', 'serial should be a whole number, not "a"'),
        (FromManuscript, '{"do": "text", "serial": true, "text": ""}', "serial should be a whole number, not true"),
        (
            FromManuscript,
            '{"do": "text", "serial": 1e999, "text": ""}',
            "a whole number, not Infinity",
        ),
        (FromManuscript, '{"do": "text", "serial": 1, "text": null}', "text should be text, not null"),
        (FromManuscript, '{"do": "spell", "fen": "", "moves": 5}', "moves should be a list, not 5"),
        (FromManuscript, '{"do": "spell", "fen": "", "moves": ["e4", 5]}', "moves[1] should be text, not 5"),
        (FromRoom, '{"do": "mark", "marks": [{"shape": {}}]}', "marks[0].shape should be text, not {}"),
        (FromRoom, '{"do": "mark", "marks": ["dot"]}', 'marks[0] should be an object, not "dot"'),
        (FromRoom, '{"do": "next", "by": 7}', "a message 'next' was not understood: by should be text, not 7"),
        (EndDictation, "{}", "a message was not understood: do should be 'end', not null"),
        (EndDictation, '{"do": "stop"}', "do should be 'end', not \"stop\""),
    ],
)
def test_what_is_no_message_is_named_in_one_sentence(kind: Any, sent: str, why: str) -> None:
    with pytest.raises(UnusableInput) as refused:
        from_json(sent, kind)
    assert why in refused.value.what
    assert refused.value.todo == "Load the page again."


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
)
TAGS = st.sampled_from(["text", "save", "evidence", "ask", "spell", "next", "go", "play", "mark", "loud", "clap"])
NAMES = st.sampled_from(["serial", "text", "base", "fen", "moves", "first", "to", "marks", "level", "late", "by"])


@given(ANYTHING | st.dictionaries(NAMES, ANYTHING).flatmap(lambda d: TAGS.map(lambda tag: {**d, "do": tag})))
def test_anything_is_a_message_or_refused(value: object) -> None:
    for kind in (FromManuscript, FromRoom):
        try:
            message = from_json(json.dumps(value), kind)
        except UnusableInput:
            continue
        assert type(message) in get_args(kind)
        assert from_json(to_json(message), kind) == message or "NaN" in to_json(message)


@pytest.mark.parametrize("union", [FromManuscript, ToManuscript, FromRoom, ToRoom, ToDictation])
def test_every_message_says_what_it_is_and_no_two_say_the_same(union: Any) -> None:
    tags = [tag for kind in get_args(union) for tag in tags_of(kind)]
    assert len(set(tags)) == len(tags) >= len(get_args(union))


def test_messages_go_out_as_objects() -> None:
    class Inner(ToPage):
        squares: tuple[str, ...]

    class Outer(ToPage, tag="outer"):
        inner: tuple[Inner, ...]

    assert json.loads(to_json(Outer((Inner(("e4", "e5")),)))) == {
        "what": "outer",
        "inner": [{"squares": ["e4", "e5"]}],
    }
    with pytest.raises(TypeError, match="can't be sent"):
        to_json({"odd": object()})

"""A talk or a game from elsewhere cannot steer the trainer's terminal (ECMA-48: C0 and C1 control functions)."""

from __future__ import annotations

import json

import pytest

from linewright.games.api import read_tags
from linewright.talk.load import TalkFormat, load_text

#: Clear the screen, set the window's title, red letters by the one-character CSI, and plain control characters.
STEERING = "\x1b[2J \x1b]0;title\x07 \x9b31m a\x00b\x08\x7f"
#: None of these may be left: C0 and C1 without tab, line ends, form feed and next line.
CONTROLS = frozenset(map(chr, {*range(0x20), *range(0x7F, 0xA0)} - {*b"\t\n\v\f\r\x1c\x1d\x1e\x1f", 0x85}))


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (TalkFormat.TYPED, "# T{}\n\nWe play e4 {} here.\n\n- e5{}\n"),
        (TalkFormat.WEBVTT, "WEBVTT\n\n00:00.000 --> 00:05.000\n<v A{0}>e4 {0} &#27;[2J &#x9b;31m\n"),
        (TalkFormat.SUBRIP, "1\n00:00:00,000 --> 00:00:05,000\ne4 {0} &#27;[2J\n"),
    ],
)
def test_no_talk_steers_a_terminal(kind: TalkFormat, text: str) -> None:
    talk = load_text(text.replace("{0}", STEERING).replace("{}", STEERING), kind, "x.md")
    assert "e4" in talk.text
    told = "".join((talk.title, talk.text, *(word.text for word in talk.words), *talk.notes))
    assert not CONTROLS.intersection(told)


def test_no_recogniser_steers_a_terminal() -> None:
    words = [{"word": f"e4{STEERING}", "start": 0.0, "end": 1.0}]
    talk = load_text(json.dumps({"words": words}), TalkFormat.RECOGNISER, "x.json")
    assert not CONTROLS.intersection(talk.text) and talk.text.startswith("e4")


def test_places_stay_as_they_are() -> None:
    words = load_text("We \x1b[31mplay\x1b[0m e4.\n", TalkFormat.TYPED, "x.md").words
    assert [(word.text, word.place.column) for word in words][-1] == ("e4.", 18)


def test_no_games_tags_steer_a_terminal() -> None:
    tags = read_tags(f'[Event "E{STEERING}"]\n[White "Mar{STEERING}low, A"]\n[Annotator "{STEERING}"]\n')
    assert tags.white.startswith("Mar [2J") and not CONTROLS.intersection(tags.white + tags.event + tags.others)

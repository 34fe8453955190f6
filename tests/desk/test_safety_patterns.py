"""No pattern of the house runs wild: a hostile talk, PGN or caption file may repeat a word as often as it likes.

A pattern in which a word fits two of its parts tries every way to share the words out between them: twice as many
with each word more. Forty are then never done, while an honest pattern takes milliseconds; hours apart, so that the
clock of a slow machine can't mistake one for the other.
"""

from __future__ import annotations

import importlib
import pkgutil
import re
import signal
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from re import _constants as named
from re import _parser as parser
from types import FrameType
from typing import Any

import pytest

import linewright
from linewright.desk.files.encoding import file_bytes
from linewright.games.api import parse_description
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text

#: Repetitions of a word, and the seconds that looking for a pattern in them may take.
MANY, PATIENCE = 40, 5


def _patterns() -> Iterator[tuple[str, re.Pattern[str]]]:
    """Every pattern that a module keeps, also within tables, once, with where it stands."""
    seen: set[tuple[str, int]] = set()

    def within(value: Any, deep: int = 0) -> Iterator[re.Pattern[str]]:
        if isinstance(value, re.Pattern):
            if isinstance(value.pattern, str) and (value.pattern, value.flags) not in seen:
                seen.add((value.pattern, value.flags))
                yield value
        elif deep < 3:
            parts: Any = ()
            if isinstance(value, list | tuple | set | frozenset):
                parts = value
            elif isinstance(value, dict):
                parts = value.values()
            elif is_dataclass(value) and not isinstance(value, type):
                parts = (getattr(value, field.name, None) for field in fields(value))
            for part in parts:
                yield from within(part, deep + 1)

    for module in pkgutil.walk_packages(linewright.__path__, "linewright."):
        if "migrations" in module.name or module.name.endswith("__main__"):
            continue
        for name, value in list(vars(importlib.import_module(module.name)).items()):
            for pattern in within(value):
                yield f"{module.name}:{name}", pattern


def _words(tree: Any) -> Iterator[str]:
    """The pieces of text that a pattern names."""
    run = ""
    for op, value in tree:
        if op is named.LITERAL:
            run += chr(value)
            continue
        if run:
            yield run
        run = ""
        if op in (named.MAX_REPEAT, named.MIN_REPEAT, named.POSSESSIVE_REPEAT):
            yield from _words(value[2])
        elif op is named.SUBPATTERN:
            yield from _words(value[3])
        elif op is named.BRANCH:
            for way in value[1]:
                yield from _words(way)
        elif op in (named.ASSERT, named.ASSERT_NOT):
            yield from _words(value[1])
        elif op is named.ATOMIC_GROUP:
            yield from _words(value)
    if run:
        yield run


class _TooLong(Exception):
    pass


def _ring(number: int, frame: FrameType | None) -> None:
    raise _TooLong


@pytest.fixture
def alarm() -> Iterator[None]:
    old = signal.signal(signal.SIGALRM, _ring)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, old)


@pytest.mark.skipif(not hasattr(signal, "SIGALRM"), reason="this system has no alarm that stops a search")
def test_no_pattern_is_undone_by_a_word_said_over_and_over(alarm: None) -> None:
    wild = []
    for where, pattern in _patterns():
        words = {word.strip() for word in _words(parser.parse(pattern.pattern, pattern.flags))}
        try:
            signal.alarm(PATIENCE)
            for word in sorted(words | {"a", "A", "1", "-"} - {""}):
                for text in ((word + " ") * MANY + "\x01", word * MANY + "\x01"):
                    pattern.search(text)
            signal.alarm(0)
        except _TooLong:
            wild.append(where)
    assert not wild


@pytest.mark.skipif(not hasattr(signal, "SIGALRM"), reason="this system has no alarm that stops a search")
@pytest.mark.parametrize("line", ["1" + ":1" * 100_000, "1:" + "-" * 200_000, "1:1" + " " * 200_000], ids=repr)
def test_a_long_line_of_captions_is_read_in_one_pass(alarm: None, line: str) -> None:
    signal.alarm(60)
    with pytest.raises(UnusableInput):
        load_text(f"{line}\n", TalkFormat.SUBRIP, "long.srt")


@pytest.mark.skipif(not hasattr(signal, "SIGALRM"), reason="this system has no alarm that stops a search")
@pytest.mark.parametrize("words", ["A" * 2000, "A " * 2000, "A" + " " * 4000, "van" * 1000], ids=lambda w: w[:6])
def test_a_long_telling_of_names_is_read(alarm: None, words: str) -> None:
    signal.alarm(60)
    assert len(parse_description(words).players) <= 2


@pytest.mark.skipif(not hasattr(signal, "SIGALRM"), reason="this system has no alarm that stops a search")
@pytest.mark.parametrize(("edited", "kept"), [("{}x", True), ("x{}", True), ("x\n{}x\n", False), ("a\n{}", True)])
def test_a_file_of_mixed_line_ends_is_saved_however_long(alarm: None, edited: str, kept: bool) -> None:
    lines = 50_000
    signal.alarm(20)
    text = edited.format("a\nb\n" * lines)
    saved = file_bytes(text, b"a\r\nb\n" * lines)
    assert saved.replace(b"\r\n", b"\n") == text.encode()
    assert not kept or saved.count(b"a\r\nb\n") >= lines - 2


def test_an_edit_in_the_middle_keeps_the_other_lines_ends() -> None:
    before = b"1\r\n2\n3\r4\r\n5\n6\r\n"
    assert file_bytes("1\n2\nnew\n4\n5\n6\n", before) == b"1\r\n2\nnew\r\n4\r\n5\n6\r\n"
    assert file_bytes("2\n3\n5\n6\n7\n", before) == b"2\n3\r5\n6\r\n7\r\n"

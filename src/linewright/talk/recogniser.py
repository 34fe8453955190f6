"""A recogniser's JSON: words with times and probabilities, at the top or inside segments."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from linewright.support.errors import UnusableInput
from linewright.talk.captions import INVISIBLE, PAUSE, running, spread
from linewright.talk.decode import unsteered
from linewright.talk.model import Talk, Unit, Word
from linewright.talk.places import Lines, at

_TOKEN = re.compile(r'"(?P<string>(?:[^"\\]|\\.)*)"|[{}\[\],:]')
_LETTER = re.compile(r"\\u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}|\\u[0-9a-fA-F]{4}|\\.|.")
_PROBABILITY = ("p", "probability", "confidence", "score")
_TEXT = ("word", "text", "punctuated_word")
_TODO = 'It should hold {"words": [{"word", "start", "end"}]} or {"segments": [{"start", "end", "text"}]}.'

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class _Heard:
    """Words as the recogniser wrote them, still in one string; times in seconds where it gave them."""

    text: str
    path: Path
    start: float | None
    end: float | None
    confidence: float | None


def recogniser_talk(text: str, title: str, source: str) -> Talk:
    """Read a recogniser's JSON.

    :raises UnusableInput: when it is not valid JSON, holds no words, or words without any time.
    """
    lines = Lines(text)
    heard = tuple(h for h in _heard(_parse(text, lines, source)) if _runs(h.text))
    if not heard:
        raise UnusableInput(f"{source}: no words in this JSON", _TODO)
    if all(h.start is None and h.end is None for h in heard):
        raise UnusableInput(
            f"{source}: the words have no times",
            'Each needs "start" and "end" in seconds; or save them as a .txt.',
        )
    times, corrected = _times(heard)
    joined, words = running(_words(text, lines, heard, times))
    notes: tuple[str, ...] = ()
    if corrected:
        why = f"{corrected} words have no times or go back in time; set between their neighbours"
        notes = (f"{at(source, words[0].place)}: {why}",)
    return Talk(title, source, Unit.SECONDS, joined, words, notes=notes)


def _runs(text: str) -> list[re.Match[str]]:
    return [run for run in re.finditer(r"\S+", text) if run[0].strip(INVISIBLE)]


def _words(text: str, lines: Lines, heard: Iterable[_Heard], times: Iterable[tuple[float, float]]) -> Iterator[Word]:
    """One word for each run without space, not yet placed in a running text."""
    offsets = string_offsets(text)
    paragraph = 0
    before: Word | None = None
    for h, (start, end) in zip(heard, times, strict=True):
        if before and start - before.end >= PAUSE:
            paragraph += 1
        letters = letter_offsets(text, offsets[h.path])
        runs = _runs(h.text)
        for run, (first, last) in zip(runs, spread([r[0] for r in runs], start, end), strict=True):
            if before:  # words of one entry are spread over it and may pass the next entry's start
                first = max(first, before.start)
            place = lines.place(letters[run.start()])
            before = Word(run[0], (0, 0), first, max(first, last), place, paragraph, confidence=h.confidence)
            yield before


def _parse(text: str, lines: Lines, source: str) -> Any:
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        place = at(source, lines.place(error.pos))
        raise UnusableInput(f"{place}: broken JSON: {error.msg}", "Save the recogniser's output again.") from None
    except (ValueError, RecursionError) as error:
        raise UnusableInput(f"{source}: JSON that can't be read: {error}", _TODO) from None


def _heard(data: Any) -> Iterator[_Heard]:
    """Everything heard, in order: a list of words, ``words`` of an object, or its ``segments``."""
    if isinstance(data, list):
        yield from _items(data, ())
    elif isinstance(data, dict):
        if isinstance(data.get("segments"), list):
            for i, segment in enumerate(data["segments"]):
                path: Path = ("segments", i)
                if isinstance(segment, dict) and isinstance(segment.get("words"), list) and segment["words"]:
                    yield from _items(segment["words"], (*path, "words"))
                else:
                    yield from _item(segment, path)
        elif isinstance(data.get("words"), list):
            yield from _items(data["words"], ("words",))


def _items(items: list[Any], path: Path) -> Iterator[_Heard]:
    for i, item in enumerate(items):
        yield from _item(item, (*path, i))


def _item(item: Any, path: Path) -> Iterator[_Heard]:
    if not isinstance(item, dict):
        return
    key = next((key for key in _TEXT if isinstance(item.get(key), str)), None)
    if key is not None:
        confidence = next((p for p in map(_number, map(item.get, _PROBABILITY)) if p is not None), None)
        if confidence is not None and not 0 <= confidence <= 1:
            confidence = None
        yield _Heard(
            unsteered(item[key]), (*path, key), _number(item.get("start")), _number(item.get("end")), confidence
        )


def _number(value: Any) -> float | None:
    """A time or probability, None when it is no finite number that a clock can show."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) and number >= 0 else None


def _times(heard: tuple[_Heard, ...]) -> tuple[list[tuple[float, float]], int]:
    """Start and end of each, starts never going back, and how many had to be corrected."""
    next_starts: list[float | None] = [None]
    for h in reversed(heard[1:]):
        next_starts.append(h.start if h.start is not None else next_starts[-1])
    times: list[tuple[float, float]] = []
    corrected = 0
    latest = ended = 0.0
    for h, following in zip(heard, reversed(next_starts), strict=True):
        start = max(latest, h.start if h.start is not None else ended)
        end = max(start, h.end if h.end is not None else following or start)
        corrected += (start, end) != (h.start, h.end)
        times.append((start, end))
        latest, ended = start, end
    return times, corrected


def string_offsets(text: str) -> dict[Path, int]:
    """Where each string value of a valid JSON text begins (after its quote), by its path of keys and indices.

    >>> string_offsets('{"a": [1, "b"]}')
    {('a', 1): 11}
    """
    offsets: dict[Path, int] = {}
    path: list[str | int] = []
    is_key = False
    for token in _TOKEN.finditer(text):
        mark = token[0]
        if mark == "{":
            path.append("")
            is_key = True
        elif mark == "[":
            path.append(0)
        elif mark in "}]":
            path.pop()
        elif mark == ",":
            is_key = isinstance(path[-1], str)
            if isinstance(path[-1], int):
                path[-1] += 1
        elif mark == ":":
            is_key = False
        elif is_key:
            path[-1] = json.loads(mark)
        else:
            offsets[tuple(path)] = token.start() + 1
    return offsets


def letter_offsets(text: str, start: int) -> list[int]:
    """The offset of each character of the JSON string that begins at ``start``, escapes counting one."""
    offsets = []
    while text[start] != '"':
        letter = _LETTER.match(text, start)
        assert letter is not None
        offsets.append(start)
        start = letter.end()
    return offsets

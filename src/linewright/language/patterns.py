"""Small helpers to write vocabularies as lists of phrases."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

Made = TypeVar("Made")


def either(*phrases: str) -> str:
    """A regex group that matches one of the phrases (each a regex of its own, without groups that count)."""
    return f"(?:{'|'.join(phrases)})"


def listed(words: str) -> str:
    """A regex group of plain words, given as one string with spaces between them."""
    return either(*words.split())


def phrase(*phrases: str) -> re.Pattern[str]:
    """A compiled pattern that matches one of the phrases as whole words."""
    return re.compile(rf"\b{either(*phrases)}(?![\w'])")


def overlaps(match: re.Match[str], done: Iterable[tuple[int, int]]) -> bool:
    """The match shares characters with one of these ranges."""
    return any(match.start() < end and match.end() > start for start, end in done)


def apart(
    patterns: Iterable[re.Pattern[str]], text: str, make: Callable[[re.Match[str]], Made | None]
) -> Iterator[Made]:
    """What is made of the patterns' matches, earlier patterns first, each character used for one thing only."""
    done: list[tuple[int, int]] = []
    for pattern in patterns:
        for match in pattern.finditer(text):
            made = None if overlaps(match, done) else make(match)
            if made is not None:
                done.append(match.span())
                yield made

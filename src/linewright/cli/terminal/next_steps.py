"""What ``linewright`` alone says: what to do next, going by what is already there."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Final

from linewright.support.paths import base_path
from linewright.talk.load import CAPTION_SUFFIXES, TYPED_SUFFIXES, WORDS_SUFFIX

#: Suffixes of talks, those first that can be nothing else; a bare .json is more likely something else.
_TALKS: Final = (*CAPTION_SUFFIXES, WORDS_SUFFIX, *TYPED_SUFFIXES)
#: Files whose names say that they are no talks (common practice).
_NO_TALKS: Final = ("readme", "changelog", "contributing", "license", "requirements")
#: Files of a folder that are looked at; a folder of thousands isn't one of talks.
_MOST: Final = 1000


def next_steps(folder: Path | None = None) -> Iterator[str]:
    """Lines: what Linewright is, and the commands that make sense from here.

    :param folder: where the user stands; None for the current folder.
    """
    yield "Linewright reads the moves in a chess trainer's talk, checks what is said,"
    yield "and makes a lesson of it."
    yield ""
    yield "What to do next:"
    talk = _talk_in(folder or Path())
    steps = [] if talk else [("linewright demo", "see it all on an invented lesson (a minute)")]
    steps += [(f"linewright check {talk or 'talk.md'}", "see what is right and wrong in a talk")]
    steps += [("linewright desk", "write and check talks in the browser")]
    if not base_path().exists():
        steps += [("linewright base add games.pgn", "add games, to be sure of more")]
    elif talk:
        steps += [(f"linewright build {talk}", "make the lesson: page, hand-out, PGN")]
    widest = max(len(command) for command, _ in steps)
    yield from (f"  {command:<{widest}}  {what}" for command, what in steps)
    yield ""
    yield "All commands: linewright --help"


def _talk_in(folder: Path) -> str:
    """The first file of a folder that looks like a talk, quoted for a shell where it must be; "" for none."""
    try:
        names = sorted(path.name for path in islice(folder.iterdir(), _MOST) if path.is_file())
    except OSError:
        return ""
    for suffix in _TALKS:
        for name in names:
            if name.lower().endswith(suffix) and not name.startswith(".") and not name.lower().startswith(_NO_TALKS):
                return f'"{name}"' if " " in name else name
    return ""

"""The demo: an invented trainer's lesson, and the main job run on it."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

from linewright.claims.check import check_walk
from linewright.games.api import StarterTable
from linewright.lesson.finding import Kind, Verdict
from linewright.publish.build import build
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.workflow.progress import Note, ignore
from linewright.workflow.read_lesson import read_lesson

TALK = "talk.md"


def run_demo(out: Path, note: Note = ignore) -> Iterator[str]:
    """Copy the talk to ``out``, read it, check it against the starter table and build it; three lines that say so.

    A talk that is already there is kept, so that one can edit it and run the demo again.

    :param note: hears what can't be used of an edited talk and of the answers beside it.
    :raises UnusableInput: when ``out`` can't be written to, or no move is left in the talk.
    """
    talk, games = prepare(out), StarterTable.load()
    walk = read_lesson(talk, games, note)
    findings = check_walk(walk, games)  # as it comes: the demo knows nothing of the user's own games and settings
    made = build(walk, findings, out / "lesson")
    wrong = sum(f.verdict is Verdict.FAILS for f in findings)
    unread = sum(f.kind is Kind.UNREAD for f in findings)
    named = f", {walk.opening.text}" if walk.opening else ""
    yield f"Read {talk}: {len(walk.moves)} moves, {len(walk.returns)} returns{named}."
    yield (
        f"Checked it against the starter table of {games.counted:,} games: {wrong} claims fail, "
        f"{unread} move is impossible; list them with: linewright check {talk}"
    )
    yield f"Made {' and '.join(str(path) for path in made)}; open the .html in a browser."


def prepare(out: Path) -> Path:
    """The demo's talk in ``out``, copied where it is missing."""
    talk = out / TALK
    try:
        out.mkdir(parents=True, exist_ok=True)
        if not talk.exists():
            write(talk, (files("linewright.demo") / TALK).read_bytes())
    except OSError as error:
        raise UnusableInput(
            f"cannot write to {out}: {error.strerror or error}", "Choose another folder with -o."
        ) from error
    return talk

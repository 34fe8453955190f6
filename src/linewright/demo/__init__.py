"""The demo: an invented trainer's lesson and invented games, and the main job run on them."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import as_file, files
from pathlib import Path

from linewright.base import Base, add
from linewright.claims.check import check_walk
from linewright.claims.model import Kind, Verdict
from linewright.errors import UnusableInput
from linewright.publish.build import build
from linewright.reading.reader import read_talk
from linewright.talk.load import load_talk
from linewright.writing import write

TALK, GAMES, BASE = "talk.md", "games.pgn", "games.duckdb"


def run_demo(out: Path) -> Iterator[str]:
    """Copy the talk to ``out``, add the games to a base there, read, check and build; three lines that say so.

    A talk or base that is already there is kept, so that one can edit the talk and run the demo again.

    :raises UnusableInput: when ``out`` can't be written to.
    """
    talk, base_file = prepare(out)
    with Base.open(base_file) as base:
        walk = read_talk(load_talk(talk), base)
        findings = check_walk(walk, base)
        games = base.info().games
    made = build(walk, findings, out / "lesson")
    wrong = sum(f.verdict is Verdict.FAILS for f in findings)
    unread = sum(f.kind is Kind.UNREAD for f in findings)
    named = f", {walk.opening.name} ({walk.opening.eco})" if walk.opening else ""
    yield f"Read {talk}: {len(walk.moves)} moves, {len(walk.returns)} returns{named}."
    yield (
        f"Checked it against {games} games: {wrong} claims fail, {unread} move is impossible; "
        f"list them with: linewright check {talk} --base {base_file}"
    )
    yield f"Made {' and '.join(str(path) for path in made)}; open the .html in a browser."


def prepare(out: Path) -> tuple[Path, Path]:
    """The demo's talk and base in ``out``, copied and made where they are missing."""
    talk, base_file = out / TALK, out / BASE
    try:
        out.mkdir(parents=True, exist_ok=True)
        if not talk.exists():
            write(talk, (files("linewright.demo") / TALK).read_bytes())
    except OSError as error:
        raise UnusableInput(
            f"cannot write to {out}: {error.strerror or error}", "Choose another folder with -o."
        ) from error
    if not base_file.exists():
        with as_file(files("linewright.demo") / GAMES) as games:
            add(base_file, [games])
    return talk, base_file

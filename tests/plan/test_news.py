"""News by real changes: another engine and more work, and a quoted game that the base comes to know better."""

from __future__ import annotations

import os
from pathlib import Path

import chess
import pytest

from linewright.engine import Engine, EngineSettings, EngineVerdict
from linewright.engine.settings import find
from linewright.engine.signs import sign
from linewright.engine.verdict_memory import VerdictMemory
from linewright.games.api import add_games
from linewright.plan.news.talk_changes import TURNED
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE
from tests.games.games import pgn
from tests.plan.test_commands import folder, from_json, made, run  # noqa: F401

try:
    ENGINE = find()
except UnusableInput:
    ENGINE = None
needs_engine = pytest.mark.skipif(
    ENGINE is None or ENGINE.name != "stockfish" or os.name == "nt",
    reason="needs the engine stockfish on PATH or in /usr/games",
)
#: Little work, and enough to see what is going on.
LITTLE, ENOUGH = 30, 60_000
#: Lines that end in the middle of a fight, where little work sees little. Moves of our own.
SHARP = """\
# Sharp lines

{side: white}

1.e4 e5 2.Nf3 Nc6 3.Bc4 Nf6 {here: A} 4.Ng5 d5 5.exd5 Nxd5 6.Nxf7 Kxf7 7.Qf3+ Ke6 8.Nc3

{back: A} 4.Ng5 Bc5 5.Nxf7 Bxf2+ 6.Kxf2 Nxe4+

{back: A} 4.d4 exd4 5.e5 d5 6.Bb5 Ne4 7.Nxd4 Bc5
"""
CALLED = "Sample Engine 1"


def older(folder: Path) -> Path:  # noqa: F811
    """The real engine, under the name of an older one."""
    script = folder / "older"
    script.write_text(f"#!/bin/sh\nexec {ENGINE} | sed -u 's/^id name .*/id name {CALLED}/'\n")
    script.chmod(0o755)
    return script


@needs_engine
def test_verdicts_that_turn_with_another_engine_and_more_work(
    folder: Path,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (folder / "french.md").unlink()
    (folder / "sharp.md").write_text(SHARP)
    settings = folder / "settings.toml"
    settings.write_text(f"[engine]\nnodes = {LITTLE}\n")
    monkeypatch.setenv("LINEWRIGHT_ENGINE", str(older(folder)))
    assert run("news", "sharp.md", "--engine").exit_code == 0  # nothing to compare with yet
    with VerdictMemory.open(folder / VERDICTS_FILE) as memory:
        (first,) = memory._run("SELECT DISTINCT engine FROM verdicts", ())
    assert first == (CALLED,)
    assert run("news", "sharp.md", "--engine").exit_code == 0  # the same engine, the same work
    monkeypatch.setenv("LINEWRIGHT_ENGINE", str(ENGINE))
    settings.write_text(f"[engine]\nnodes = {ENOUGH}\n")
    (one,) = from_json("news", "sharp.md", "--engine", "--keep")["talks"]
    turned = {chess.Board(item["fen"]).epd(): item for item in one["items"] if item["sort"] == "verdict turned"}
    assert turned, "no line of these turns with this engine: name sharper ones"
    # Asked by itself, the engine says the same of each.
    boards = [chess.Board(item["fen"]) for item in turned.values()]
    with Engine.open(EngineSettings(ENGINE)) as new, Engine.open(EngineSettings(older(folder))) as old:
        now, then = new.verdicts(boards, ENOUGH, 2), old.verdicts(boards, LITTLE, 2)
    for before, after in zip(then, now, strict=True):
        assert isinstance(before, EngineVerdict) and isinstance(after, EngineVerdict)
        what = turned[after.fen]["what"]
        assert f"was {sign(before)} ({CALLED}, {LITTLE} nodes)" in what
        assert f"is {sign(after)} ({new.name}, {ENOUGH:,} nodes)" in what and sign(before) is not sign(after)
        assert before.best and after.best
        pawns = before.best.score.pawns, after.best.score.pawns
        assert None in pawns or abs(pawns[0] - pawns[1]) >= TURNED  # type: ignore[operator]
    told = run("news", "sharp.md", "--engine", "--digest")
    assert told.exit_code == 1 and "verdict turned: after" in told.stdout and "Say that" in told.stdout
    assert run("news", "sharp.md", "--engine").exit_code == 0  # told once
    assert (folder / "sharp.md").read_text() == SHARP


QUOTING = """\
# A quote

{side: white}

1.e4 e6 2.d4 d5 3.Nc3 Bb4 4.Qg4 Ne7 5.Qxg7 Rg8

Amber against Birch, Elmstead, 2019.
"""
QUOTED = "1. e4 e6 2. d4 d5 3. Nc3 Bb4 4. Qg4 Ne7 5. Qxg7 Rg8 6. Qh6 c5 7. a3"


def test_a_quoted_game_that_the_base_comes_to_know_better(folder: Path) -> None:  # noqa: F811
    """First not at all, then cut short and without its event, then whole."""
    (folder / "quote.md").write_text(QUOTING)
    assert run("news", "quote.md").exit_code == 0
    tags = {"Date": "2019.??.??", "Site": "?"}
    poor = pgn(QUOTED[:54], "1-0", White="Amber, A", Black="Birch, B", Event="?", **tags)
    (folder / "poor.pgn").write_text(poor)
    add_games(folder / "games.duckdb", [folder / "poor.pgn"])
    first = run("news", "quote.md")
    assert first.exit_code == 1 and "Birch, B" in first.stdout
    whole = pgn(QUOTED, "1-0", White="Amber, Ada", Black="Birch, Bo", Event="Elmstead open", **tags)
    (folder / "whole.pgn").write_text(whole)
    add_games(folder / "games.duckdb", [folder / "whole.pgn"])
    (one,) = from_json("news", "quote.md")["talks"]
    (item,) = [item for item in one["items"] if item["sort"] == "better source"]
    assert item["what"] == "the base has a fuller record of the game quoted: Amber, Ada – Birch, Bo, Elmstead open 2019"
    assert item["words"].startswith("Amber against Birch")


def test_a_file_in_the_folder_that_never_was_a_talk_raises_no_alarm(folder: Path) -> None:  # noqa: F811
    """One that was named, or could be read at the last check, does."""
    (folder / "README.md").write_text("# Talks of the club\n\nGood evening.\n")
    for _ in range(2):
        result = run("news", ".")
        assert result.exit_code == 0 and "README.md" in result.stderr
    assert run("news", "README.md").exit_code == 2
    (folder / "french.md").write_text("# Empty\n\nNothing left.\n")
    assert run("news", ".").exit_code == 2

"""The demo: Odile's talk is read as she meant it, and her four mistakes are found (demo/README.md)."""

from __future__ import annotations

from pathlib import Path

import pytest

from linewright.claims.check import check_walk
from linewright.demo import run_demo
from linewright.games.api import GamesBase, add_games
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Walk
from linewright.reading.reader import read_talk
from linewright.settle.answers_file import load_answers
from linewright.talk.load import load_talk

DEMO = Path(__file__).resolve().parents[1] / "src" / "linewright" / "demo"

ISOLATED = "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 dxc5 Bxc5 O-O Ne7 Nb3"
QUEEN = "e4 e6 d4 d5 Nd2 c5 exd5 Qxd5 Ngf3 cxd4 Bc4 Qd6 O-O"
CALM = f"{QUEEN} Nf6 Nb3 Nc6 Nbxd4 Nxd4 Nxd4 a6 Re1 Qc7 Bb3"
#: The lesson's lines, as Odile tells them one after the other, each from the start of the game.
LINES = [
    f"{ISOLATED} Bd6 Re1 O-O Bg5 Bg4 Bh4 Qc7 Bg3 Rad8 c3",
    f"{ISOLATED} Bb6 Re1 O-O Be3 Bxe3 Rxe3 Bg4 h3 Bh5 Qd2",
    f"{QUEEN} e5 Nxe5 Qxe5 Re1",
    f"{CALM} Bd6 Nf5 Bxh2+ Kh1 O-O",
    f"{CALM} Bd7 Qf3 Bd6 h3",
    "e4 e6 d4 d5 Nd2 Nf6 e5 Nfd7 Bd3 c5 c3 Nc6 Ne2 cxd4 cxd4 f6 exf6 Nxf6 O-O Bd6 Nf3",
]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Walk, tuple[Finding, ...]]:
    file = tmp_path_factory.mktemp("demo") / "games.duckdb"
    report = add_games(file, [DEMO / "games.pgn"])
    assert (report.duplicates, report.skipped_count) == (0, 0)
    base = GamesBase.open(file)
    walk = read_talk(load_talk(DEMO / "talk.md"), base)
    return walk, check_walk(walk, base)


def test_the_lines_are_read_as_told(told: tuple[Walk, tuple[Finding, ...]]) -> None:
    walk, _ = told
    leaves = [node.id for node in walk.nodes if not node.children]
    assert [" ".join(walk.nodes[i].san for i in walk.line(leaf)) for leaf in leaves] == LINES


def test_the_mistakes_are_found_and_nothing_else_is_called_wrong(
    told: tuple[Walk, tuple[Finding, ...]],
) -> None:
    _, findings = told
    wrong = [(f.kind, f.said.words.rstrip(".,!")) for f in findings if f.verdict is Verdict.FAILS]
    assert sorted(wrong) == [
        (Kind.FILES, "The c file is half open for White as well"),
        (Kind.FREQUENCY, "It nearly always goes to b6 here"),
        (Kind.STRUCTURE, "and his pawn on e6 is isolated"),
    ]
    assert [f.said.words.strip(".,!") for f in findings if f.kind is Kind.UNREAD] == ["15.Nxh7"]


def test_what_she_says_rightly_holds(told: tuple[Walk, tuple[Finding, ...]]) -> None:
    _, findings = told
    holding = {f.kind for f in findings if f.verdict is Verdict.HOLDS}
    assert {Kind.FREQUENCY, Kind.STRUCTURE, Kind.FILES} <= holding
    assert sum(f.verdict is Verdict.HOLDS for f in findings) >= 10


def test_what_is_settled_beside_the_talk_is_obeyed(tmp_path: Path) -> None:
    before = next(run_demo(tmp_path))
    talk = tmp_path / "talk.md"
    (tmp_path / "talk.md.answers").write_text("7:1 | - | bishop d6, and [h3] keeps everything |\n", "utf-8")
    settled = load_answers(talk, load_talk(talk))
    assert settled.answers and not settled.troubles
    assert next(run_demo(tmp_path)) != before

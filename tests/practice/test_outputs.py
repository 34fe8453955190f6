"""What leaves the house: cards as CSV, the printed sheet, and the commands."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import chess
import pikepdf
import pytest
from hypothesis import given, settings
from typer.testing import CliRunner

from linewright.cli.main import app
from linewright.lesson.walk import Walk
from linewright.practice.drills.drill import Accepted, Drill, Standing, Task
from linewright.practice.drills.drill_maker import make_drills
from linewright.practice.outputs.cards import COLUMNS, cards_csv, cards_of
from linewright.practice.outputs.sheet import sheet_data, sheet_pdf
from linewright.practice.schedule.log import entry_json
from linewright.publish.theme import Theme
from linewright.support.errors import UnusableInput
from tests.lesson.walks import walks
from tests.practice.talks import told
from tests.practice.test_store import answers

TALK = "1.e4 c5 2.Nf3 d6 3.d4 cxd4 4.Nxd4 Nf6 5.Nc3 a6. Back to 2...d6, or 3.Bb5+ Bd7 4.Bxd7+ Qxd7 5.O-O Nf6 6.Re1 Nc6."


def drills() -> tuple[Drill, ...]:
    return make_drills(told("We begin with e4. He plays c5, and now Nf3. After d6 comes d4 cxd4 Nxd4.")).drills


@given(walks(12))
@settings(deadline=None, max_examples=20)
def test_cards_come_back_from_csv(tmp_path_factory: pytest.TempPathFactory, walk: Walk) -> None:
    """Written and read back; read by Python's own csv too (RFC 4180)."""
    made = [d for d in make_drills(walk, side="both").drills if d.moves]
    text = cards_csv(made)
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [row["fen"] for row in rows] == [d.fen for d in made]
    path = tmp_path_factory.mktemp("cards") / "cards.csv"
    path.write_bytes(text.encode())
    back = list(cards_of(path))
    boards = [chess.Board(d.fen).is_valid() for d in made]
    for drill, card, valid in zip(made, back, boards, strict=True):
        if not valid:
            assert isinstance(card, str)
            continue
        assert isinstance(card, Drill)
        assert (card.id, card.moves and [m.uci for m in card.taught]) == (drill.id, [m.uci for m in drill.taught])


CARDS = [
    # rows after the heading fen,moves,also,words; what is said of those left out
    (f'"{chess.STARTING_FEN}",e4 d4,c4,"Take the centre."', 1, []),
    (f'"{chess.STARTING_FEN}",e5,,', 0, ['"e5"']),
    ('"nonsense",e4,,', 0, ["not a valid FEN"]),
    ('"8/8/8/8/8/8/8/8 w - - 0 1",e4,,', 0, ["impossible"]),
    (f'"{chess.STARTING_FEN}",,,', 0, ["without a move"]),
    (f'"nonsense",e4,,\n"{chess.STARTING_FEN}",Nf3,,', 1, ["not a valid FEN"]),
]


@pytest.mark.parametrize(("rows", "count", "said"), CARDS, ids=[str(i) for i in range(len(CARDS))])
def test_cards_of_other_programs(tmp_path: Path, rows: str, count: int, said: list[str]) -> None:
    path = tmp_path / "cards.csv"
    path.write_text(f"﻿fen,moves,also,words\n{rows}\n", encoding="utf-8")
    found = list(cards_of(path))
    assert sum(isinstance(card, Drill) for card in found) == count
    troubles = [card for card in found if isinstance(card, str)]
    assert len(troubles) == len(said)
    assert all(word in trouble for word, trouble in zip(said, troubles, strict=True))
    assert all(trouble.startswith(f"{path}:") for trouble in troubles)


def test_cards_without_the_columns_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "cards.csv"
    path.write_text("front,back\na,b\n")
    with pytest.raises(UnusableInput, match="no column fen or moves"):
        list(cards_of(path))
    assert COLUMNS[0] == "fen"


def test_a_spreadsheet_runs_nothing_of_a_card() -> None:
    """Cells that begin with a formula's sign are told to be text (OWASP, CSV injection; from memory)."""
    (first, *_) = [d for d in drills() if d.moves]
    text = cards_csv([replace(first, words="=HYPERLINK(1)", asked="+1", lesson="@x")])
    assert re.search(r"(^|,)\"?[=+@]", text, re.M) is None


def test_the_sheet_is_a_tagged_pdf_with_a_picture_for_each_drill() -> None:
    """ISO 32000 by pikepdf (qpdf): tagged, with a title; each picture with words in its place."""
    made = drills()
    data = sheet_data(made, "A quiet Sicilian")
    pdf = pikepdf.open(io.BytesIO(sheet_pdf(made, "A quiet Sicilian", Theme(trainer="Odile Brandt"))))
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.docinfo["/Title"]) == "A quiet Sicilian"
    assert len(pdf.pages) >= 2
    assert len(data["drills"]) == len(data["answers"]) == len([d for d in made if d.task is not Task.PLAY])
    assert all(f"FEN {drill.fen}" in row["alt"] for drill, row in zip(made, data["drills"], strict=False))
    assert sheet_pdf(made, "A quiet Sicilian") == sheet_pdf(made, "A quiet Sicilian")


def test_the_sheets_questions_do_not_tell_the_answers() -> None:
    for drill, row in zip(drills(), sheet_data(drills(), "x")["drills"], strict=False):
        for move in drill.taught:
            assert f" {move.san}" not in row["asked"]
        assert not drill.squares or not set(drill.squares) & set(re.findall("[a-h][1-8]", row["asked"]))


# The commands.


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "talk.md").write_text(f"# A quiet Sicilian\n\n{{side: white}}\n\n{TALK}\n", encoding="utf-8")
    return CliRunner()


def said(run: CliRunner, *words: str, code: int = 0, typed: str = "") -> str:
    result = run.invoke(app, words, input=typed or None)
    assert result.exit_code == code, result.output
    return result.output


def test_drills_are_listed_and_written(run: CliRunner, tmp_path: Path) -> None:
    listed = said(run, "drills", "talk.md")
    assert "What does White answer?  d4 or Bb5+" in listed
    data = json.loads(run.invoke(app, ["drills", "talk.md", "--json"]).stdout)
    assert {"answer"} <= {drill["task"] for drill in data["drills"]}
    said(run, "drills", "talk.md", "--page", "p.html", "--pdf", "s.pdf", "--csv", "c.csv", "--title", "Ours")
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF")
    assert "<title>Ours – Practice</title>" in (tmp_path / "p.html").read_text(encoding="utf-8")
    before = (tmp_path / "c.csv").read_bytes()
    assert "already exists" in said(run, "drills", "talk.md", "--csv", "c.csv", code=2)
    assert (tmp_path / "c.csv").read_bytes() == before
    assert "--side" in said(run, "drills", "talk.md", "--side", "left", code=2)


def test_a_class_from_its_making_to_its_erasing(run: CliRunner, tmp_path: Path) -> None:
    assert "which class" in said(run, "class", "report", code=2)
    said(run, "class", "new", "Juniors", "--minutes", "15")
    assert "drills" in said(run, "class", "teach", "talk.md")
    assert said(run, "class", "lessons").strip() == "A quiet Sicilian"
    links = said(run, "class", "invite", "Ana", "Tom", "--address", "http://10.0.0.7:8123/")
    assert re.fullmatch(r"(?:\w+\thttp://10\.0\.0\.7:8123/practice/#[\w-]{32}\n){2}", links)
    assert "already" in said(run, "class", "invite", "Ana", code=2)
    assert said(run, "class", "invite", "Ana", "--again") not in links
    progress = tmp_path / "progress.json"
    rows = [entry_json(entry) for entry in answers(7, rating=1, answer="a2a3")]
    for row in rows:
        row["drill"] = json.loads(run.invoke(app, ["drills", "talk.md", "--json"]).stdout)["drills"][0]["id"]
    progress.write_text(json.dumps({"linewright": "practice log", "version": 1, "entries": [*rows, {"id": "x"}]}))
    assert "7 new answers, 1 invalid line left out" in said(run, "class", "receive", "Ana", "progress.json")
    assert "0 new answers" in said(run, "class", "receive", "Ana", "progress.json")
    report = said(run, "class", "report")
    assert "Ana: 7 answers, 0% right" in report
    assert "Tom: nothing yet" in report
    assert "gave 1.a3 (7)" in report
    assert "not a progress file" in said(run, "class", "receive", "Ana", "talk.md", code=2)
    assert "7 answers" in said(run, "class", "backup", "all.class")
    assert len(json.loads(_exported(run, tmp_path))["entries"]) == 7
    said(run, "class", "revoke", "Tom")
    assert "Tom (no link)" in said(run, "class", "pupils")
    assert "fewer than" in said(run, "class", "set", "--fit", code=2)
    assert "20 minutes" in said(run, "class", "set", "--minutes", "20")
    said(run, "class", "erase", "Ana", typed="n\n")
    assert "Ana" in said(run, "class", "pupils")
    assert "erased, with 7 answers" in said(run, "class", "erase", "Ana", "--yes")
    assert "Ana" not in said(run, "class", "pupils")
    assert "rows added" in said(run, "class", "restore", "all.class", "--classes", f"sqlite:///{tmp_path / 'b.sqlite'}")
    assert "Ana: 7 answers" in said(run, "class", "report", "--classes", f"sqlite:///{tmp_path / 'b.sqlite'}")


def _exported(run: CliRunner, tmp_path: Path) -> str:
    said(run, "class", "export", "Ana", "ana.json")
    return (tmp_path / "ana.json").read_text(encoding="utf-8")


def test_cards_of_a_file_become_a_classs_drills(run: CliRunner, tmp_path: Path) -> None:
    (tmp_path / "own.csv").write_text(f'fen,moves\n"{chess.STARTING_FEN}",e4\n', encoding="utf-8")
    said(run, "class", "new", "Juniors")
    assert "own: 1 drills" in said(run, "class", "teach", "own.csv")


def test_every_command_shows_an_example(run: CliRunner) -> None:
    for command in ("new", "teach", "lessons", "invite", "revoke", "pupils", "report", "set", "receive", "backup",
                    "restore", "export", "erase"):  # fmt: skip
        assert "Example:" in said(run, "class", command, "--help"), command
    assert "Example:" in said(run, "drills", "--help")


def test_standings_are_told_apart_on_paper() -> None:
    (drill,) = [d for d in drills() if d.moves and d.taught[0].san == "e4"]
    both = replace(drill, moves=(*drill.moves, Accepted("d2d4", "d4", Standing.EQUAL, "")))
    (answer,) = sheet_data([both], "x")["answers"]
    assert answer["text"] == "1.e4; also good: 1.d4"

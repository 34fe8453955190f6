"""README and docs stay true: their commands run, their links lead somewhere, they leave no command out.

In a document, a block marked ``console`` holds commands that a reader types one after the other in a folder of their
own; ``# exit code N`` behind a command names its exit code, 0 unless named. The first ``markdown`` block is the talk
``lesson.md``; a later one replaces the paragraph that begins with the same words.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from linewright.cli.command_list import COMMANDS
from linewright.cli.main import app

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
DOCS = sorted((ROOT / "docs").glob("*.md"))
PAGES = [README, ROOT / "CONTRIBUTING.md", *DOCS]
GUIDE = ROOT / "docs" / "guide.md"

#: Bytes; what a newcomer reads in a few minutes.
README_MOST = 6_144
#: Bytes of a picture.
PICTURE_MOST = 200_000
#: These serve until they are stopped: of them only the words are checked, by their help.
SERVING = {"desk"}

BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"!?\[[^\]\n]*\]\(([^)\s]+)\)")


def read_blocks(page: Path) -> list[tuple[str, str]]:
    """The fenced blocks of a page in order: what they are marked with, what they hold."""
    return BLOCK.findall(page.read_text(encoding="utf-8"))


def commands(block: str) -> Iterator[tuple[list[str], str]]:
    """The words behind ``linewright`` of each command in a block, and the comment behind it."""
    for line in block.splitlines():
        command, _, comment = line.partition("#")
        if command.startswith("linewright "):
            yield shlex.split(command)[1:], comment


def change_talk(talk: Path, block: str) -> None:
    """Write the talk, or replace the paragraph that begins with the same four words."""
    if not talk.exists():
        talk.write_text(block, encoding="utf-8")
        return
    parts = talk.read_text(encoding="utf-8").split("\n\n")
    [at] = [n for n, part in enumerate(parts) if part.split()[:4] == block.split()[:4]]
    parts[at] = block.strip()
    talk.write_text("\n\n".join(parts), encoding="utf-8")


def assert_shown(shown: str, outputs: str) -> None:
    """What a page shows is printed so: it may be shortened (…) and folded, and how sure a move is may change."""
    shown, outputs = (re.sub(r"\d+ % sure", "N % sure", text) for text in (shown, outputs))
    outputs = " ".join(outputs.split())
    for line in re.sub(r"\n  ", " ", shown).splitlines():
        for part in line.split("…"):
            assert part.strip() in outputs, part


def run(words: list[str]) -> tuple[int, str]:
    if words[0] in SERVING:
        result = CliRunner().invoke(app, [words[0], "--help"])
        assert all(word in result.output for word in words if word.startswith("--")), words
    else:
        result = CliRunner().invoke(app, words, input="\n" * 20)
    assert result.exception is None or isinstance(result.exception, SystemExit), (words, result.exception)
    return result.exit_code, result.output


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A reader's folder, with an empty home and no engine unless one is named."""
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("LINEWRIGHT_CLASSES", f"sqlite:///{tmp_path / 'classes.db'}")
    work = tmp_path / "work"
    work.mkdir()
    monkeypatch.chdir(work)
    return work


def test_the_guides_commands_do_what_it_says(folder: Path) -> None:
    ran, printed = 0, ""
    for mark, block in read_blocks(GUIDE):
        if mark == "markdown":
            change_talk(folder / "lesson.md", block)
        if mark == "text":
            assert_shown(block, printed)
        for words, comment in commands(block) if mark == "console" else ():
            named = re.search(r"exit code (\d)", comment)
            code, output = run(words)
            assert code == (int(named[1]) if named else 0), (words, output)
            ran, printed = ran + 1, printed + output
    assert ran >= 10, "the guide has lost its commands"
    assert (folder / "lesson.md.answers").exists(), "the guide says that answers are saved beside the talk"
    made = {file.suffix for file in (folder / "lessons" / "lesson").iterdir()}
    assert {".html", ".pdf", ".pgn", ".epd", ".txt"} <= made
    assert (folder / "practice.html").exists()


def test_the_readmes_main_job(folder: Path) -> None:
    blocks = read_blocks(README)
    change_talk(folder / "lesson.md", next(block for mark, block in blocks if mark == "markdown"))
    [main_job] = [block for mark, block in blocks if mark == "console" and "linewright read" in block]
    shown = next(block for mark, block in blocks if mark == "text")
    codes = {}
    outputs = ""
    for words, _ in commands(main_job):
        # The engine has no say in the sample, and a machine may lack one.
        codes[words[0]], output = run([*words, "--no-engine"] if words[0] == "check" else words)
        outputs += output
    assert codes == {"read": 0, "check": 1, "build": 0, "drills": 0, "desk": 0}, "check finds the talk's one mistake"
    assert_shown(shown, outputs)


def test_guide_and_readme_tell_of_the_same_talk() -> None:
    talks = [next(block for mark, block in read_blocks(page) if mark == "markdown") for page in (README, GUIDE)]
    assert talks[0] == talks[1]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    text = BLOCK.sub("", page.read_text(encoding="utf-8"))
    links = [link.partition("#")[0] for link in LINK.findall(text) if "://" not in link and not link.startswith("#")]
    assert [link for link in links if not (page.parent / link).exists()] == []


def test_every_page_can_be_reached() -> None:
    reached, ahead = set[Path](), [README]
    while ahead:
        page = ahead.pop()
        if page in reached or page.suffix != ".md":
            continue
        reached.add(page)
        ahead += [(page.parent / link).resolve() for link in LINK.findall(page.read_text()) if "://" not in link]
    assert [page.name for page in DOCS if page not in reached] == []


def test_no_command_is_left_out() -> None:
    text = "\n".join(page.read_text(encoding="utf-8") for page in (README, *DOCS))
    assert [name for name in COMMANDS if not re.search(rf"`?linewright {name}\b", text)] == []


def test_the_readme_is_short() -> None:
    assert len(README.read_bytes()) <= README_MOST


def test_pictures_are_there_and_small() -> None:
    pictures = sorted((ROOT / "docs" / "pictures").glob("*.png"))
    assert {"page.png", "desk.png", "handout.png"} <= {picture.name for picture in pictures}
    for picture in pictures:
        assert picture.read_bytes().startswith(b"\x89PNG"), picture
        assert picture.stat().st_size <= PICTURE_MOST, picture

"""Help as users read it in a terminal of 80 columns, and what is answered to words that aren't commands."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner, Result

from linewright.cli.command_list import COMMANDS, FIRST_STEPS
from linewright.cli.main import app
from linewright.cli.terminal.help import Group
from linewright.cli.terminal.next_steps import next_steps

#: Columns of a terminal that nobody has widened (common practice; DEC's VT100 of 1978 had as many).
COLUMNS = 80


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("COLUMNS", str(COLUMNS))
    monkeypatch.chdir(tmp_path)


def run(*words: object) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words], prog_name="linewright")


def commands() -> Iterator[tuple[str, Any]]:
    """Every command with its path: ``base add``, ``check``, and the groups themselves."""

    def below(path: str, command: Any) -> Iterator[tuple[str, Any]]:
        yield path, command
        if isinstance(command, Group):
            ctx = typer.Context(command)
            for name in command.list_commands(ctx):
                yield from below(f"{path} {name}".strip(), command.get_command(ctx, name))

    yield from below("", typer.main.get_command(app))


EVERY = dict(commands())


def test_there_are_commands() -> None:
    assert len(EVERY) > 30 and set(COMMANDS) < set(EVERY)


@pytest.mark.parametrize("path", EVERY)
def test_help_has_an_example_and_fits(path: str) -> None:
    result = run(*path.split(), "--help")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= COLUMNS
    assert "<bool>" not in result.stdout and "..." not in result.stdout, "metavars are words; nothing is cut short"
    if path:
        at = lines.index("Example:")
        assert lines[at + 1].startswith(f"  linewright {path}")


@pytest.mark.parametrize("path", [path for path, command in EVERY.items() if not isinstance(command, Group)])
def test_examples_can_be_typed(path: str) -> None:
    """The example's words are taken by the command's own parser: no option that is gone, no argument missing."""
    command = EVERY[path]
    example = next(p for p in re.split(r"\n\s*\n", command.help) if "Example:" in p).partition("Example:")[2]
    words = re.findall(r'"[^"]*"|\S+', example)
    own = words[1 + len(path.split()) :]
    context = command.make_context(path, [word.strip('"') for word in own], resilient_parsing=False)
    assert context.params


@pytest.mark.parametrize("path", EVERY)
def test_every_option_says_what_it_takes_and_does(path: str) -> None:
    for one in EVERY[path].params:
        assert one.help or one.name == "help", f"{path}: {one.name} has no help"
        if one.param_type_name == "option" and not one.is_flag:
            assert one.metavar, f"{path}: {one.name} has no metavar"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("chek", "check"),
        ("biuld", "build"),
        ("drill", "drills"),
        ("pupil", "pupils"),
        ("base reply", "replies"),
        ("base quotes", "quote"),
        ("class reprot", "report"),
    ],
)
def test_did_you_mean(typed: str, meant: str) -> None:
    result = run(*typed.split())
    assert result.exit_code == 2 and not result.stdout
    assert f"“{typed.split()[-1]}”. Did you mean {meant}" in result.stderr


def test_what_is_like_no_command_gets_no_guess() -> None:
    assert "Did you mean" not in run("xyzzy").stderr
    assert "linewright --help" in run("xyzzy").stderr


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("check", "missing argument 'TALK'"),
        ("check talk.md --enigne x", "no such option: --enigne"),
        ("build talk.md --level 7", "--level"),
        ("base replies --pace slow", "--pace"),
    ],
)
def test_words_that_are_not_taken_get_an_example(typed: str, says: str) -> None:
    result = run(*typed.split())
    assert result.exit_code == 2
    first, second = result.stderr.splitlines()
    assert first.startswith("linewright ") and says in first
    assert second.startswith("Example: linewright ")


def test_the_top_help_begins_with_first_steps() -> None:
    out = run("--help").stdout
    at = [out.index(line) for line, _ in FIRST_STEPS]
    assert len(at) == 3 and at == sorted(at) and max(at) < out.index("  hear ")
    for name, entry in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(entry.line)}$", out, re.M)


def test_alone_it_says_what_to_do_next(tmp_path: Path) -> None:
    result = run()
    assert result.exit_code == 0 and "linewright demo" in result.stdout and "base add" in result.stdout
    (tmp_path / "README.md").write_text("not a talk")
    (tmp_path / "my talk.md").write_text("1.e4")
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "games.duckdb").write_bytes(b"")
    steps = "\n".join(next_steps())
    assert 'linewright check "my talk.md"' in steps and "demo" not in steps and "base add" not in steps


def test_a_group_alone_shows_its_help() -> None:
    for name in ("base", "class", "pupils"):
        result = run(name)
        assert result.exit_code == 0 and result.stdout == run(name, "--help").stdout


def test_it_runs_as_a_module() -> None:
    done = subprocess.run([sys.executable, "-m", "linewright", "--version"], capture_output=True, text=True, check=True)
    assert re.fullmatch(r"linewright \d+\.\d+\.\d+\n", done.stdout)

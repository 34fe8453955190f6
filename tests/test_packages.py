"""What the project says it needs: each package that is imported is declared, locked, and asked for by its extra."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any

import pytest
from fsspec.registry import _registry as known_storage
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from typer.testing import CliRunner

from linewright.cli.main import app
from linewright.support import extras
from linewright.support.errors import UnusableInput
from linewright.support.extras import WORK, extra
from tests.hear.doubles import write_wav

ROOT = Path(__file__).resolve().parents[1]
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

#: Distributions that are imported by another name.
NAMED = {"ocn": "ocn-chess", "PIL": "pillow"}
#: Modules that can't be imported without an extra; all others ask for it inside a function.
OF_AN_EXTRA = {"publish/film/encoding.py": "film"}
#: Folders and modules whose functions ask for packages of an extra.
ASK_FOR = {
    "desk/processes/recogniser_process.py": "hear",
    "games/parquet/arrow.py": "cluster",
    "games/parquet/cluster.py": "cluster",
    "hear/": "hear",
    "practice/classes/database.py": "club",
    "practice/schedule/fit.py": "fit",
    "publish/film/encoding.py": "film",
    "publish/outputs.py": "film",
    "workflow/build_lesson.py": "film",
    "workflow/time_by_run.py": "film",
}
#: Our own modules, also those in the bench's folders that are run as scripts.
OWN = {
    "bench",
    "linewright",
    "tests",
    *(path.stem for path in (ROOT / "bench").rglob("*") if path.is_dir() or path.suffix == ".py"),
}
#: Functions whose first argument is the name of a module to import.
IMPORTERS = ("extra", "import_module", "importorskip", "find_spec")


def needs(name: str) -> set[str]:
    """The distributions of the core (no name) or of an extra, with those of the extras that it names."""
    listed = PROJECT["optional-dependencies"][name] if name else PROJECT["dependencies"]
    found = set()
    for requirement in map(Requirement, listed):
        if requirement.name == PROJECT["name"]:
            found |= set().union(*map(needs, requirement.extras))
        else:
            found.add(canonicalize_name(requirement.name))
    return found


def imported(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Line and top-level name of each package from elsewhere that is imported, also through its name as text."""
    for node in ast.walk(tree):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names = [node.module or ""]
        elif isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if called in IMPORTERS:
                names = [str(node.args[0].value)]
        for name in (name.partition(".")[0] for name in names):
            if name and name not in sys.stdlib_module_names and name not in OWN:
                yield node.lineno, name


def undeclared(text: str, allowed: set[str]) -> list[str]:
    """``line: name`` of each import that none of the allowed distributions brings."""
    found = sorted(set(imported(ast.parse(text))))
    return [f"{line}: {name}" for line, name in found if canonicalize_name(NAMED.get(name, name)) not in allowed]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("import json, chess", []),
        ("def f():\n    from nowhere.at import all", ["2: nowhere"]),
        ("av = extra('av.video', 'film')\npytest.importorskip('nowhere')", ["1: av", "2: nowhere"]),
        ("from .own import thing\nfrom linewright.support.paths import home", []),
        ("from PIL import Image", ["1: PIL"]),
    ],
)
def test_an_undeclared_import_is_seen(text: str, found: list[str]) -> None:
    assert undeclared(text, needs("")) == found


def test_what_the_package_imports_is_declared() -> None:
    package = ROOT / "src" / "linewright"
    wrong = []
    for path in sorted(package.rglob("*.py")):
        name = path.relative_to(package).as_posix()
        allowed = needs("").union(*(needs(own) for part, own in ASK_FOR.items() if name.startswith(part)))
        wrong += [f"{name}:{where}" for where in undeclared(path.read_text(encoding="utf-8"), allowed)]
    assert not wrong, "imported, but not declared in pyproject.toml, or not by an extra that the module may ask for"


def test_the_core_is_imported_without_the_extras() -> None:
    """At the top of a module, that is: extras are asked for where they are used."""
    package = ROOT / "src" / "linewright"
    wrong = []
    for path in sorted(package.rglob("*.py")):
        name, tree = path.relative_to(package).as_posix(), ast.parse(path.read_text(encoding="utf-8"))
        allowed = needs("") | (needs(OF_AN_EXTRA[name]) if name in OF_AN_EXTRA else set())
        top = ast.Module([node for node in tree.body if not isinstance(node, ast.FunctionDef | ast.ClassDef)], [])
        wrong += [f"{name}:{where}" for where in undeclared(ast.unparse(top), allowed)]
    assert not wrong


def test_what_the_tests_import_is_declared() -> None:
    allowed = needs("") | needs("dev") | needs("hear")
    tests = sorted((ROOT / "tests").rglob("*.py"))
    wrong = [
        f"{path.name}:{where}" for path in tests for where in undeclared(path.read_text(encoding="utf-8"), allowed)
    ]
    assert not wrong, "imported, but not declared in pyproject.toml"


def locked(name: str) -> dict[str, str]:
    """Distributions and versions that a lock file names for this machine, with those of the files it includes."""
    pins: dict[str, str] = {}
    text = (ROOT / "locks" / f"{name}.txt").read_text(encoding="utf-8")
    for line in text.splitlines():
        if line.startswith("-r "):
            pins |= locked(line[3:].removesuffix(".txt"))
        elif line[:1].isalnum():
            pin = Requirement(line.removesuffix("\\"))
            if pin.marker is None or pin.marker.evaluate({**default_environment(), "extra": ""}):
                pins[canonicalize_name(pin.name)] = str(pin.specifier).removeprefix("==")
    return pins


@pytest.mark.parametrize(
    ("name", "extra_names"), [("core", ["", ""]), ("dev", ["", "dev"]), ("hear", ["", "dev", "hear"])]
)
def test_the_lock_holds_what_is_declared(name: str, extra_names: list[str]) -> None:
    pins = locked(name)
    optional = PROJECT["optional-dependencies"]
    for requirement in map(Requirement, chain(PROJECT["dependencies"], *(optional[n] for n in extra_names if n))):
        if requirement.name == PROJECT["name"]:
            continue
        version = pins.get(canonicalize_name(requirement.name), "")
        assert version, f"{requirement.name} is not in locks/{name}.txt: make lock"
        assert requirement.specifier.contains(version), f"{requirement} is locked as {version}: make lock"
    assert needs("").union(*(needs(n) for n in extra_names if n)) <= pins.keys()


@pytest.mark.parametrize("path", sorted((ROOT / "locks").glob("*.txt")), ids=lambda path: path.stem)
def test_every_pin_has_hashes_and_no_place(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    entries = re.split(r"\n(?=[A-Za-z0-9])", text)[1:]
    assert entries and all("==" in entry and "--hash=sha256:" in entry for entry in entries)
    assert "://" not in text and "index" not in text


# What is asked for when an extra is missing.


def test_every_extra_says_what_it_is_for() -> None:
    assert WORK.keys() == PROJECT["optional-dependencies"].keys() - {"dev"}


def hide(monkeypatch: pytest.MonkeyPatch, module: str) -> None:
    """Let Python find no such module."""
    hidden: Any = None
    monkeypatch.setitem(sys.modules, module, hidden)


@pytest.mark.parametrize("name", sorted(WORK))
def test_a_missing_extra_is_named_with_how_to_get_it(name: str) -> None:
    missing = "no_such_package"
    with pytest.raises(UnusableInput) as caught:
        extra(f"{missing}.part", name)
    assert str(caught.value) == (
        f"{WORK[name]} needs no-such-package, which is not installed. Install it with: pip install 'linewright[{name}]'"
    )


def test_an_extra_that_does_not_load_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    broken = "brokenpackage"
    (tmp_path / f"{broken}.py").write_text("from os import no_such_thing\n")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(UnusableInput, match=r"brokenpackage, which does not load \(cannot import name"):
        extra(broken, "film")


TALK = "# A talk\n\nSo, e4, e5, knight f3, knight c6, bishop b5.\n"


@pytest.mark.parametrize(
    ("module", "words", "name"),
    [
        ("av", "build talk.md --film -o out", "film"),
        ("av", "build talk.md --only film -o out", "film"),
        ("av", "hear talk.wav --model base", "hear"),
        ("distributed", "base add --on local --base parts games.pgn", "cluster"),
        ("s3fs", "base add --on local --base s3://bucket/parts games.pgn", "cluster"),
        ("psycopg", "class pupils --classes postgresql://tester@nowhere/none", "club"),
    ],
)
def test_a_command_names_the_extra_it_needs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: str, words: str, name: str
) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    Path("talk.md").write_text(TALK)
    Path("games.pgn").write_text('[Event "Club evening"]\n[Result "*"]\n\n1. e4 e5 *\n')
    write_wav(tmp_path / "talk.wav", 1)
    hide(monkeypatch, module)
    monkeypatch.delitem(known_storage, "s3", raising=False)
    result = CliRunner().invoke(app, words.split())
    assert result.exit_code == 2, result.output
    assert len(result.stderr.splitlines()) == 1
    assert extras.how_to_install(name) in result.stderr
    assert not Path("out").exists()

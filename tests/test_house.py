"""The house's own rules: layers, sizes, packaging, and nothing taken from elsewhere."""

from __future__ import annotations

import ast
import hashlib
import re
import subprocess
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from linewright.games import api

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "linewright"

#: From the ground up; a module may import from its own folder and from those before it.
LAYERS = (
    ("support",),
    ("language",),
    ("talk",),
    ("board",),
    ("lesson",),
    ("games",),
    ("hear",),
    ("engine",),
    ("reading",),
    ("claims",),
    ("settle",),
    ("plan",),
    ("web",),
    ("captions",),
    ("publish",),
    ("practice",),
    ("stage",),
    ("workflow",),
    ("desk",),
    ("demo",),
    ("cli",),
    ("__main__",),
)
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}

#: Lines: what fits in one sitting of reading.
LONGEST_MODULE = 400
#: Lines of a function: what fits on a screen. The linter looks at its complexity (pyproject.toml).
LONGEST_FUNCTION = 60
#: Functions that are longer, each with its reason.
LONG_FUNCTIONS = {
    "check_command": "its options are its parameters, as typer wants them; its body is short",
}
#: Characters of a pattern in Python; longer ones are words, and stand in the language's folder.
LONGEST_PATTERN = 200
#: Files beside each other in a folder, ``__init__`` not counted.
MOST_FILES = 15

MODULES = sorted(PACKAGE.rglob("*.py"))


def dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path) -> Iterator[tuple[int, str]]:
    """Line and dotted name of each thing of our own that a module imports, also inside functions."""
    package = dotted(path) if path.name == "__init__.py" else dotted(path).rpartition(".")[0]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            up = package.split(".")[: len(package.split(".")) - node.level + 1] if node.level else []
            source = ".".join([*up, *([node.module] if node.module else [])])
            names = [f"{source}.{alias.name}" for alias in node.names]
        else:
            continue
        yield from ((node.lineno, name) for name in names if name.split(".")[0] == "linewright")


def absolute_imports(path: Path) -> Iterator[tuple[int, str]]:
    """As :func:`imports`, for a file outside of the package."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)


def layer(name: str) -> str:
    """The layer of a dotted name: the folder in the package."""
    parts = name.split(".")
    return "" if len(parts) < 2 else parts[1]


def test_there_is_something_to_check() -> None:
    assert len(MODULES) > 10
    assert any(list(imports(path)) for path in MODULES)


def test_every_module_has_a_layer() -> None:
    strange = sorted({layer(dotted(path)) for path in MODULES} - RANK.keys() - {""})
    assert not strange, f"give {strange} a place in LAYERS, and in CONTRIBUTING.md"


def test_contributing_and_the_folders_agree_with_the_layers() -> None:
    """CONTRIBUTING.md's table names the folders in the order of LAYERS, and no folder stands outside of it."""
    text = (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8")
    told = re.findall(r"^\| `(\w+)/` \|", text, re.M)
    layers = [name for names in LAYERS for name in names if name != "__main__"]
    assert told == layers
    assert {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"} == set(layers)


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_imports_run_one_way(path: Path) -> None:
    own = layer(dotted(path))
    for line, name in imports(path):
        other = layer(name)
        if own and other in RANK and other != own:
            assert RANK[other] < RANK[own], (
                f"{path.relative_to(ROOT)}:{line}: {own} may not import {name}; "
                f"imports run down the list: {' < '.join('/'.join(names) for names in LAYERS)}"
            )


#: The door of a folder that has one: all that others import from it.
DOORS = {"games": "linewright.games.api"}


@pytest.mark.parametrize("folder", DOORS)
def test_a_folder_with_a_door_is_entered_by_it(folder: str) -> None:
    inside = f"linewright.{folder}."
    others = [
        path
        for path in (*MODULES, *(ROOT / "tests").rglob("*.py"))
        if not path.is_relative_to(PACKAGE / folder) and not path.is_relative_to(ROOT / "tests" / folder)
    ]
    for path in others:
        for line, name in imports(path) if path.is_relative_to(PACKAGE) else absolute_imports(path):
            if name.startswith(inside):
                assert f"{name}.".startswith(f"{DOORS[folder]}."), (
                    f"{path.relative_to(ROOT)}:{line}: import {name.rpartition('.')[2]} from {DOORS[folder]}"
                )


def test_the_door_to_the_games_names_each_thing_twice_alike() -> None:
    """What type checkers read there is what is loaded: each name from the same module."""
    path = PACKAGE / "games" / "api.py"
    read = {
        alias.name: node.module
        for block in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(block, ast.If)
        for node in block.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert len(read) > 40
    assert read == api._HOMES
    for name in read:
        assert getattr(api, name) is not None


def test_no_module_imports_itself_through_others() -> None:
    known = {dotted(path) for path in MODULES}

    def module(name: str) -> str:
        return name if name in known else name.rpartition(".")[0]

    graph = {dotted(path): {module(name) for _, name in imports(path)} - {"linewright"} for path in MODULES}
    for name, needs in graph.items():
        needs.discard(name)
    TopologicalSorter(graph).prepare()  # raises CycleError, naming the cycle


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_modules_stay_readable(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines <= LONGEST_MODULE, f"{path.relative_to(ROOT)} has {lines} lines: split it by what it holds"


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_functions_fit_on_a_screen(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.name not in LONG_FUNCTIONS:
            lines = (node.end_lineno or 0) - node.lineno + 1
            assert lines <= LONGEST_FUNCTION, f"{path.relative_to(ROOT)}:{node.lineno}: {node.name} has {lines} lines"


@pytest.mark.parametrize("path", [p for p in MODULES if layer(dotted(p)) in ("claims", "reading")], ids=dotted)
def test_patterns_are_short_where_words_are_read(path: Path) -> None:
    """In claims and reading, wordings stand in ``language/``, not in regular expressions."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant | ast.JoinedStr) and _is_pattern(node):
            text = ast.unparse(node)
            assert len(text) <= LONGEST_PATTERN, f"{path.relative_to(ROOT)}:{node.lineno}: {text[:60]} …"


def _is_pattern(node: ast.Constant | ast.JoinedStr) -> bool:
    text = ast.unparse(node)
    return "(?" in text or "\\b" in text


def test_folders_can_be_taken_in_at_a_glance() -> None:
    counts: dict[Path, int] = {}
    for path in MODULES:
        counts[path.parent] = counts.get(path.parent, 0) + (path.name != "__init__.py")
    crowded = {str(folder.relative_to(ROOT)): count for folder, count in counts.items() if count > MOST_FILES}
    assert not crowded


@pytest.mark.parametrize("path", [p for p in MODULES if p.name == "__init__.py"], ids=dotted)
def test_each_folder_says_what_it_is_for(path: Path) -> None:
    assert path.parent == PACKAGE or ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


# Originality. Nothing here names or copies another chess program (CONTRIBUTING.md). So as not to name them
# here either, what must not appear is kept as salted digests of lower-case words, spaces and signs left out.

SALT = "linewright: say it in our own words"
BANNED = frozenset((ROOT / "tests" / "originality.txt").read_text(encoding="utf-8").splitlines()[1:])
#: What may stand beside a word to be one name with it.
LONGEST_NAME = 3
SKIP = {"LICENSE", "locks", "games.pgn"}


def digest(word: str) -> str:
    return hashlib.sha256((SALT + word).encode()).hexdigest()[:16]


@cache
def files() -> tuple[Path, ...]:
    """The project's text files: what git tracks, or everything that matters where there is no git."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True
        ).stdout.split("\0")
        paths = [ROOT / name for name in listed if name]
    except (OSError, subprocess.CalledProcessError):
        paths = [p for folder in ("src", "tests", "demo", "bench") for p in (ROOT / folder).rglob("*")]
        paths += ROOT.glob("*.*")
    texts = (p for p in paths if p.is_file() and p.name not in SKIP and p.parent.name not in SKIP)
    return tuple(p for p in texts if b"\0" not in p.read_bytes()[:4096])


def suspects(text: str) -> Iterator[str]:
    """Each word, and each run of up to three words written as one, lower case; colours as they stand."""
    words = re.findall(r"[a-z0-9]+", text.lower())
    for length in range(1, LONGEST_NAME + 1):
        yield from {"".join(words[i : i + length]) for i in range(len(words) - length + 1)}


def test_the_guard_sees_words_runs_of_words_and_colours() -> None:
    seen = set(suspects("Some-Chess Program, #A1B2C3"))
    assert {"somechess", "somechessprogram", "program", "a1b2c3"} <= seen
    assert len(BANNED) > 20
    assert all(re.fullmatch("[0-9a-f]{16}", word) for word in BANNED)


def test_nothing_names_or_copies_another_chess_program() -> None:
    assert len(files()) > 20
    known: dict[str, bool] = {}
    for path in files():
        for word in suspects(path.read_text(encoding="utf-8", errors="replace")):
            if word not in known:
                known[word] = digest(word) in BANNED
            assert not known[word], f"{path.relative_to(ROOT)}: {word!r} belongs to another program; say it otherwise"


def test_the_demo_lies_inside_the_package() -> None:
    talk = (PACKAGE / "demo" / "talk.md").read_text(encoding="utf-8")
    games = (PACKAGE / "demo" / "games.pgn").read_text(encoding="utf-8")
    assert talk.startswith("# ")
    # Every game says that no one played it.
    assert games.count("[Event ") == games.count("[Annotator \"Made with an engine for Linewright's demo")
    assert games.count("[Event ") > 200

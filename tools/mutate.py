"""Whether the tests notice when a threshold moves: each is changed, one at a time, and its folder's tests are run.

    python tools/mutate.py board practice/drills          every threshold of these folders of src/linewright
    python tools/mutate.py --sample 12 --seed 7           twelve of them all, drawn by seed
    python tools/mutate.py board --list                   only say what would be changed
    python tools/mutate.py captions --tests tests/publish/test_captions.py

A threshold is a number with a name in capitals at the top of a module, alone or in a tuple. It becomes twice itself
plus one, then 0 (1 where it is 0). Works in a copy of ``src``: nothing of the tree is touched. Prints a line for each
change that no test noticed, and exits with 1 where there are any.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "linewright"
#: Seconds after which a run of tests counts as failed: a changed limit may make something wait for ever.
PATIENCE = 600


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number with a name: where it stands in its file (line from 1, columns from 0, in UTF-8 bytes)."""

    path: Path
    name: str
    value: int | float
    line: int
    start: int
    end: int

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.name} = {self.value}"

    def changes(self) -> tuple[int | float, ...]:
        """What it becomes."""
        return (self.value * 2 + 1, 0) if self.value else (1,)


def thresholds(path: Path) -> Iterator[Threshold]:
    """The thresholds of a module; its path is given from the package's folder."""
    for node in ast.parse((PACKAGE / path).read_text("utf-8")).body:
        if isinstance(node, ast.AnnAssign) and node.value is not None:
            yield from _named(path, node.target, node.value)
        elif isinstance(node, ast.Assign) and len(node.targets) == 1:
            yield from _named(path, node.targets[0], node.value)


def _named(path: Path, target: ast.expr, value: ast.expr) -> Iterator[Threshold]:
    if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        for one, other in zip(target.elts, value.elts, strict=False):
            yield from _named(path, one, other)
    elif isinstance(target, ast.Name) and target.id.isupper() and value.end_col_offset is not None:
        number = ast.literal_eval(value) if isinstance(value, ast.Constant | ast.UnaryOp) else None
        if isinstance(number, int | float) and not isinstance(number, bool):
            yield Threshold(path, target.id, number, value.lineno, value.col_offset, value.end_col_offset)


def notices(threshold: Threshold, value: int | float, tests: Sequence[str]) -> bool:
    """Whether one of the tests fails once the threshold has another value."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "src"
        shutil.copytree(PACKAGE, source / "linewright", ignore=shutil.ignore_patterns("__pycache__"))
        changed = source / "linewright" / threshold.path
        lines = changed.read_bytes().splitlines(keepends=True)
        line = lines[threshold.line - 1]
        lines[threshold.line - 1] = line[: threshold.start] + repr(value).encode() + line[threshold.end :]
        changed.write_bytes(b"".join(lines))
        environment = os.environ | {"PYTHONPATH": str(source), "PYTHONDONTWRITEBYTECODE": "1"}
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
        try:
            done = subprocess.run([*command, *tests], cwd=ROOT, env=environment, capture_output=True, timeout=PATIENCE)
        except subprocess.TimeoutExpired:
            return True
        # 1: a test failed; 2: one could not even be collected, since an import failed.
        return done.returncode in (1, 2)


def tests_of(threshold: Threshold) -> list[str]:
    """The test files of a module's folder, those that name the module or the threshold first."""
    files = sorted((ROOT / "tests" / threshold.path.parts[0]).rglob("test_*.py"))
    texts = {file: file.read_text("utf-8") for file in files}
    module = ".".join(threshold.path.with_suffix("").parts)
    near = [file for file in files if module in texts[file] or threshold.name in texts[file]]
    return [str(file) for file in (*near, *(file for file in files if file not in near))]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="*", help="parts of the package, as in board or practice/drills/cards.py")
    parser.add_argument("--sample", type=int, default=0, metavar="N", help="change only N of them")
    parser.add_argument("--seed", type=int, default=0, metavar="S", help="which N (0)")
    parser.add_argument("--tests", nargs="+", metavar="FILE", help="run these instead of the folder's own tests")
    parser.add_argument("--list", action="store_true", help="change nothing")
    args = parser.parse_args(arguments)
    paths = sorted(path.relative_to(PACKAGE) for path in PACKAGE.rglob("*.py"))
    chosen = [p for p in paths if not args.folders or any(str(p).startswith(folder) for folder in args.folders)]
    found = [
        threshold for path in chosen if (ROOT / "tests" / path.parts[0]).is_dir() for threshold in thresholds(path)
    ]
    if args.sample:
        found = sorted(random.Random(args.seed).sample(found, min(args.sample, len(found))), key=str)
    if args.list:
        print(*found, sep="\n")
        return 0
    missed = 0
    for number, threshold in enumerate(found, 1):
        for value in threshold.changes():
            if not notices(threshold, value, args.tests or tests_of(threshold)):
                missed += 1
                print(f"unnoticed: {threshold} -> {value}", flush=True)
        print(f"{number} of {len(found)}", file=sys.stderr, flush=True)
    print(f"{missed} changes of {len(found)} thresholds went unnoticed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())

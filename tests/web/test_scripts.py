"""All pages' scripts and styles at once: TypeScript's compiler over their comments, a linter, and shared types.

Both tools are installed from ``tools/web/package-lock.json`` by ``make web``; nothing of them
is needed to run Linewright.
"""

from __future__ import annotations

import runpy
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "src" / "linewright" / "web"
#: Where npm lays the tools.
TOOLS = ROOT / "tools" / "web" / "node_modules" / ".bin"

SCRIPT_TYPES = runpy.run_path(str(ROOT / "tools" / "script_types.py"))


def tool(name: str) -> str:
    """The path of a tool, or the test is skipped."""
    if not (TOOLS / name).exists() or not shutil.which("node"):
        pytest.skip(f"needs {name} (make web)")
    return str(TOOLS / name)


def run(*words: str) -> tuple[str, int]:
    done = subprocess.run(words, cwd=WEB, capture_output=True, text=True, timeout=180, check=False)
    return done.stdout + done.stderr, done.returncode


def test_types_agree() -> None:
    assert run(tool("tsc"), "-p", "jsconfig.json", "--pretty", "false") == ("", 0)


def test_a_wrong_type_would_be_seen(tmp_path: Path) -> None:
    compiler = tool("tsc")
    shutil.copytree(WEB, tmp_path / "web")
    script = tmp_path / "web" / "practice" / "round.js"
    script.write_text(script.read_text(encoding="utf-8").replace("drill.id, at", "drill.name, at"), encoding="utf-8")
    said, status = run(compiler, "-p", str(tmp_path / "web" / "jsconfig.json"), "--pretty", "false")
    assert status != 0
    assert "'name' does not exist on type 'Drill'" in said


def test_the_linter_has_nothing_to_say() -> None:
    said, status = run(tool("biome"), "lint", "--error-on-warnings", "--colors=off", ".")
    assert status == 0, said


@pytest.mark.parametrize("name", SCRIPT_TYPES["FILES"])
def test_types_shared_with_python_are_up_to_date(name: str) -> None:
    written = (WEB / name).read_text(encoding="utf-8")
    assert written == SCRIPT_TYPES["declarations"](name), "run: python tools/script_types.py"

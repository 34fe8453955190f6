"""``linewright desk`` as a user starts it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import httpx
from typer.testing import CliRunner

from linewright.cli.main import app
from tests.support import stoppable


def test_it_opens_tells_its_address_and_closes_by_ctrl_c(tmp_path: Path) -> None:
    (tmp_path / "talk.md").write_text("# A talk\n\nWe start with e4.\n", encoding="utf-8")
    command = [
        sys.executable,
        "-c",
        "from linewright.cli.main import main; main()",
        "desk",
        str(tmp_path),
        "--no-browser",
    ]
    environment = os.environ | {"LINEWRIGHT_HOME": str(tmp_path / "home"), "PYTHONUNBUFFERED": "1"}
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True, "preexec_fn": stoppable}
    with subprocess.Popen(command, env=environment, **pipes) as process:  # type: ignore[call-overload]
        found = re.search(r"http://127\.0\.0\.1:\d+/\?token=\S+", process.stdout.readline())
        assert found is not None
        with httpx.Client(follow_redirects=True, timeout=30) as client:
            assert "talk.md" in client.get(found[0]).text
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=20)
    assert process.returncode == 0, errors
    assert errors == ""


def test_a_folder_that_is_none_is_told(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["desk", str(tmp_path / "nowhere"), "--no-browser"])
    assert result.exit_code == 2
    assert "no such folder" in result.output


def test_an_address_that_can_not_be_had_is_told(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["desk", str(tmp_path), "--no-browser", "--host", "203.0.113.7"])
    assert result.exit_code == 2
    assert "203.0.113.7" in result.output

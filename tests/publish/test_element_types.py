"""The board element's types, by TypeScript's compiler over the comments: plain JavaScript stays plain."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from linewright.publish.html.board_element import ELEMENT

TSC = shutil.which("tsc")


@pytest.mark.skipif(TSC is None, reason="needs tsc on PATH (apt install node-typescript, or npm install typescript)")
def test_types_agree() -> None:
    options = "--noEmit --allowJs --checkJs --target es2022 --module es2022 --moduleResolution node"
    assert TSC is not None
    done = subprocess.run(
        [TSC, *options.split(), "--lib", "es2022,dom,dom.iterable", str(ELEMENT / "index.js")],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.stdout == ""
    assert done.returncode == 0

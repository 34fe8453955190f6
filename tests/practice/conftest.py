"""A browser for the page's tests, skipped by name where there is none."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright (pip install playwright)")
    if CHROMIUM is None:
        pytest.skip("needs chromium on PATH")
    with sync_api.sync_playwright() as playwright:
        found = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        yield found
        found.close()

"""Chromium through Playwright for the tests that look at pages; they are skipped by name where either is absent."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Final

import pytest

CHROMIUM: Final = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome") or ""
needs_chromium = pytest.mark.skipif(not CHROMIUM, reason="needs chromium on PATH")

#: Seconds after which what is waited for won't come any more: on a machine that is busy with other things, a page may
#: take twenty times as long as on an idle one.
PATIENCE: Final = 300.0
#: Milliseconds between two looks at a page.
PAUSE: Final = 25


@contextmanager
def launched(*arguments: str, env: Mapping[str, str] | None = None) -> Iterator[Any]:
    """A browser, with these arguments and this environment beside the usual ones.

    For a module only: while one is driven, nothing else can run an event loop in the main thread.
    """
    sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright (pip install playwright)")
    if not CHROMIUM:
        pytest.skip("needs chromium on PATH")
    usual = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-dev-shm-usage"]
    with sync_api.sync_playwright() as playwright:
        found = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=[*usual, *arguments],
            env={**os.environ, **(env or {})},
            timeout=PATIENCE * 1000,
        )
        yield found
        found.close()


def be_patient(page: Any) -> None:
    """Let a page's own waiting take as long as a busy machine needs."""
    page.set_default_timeout(PATIENCE * 1000)


def until(page: Any, true: Callable[[], Any], what: str = "it never came true") -> Any:
    """Wait until something holds that is asked from outside: the pages' policies let no script be evaluated in them
    again and again.

    :returns: what ``true`` came to.
    """
    end = time.monotonic() + PATIENCE
    while not (found := true()):
        assert time.monotonic() < end, what
        page.wait_for_timeout(PAUSE)
    return found


def says(page: Any, selector: str, words: str) -> None:
    """Wait until an element's text holds these words."""
    until(page, lambda: words in page.inner_text(selector), f"{selector} does not say {words!r}")


def at_rest(page: Any) -> None:
    """Wait until fonts are loaded, nothing glides, and what was asked to be drawn is drawn."""
    moving = """() => {
        const boards = [...document.querySelectorAll("lw-board")].map((board) => board.shadowRoot);
        const all = [document, ...boards.filter(Boolean)].flatMap((root) => root.getAnimations());
        return document.fonts.status === "loaded" && all.every((one) => one.playState !== "running");
    }"""
    until(page, lambda: page.evaluate(moving), "something moves without end")
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done())))")

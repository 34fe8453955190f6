"""The plan's pages in Chromium: skipped by name where browser or Playwright is missing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browsing import launched, needs_chromium
from tests.plan.test_commands import folder, made, run  # noqa: F401

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
pytestmark = needs_chromium

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as found:
        yield found


@pytest.fixture
def pages(folder: Path) -> tuple[Path, ...]:  # noqa: F811
    run("plan", "french.md", "--page", "cover.html")
    run("plan", "--from", "e4 e6", "--as", "white", "--page", "plan.html")
    return folder / "cover.html", folder / "plan.html"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1300])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    browser: Any, pages: tuple[Path, ...], width: int, scheme: Any
) -> None:
    """WCAG 2.2 A and AA as far as the axe-core rules see it."""
    for page in pages:
        opened = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme)
        asked: list[str] = []
        opened.on("request", lambda request, asked=asked: asked.append(request.url))
        opened.goto(page.as_uri())
        results = axe.Axe().run(opened, options={"runOnly": {"type": "tag", "values": TAGS}})
        assert [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in results.response["violations"]] == []
        assert opened.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert all(url.startswith(("file:", "data:")) for url in asked)
        opened.close()


def test_the_map_is_told_in_words_too(browser: Any, pages: tuple[Path, ...]) -> None:
    opened = browser.new_page()
    for page in pages:
        opened.goto(page.as_uri())
        names = opened.locator("svg[role=img]").evaluate_all("all => all.map(one => one.getAttribute('aria-label'))")
        assert names and all(names)
    opened.close()

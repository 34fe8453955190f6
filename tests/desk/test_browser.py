"""The desk in a browser: Chromium through Playwright; skipped by name where either is absent."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.desk.support import Running, running

sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright (pip install playwright)")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs chromium on PATH")

WIDE = {"width": 1400, "height": 900}
PHONE = {"width": 360, "height": 740}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, base: Path) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("talks")
    with running(folder, tmp_path_factory.mktemp("home"), base) as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        found = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        yield found
        found.close()


class Trainer:
    """Someone at the desk."""

    def __init__(self, page: Any, desk: Running) -> None:
        self.page, self.desk = page, desk

    @property
    def text(self) -> str:
        return str(self.page.eval_on_selector("#text", "area => area.value"))

    @property
    def fen(self) -> str:
        return str(self.page.eval_on_selector("lw-board", "board => board.fen")).split()[0]

    @property
    def state(self) -> str:
        return str(self.page.text_content("#state"))

    def glosses(self) -> list[str]:
        """The moves set above the words, in order."""
        found = self.page.eval_on_selector_all("#mirror [data-fig]", "all => all.map(s => s.dataset.fig)")
        return [str(fig) for fig in found]

    def keys(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, words: str) -> None:
        self.page.keyboard.type(words)

    def until(self, true: Callable[[], Any], what: str = "", seconds: float = 15.0) -> Any:
        """Wait; ``page.wait_for_function`` would need a policy that allows evaluated script."""
        end = time.monotonic() + seconds
        while True:
            found = true()
            if found:
                return found
            assert time.monotonic() < end, what or "waited in vain"
            self.page.wait_for_timeout(30)

    def tab_to(self, selector: str, key: str = "Tab") -> None:
        """Go there by keyboard alone."""
        for _ in range(80):
            if self.page.evaluate("s => document.activeElement?.matches(s)", selector):
                return
            self.page.keyboard.press(key)
        raise AssertionError(f"{selector} can't be reached by {key}")


@pytest.fixture
def opened(browser: Any, desk: Running) -> Iterator[Callable[..., Trainer]]:
    contexts: list[Any] = []
    troubles: list[str] = []

    def open_page(path: str = "/", **options: Any) -> Trainer:
        context = browser.new_context(**({"viewport": WIDE} | options))
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on("console", lambda said: said.type in ("error", "warning") and troubles.append(said.text))
        page.on("request", lambda sent: sent.url.startswith((desk.root, "data:", "ws:")) or troubles.append(sent.url))
        page.set_default_timeout(10_000)
        page.goto(desk.door)
        if path != "/":
            page.goto(desk.root + path)
        return Trainer(page, desk)

    yield open_page
    for context in contexts:
        context.close()
    assert troubles == []


def write(desk: Running, name: str, text: str) -> str:
    """A talk in the folder; returns its page's path."""
    (desk.folder / name).write_text(text, encoding="utf-8")
    return f"/talk/{name}"


FRENCH = "rnbqkbnr/ppp2ppp/4p3/3p4/3PP3/8/PPPN1PPP/R1BQKBNR"


def test_a_lesson_from_nothing_by_keyboard_alone(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened()
    trainer.tab_to("#title")
    trainer.type("A lesson by keys")
    trainer.keys("Enter")
    trainer.until(lambda: "/talk/" in trainer.page.url)
    trainer.until(lambda: trainer.text.startswith("# A lesson by keys"))
    trainer.keys("Tab", "Enter")  # "To the manuscript"
    trainer.tab_to("#text")
    trainer.keys("Control+End")
    trainer.type("We start with e4, and he answers e6. Now d4, d5")
    trainer.until(lambda: trainer.fen.startswith("rnbqkbnr/ppp2ppp/4p3/3p4/3PP3"), "the board follows the words")
    assert trainer.glosses() == ["1.e4", "1...e6", "2.d4", "d5"]

    # A move on the board, typed there, is written as words; the board stands at once where it leads.
    trainer.keys("F2")
    trainer.type("Nd2")
    trainer.keys("Enter")
    trainer.until(lambda: trainer.text.endswith("d4, d5, knight d2"), trainer.text)
    trainer.until(lambda: trainer.fen == FRENCH)
    # Marks with keys, on the square where the cursor of the board stands and on its neighbour.
    trainer.keys("1", "ArrowUp", "3")
    trainer.until(lambda: "{cross: " in trainer.text, trainer.text)
    assert trainer.text.count("{ring: ") == 1
    trainer.keys("F2", "Control+End")
    trainer.type(" The usual answer is")
    trainer.until(lambda: trainer.page.locator(".evidence th button").count() > 1, "replies stand in the margin")
    trainer.keys("Alt+Digit1")
    trainer.until(lambda: "usual answer is c5" in trainer.text, trainer.text)
    trainer.type(", and then he takes, exd4. The other reply is knight f6.")
    trainer.until(lambda: trainer.state == "saved", trainer.state)
    file = desk.folder / "A lesson by keys.md"
    assert file.read_text(encoding="utf-8") == trainer.text

    # An unsure place is settled where it stands, and taken back, and settled again.
    trainer.until(lambda: "unsure" in (trainer.page.text_content("#count") or ""))
    trainer.keys("Alt+KeyD")
    trainer.until(lambda: trainer.page.locator("#settle .choices button").count() > 1)
    words = trainer.page.text_content("#settle mark")
    trainer.keys("0")
    trainer.until(lambda: file.with_name(file.name + ".answers").exists(), "the answer lies beside the talk")
    assert words is not None and words.strip(",. ") in file.with_name(file.name + ".answers").read_text()

    trainer.tab_to("#build", "Shift+Tab")
    trainer.keys("Enter", "Enter")
    link = trainer.page.locator("#jobs a", has_text=".html")
    trainer.until(lambda: link.count() == 1, str(trainer.page.text_content("#jobs")), 60)
    assert list((desk.folder / "lessons" / "A lesson by keys").glob("*.html"))
    assert trainer.page.request.get(desk.root + link.get_attribute("href")).ok

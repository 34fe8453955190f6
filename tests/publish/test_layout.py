"""Where things stand on the pages: notes by their sentences, boards by their words, on phones and on paper."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from linewright.publish.course.course import Lesson
from linewright.publish.course.course_page import course_page
from linewright.publish.page.lesson_page import facts, lesson_page
from linewright.publish.theme import Theme
from tests.publish.samples import doubtful, lesson
from tests.publish.test_course import COURSE, ONE
from tests.support import TALKS

sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright (pip install playwright)")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="needs chromium on PATH"),
    pytest.mark.skipif(not TALKS.is_dir(), reason="needs ../shared/talks beside the project"),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        found = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        yield found
        found.close()


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The trainer's copy, with four notes to each of its own, and the pupils'."""
    walk, found = lesson("scotch")
    folder = tmp_path_factory.mktemp("pages")
    made = {"trainer": lesson_page(doubtful(walk), found * 4), "pupils": lesson_page(walk, doubts=False)}
    for name, text in made.items():
        (folder / f"{name}.html").write_text(text, encoding="utf-8")
    return {name: (folder / f"{name}.html").as_uri() for name in made}


def opened(browser: Any, address: str, width: int, height: int = 900, **how: Any) -> Any:
    page = browser.new_page(viewport={"width": width, "height": height}, **how)
    page.goto(address)
    page.evaluate("document.fonts.ready")
    return page


#: By passage: its top, the bottom of its words, and of its last note; heights of lines.
BY_PASSAGE = """() => [...document.querySelectorAll("#talk p")].filter(p => p.querySelector(".note")).map(p => {
  const bottom = kind => [...p.children].findLast(item => item.matches(kind)).getBoundingClientRect().bottom;
  const next = (p.closest(".passage") ?? p).nextElementSibling;
  return [bottom(".note"), bottom(":not(.note)"), next ? next.getBoundingClientRect().top : 1e9];
})"""


@pytest.mark.parametrize("width", [1366, 1920])
def test_notes_never_reach_beside_the_next_passage(browser: Any, pages: dict[str, str], width: int) -> None:
    page = opened(browser, pages["trainer"], width)
    found = page.evaluate(BY_PASSAGE)
    assert len(found) > 5
    assert any(note > words for note, words, _ in found), "no passage is crowded: the check could not fail"
    assert all(note <= following for note, _, following in found)
    page.close()


def test_notes_that_do_not_fit_are_folded_and_unfold_by_touch_and_by_keyboard(
    browser: Any, pages: dict[str, str]
) -> None:
    page = opened(browser, pages["trainer"], 1366)
    assert page.locator(".note.fails.short, .note.fails.bare").count() == 0, "what fails is always read"
    note = page.locator(".note.bare").first
    assert not note.locator(".why").is_visible()
    note.locator("b").click()
    assert note.locator(".why").is_visible()
    note.locator("b").click()
    assert not note.locator(".why").is_visible()
    note.locator(".num").focus()
    assert note.locator(".why").is_visible()
    page.close()


def test_on_paper_notes_stand_whole_below_their_passage_and_come_back(browser: Any, pages: dict[str, str]) -> None:
    page = opened(browser, pages["trainer"], 1366)
    before = page.locator("#talk").inner_html()
    numbers = page.locator(".note .num").all_inner_texts()
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator("#talk p .note").count() == 0
    assert page.locator(".apparatus .note .num").all_inner_texts() == numbers
    assert all(why.is_visible() for why in page.locator(".note .why").all())
    page.emulate_media(media="screen")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator("#talk").inner_html() == before
    page.close()


@pytest.mark.parametrize("kind", ["trainer", "pupils"])
@pytest.mark.parametrize(("media", "width"), [("print", 690), ("screen", 1366), ("screen", 768), ("screen", 360)])
def test_no_board_stands_before_its_words(
    browser: Any, pages: dict[str, str], kind: str, media: Any, width: int
) -> None:
    page = opened(browser, pages[kind], width)
    page.emulate_media(media=media)
    places = page.evaluate(
        """() => [...document.querySelectorAll(".passage")].map(passage => {
          const [plates, words] = passage.children;
          return [plates.getBoundingClientRect().top, words.getBoundingClientRect().top,
            plates.getBoundingClientRect().height];
        }).filter(([,, height]) => height)"""
    )
    assert places or (kind, media) == ("trainer", "screen"), "on the screen the trainer's margin has notes"
    assert all(board >= words - 1 for board, words, _ in places)
    page.close()


def test_on_a_phone_the_board_is_wide_and_no_keys_are_told(browser: Any, pages: dict[str, str]) -> None:
    page = opened(browser, pages["pupils"], 360, 740, has_touch=True)
    assert page.locator(".stand lw-board").bounding_box()["width"] >= 0.7 * 360
    assert not page.locator("kbd").first.is_visible()
    page.locator("#talk p").last.scroll_into_view_if_needed()
    stand = page.locator(".stand").bounding_box()
    assert stand["y"] == 0 and stand["height"] < 0.5 * 740, "words must have their half"
    page.close()


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("en", ["Moves on the board: 8", "Length: about 1 min", "As of 3 May 2026"]),
        ("de", ["Züge auf dem Brett: 8", "Länge: etwa 1 min", "Stand: 3. Mai 2026"]),
        ("fr", ["Coups sur l’échiquier : 8", "Durée : environ 1 min", "État au 3 mai 2026"]),
        ("es", ["Jugadas en el tablero: 8", "Duración: unos 1 min", "Fecha: 3 de mayo de 2026"]),
    ],
)
def test_a_talk_says_how_long_it_is_and_of_when(language: Any, told: list[str]) -> None:
    assert facts(ONE, Theme(language=language), date(2026, 5, 3)) == told


def test_a_course_lists_length_and_date_and_shows_no_fen() -> None:
    page = course_page((Lesson("one", ONE, date(2026, 5, 3)), COURSE[1]), "Two ways")
    assert "Length: about 1 min · As of 3 May 2026" in page
    # PGN standard (1994), section 16.1: a FEN's placement has eight fields parted by seven slashes.
    assert not re.search(r"(?:[pnbrqkPNBRQK1-8]+/){7}", page.split("</style>")[1])

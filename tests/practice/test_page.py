"""The practice page in Chromium: a round by mouse, touch, keys and words, and what the browser keeps."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import chess
import html5lib
import pytest

from linewright.practice.drills.drill import Drill, Task, drill_id, key_of
from linewright.practice.drills.drill_maker import make_drills
from linewright.practice.outputs.practice_page import Setting, practice_page
from linewright.practice.schedule.log import entry_of_json
from tests.browsing import be_patient, says, until
from tests.practice.talks import after, told

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")

TALK = "We begin with e4. He plays c5, and now Nf3, quietly. After d6 comes d4 cxd4 Nxd4. If he is greedy, e5 Nb5."
SQUARES = Drill(
    drill_id(Task.SQUARES, after("e4 c5 Nf3 d6 d4 cxd4 Nxd4"), "white", "x"),
    Task.SQUARES,
    after("e4 c5 Nf3 d6 d4 cxd4 Nxd4"),
    "white",
    "Tap the d-file and the c-file.",
    squares=("c4", "d4"),
    whole_files=True,
    reach=0.001,
)
CHOICE = Drill(
    drill_id(Task.SAID, after("e4 c5"), "white", "y"),
    Task.SAID,
    after("e4 c5"),
    "white",
    "What did the trainer say of this position?",
    choices=("Nothing.", "And now Nf3, <b>quietly</b>.", "Castle at once."),
    right=1,
    words="And now Nf3, <b>quietly</b>.",
    reach=0.0005,
)


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = [d for d in make_drills(told(TALK)).drills if d.task is not Task.PLAY and d.moves]
    file = tmp_path_factory.mktemp("page") / "practice.html"
    text = practice_page([*made, SQUARES, CHOICE], "The quiet </script> Sicilian", "Odile Brandt", Setting(minutes=30))
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture
def page(browser: Any, path: Path) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce", has_touch=True)
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    opened.on("console", lambda told: told.type in ("error", "warning") and troubles.append(told.text))
    opened.on("request", lambda asked: asked.url.startswith(("file:", "blob:")) or troubles.append(asked.url))
    be_patient(opened)
    opened.goto(path.as_uri())
    yield opened
    context.close()
    assert troubles == []


def kept(page: Any) -> list[dict[str, Any]]:
    text = page.evaluate("() => Object.values(localStorage).find((v) => v.includes('entries')) ?? null")
    return json.loads(text)["entries"] if text else []


def shown(page: Any) -> str:
    """The position on the board."""
    return key_of(page.evaluate("() => document.querySelector('lw-board').fen"))


def asks(page: Any, moves: str) -> None:
    """Waits until the position after some moves is asked for an answer."""
    until(page, lambda: shown(page) == key_of(after(moves)) and page.is_visible("#unknown"), f"not asked after {moves}")


def answer(page: Any, text: str) -> None:
    page.fill("#move", text)
    page.press("#move", "Enter")


def square(page: Any, name: str) -> tuple[float, float]:
    """The middle of a square in the window."""
    box = page.evaluate(
        """(name) => {
            const cell = document.querySelector('lw-board').shadowRoot.querySelector(`[data-square=${name}]`);
            const {x, y, width, height} = cell.getBoundingClientRect();
            return [x + width / 2, y + height / 2];
        }""",
        name,
    )
    return box[0], box[1]


def test_the_page_is_sound_html_and_holds_all_it_needs(path: Path) -> None:
    """Parsed strictly by html5lib (WHATWG HTML); nothing in it points outside."""
    text = path.read_text(encoding="utf-8")
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    parser.parse(text)
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in text


def test_a_round_is_played_along_its_line_by_typed_and_spoken_moves(page: Any) -> None:
    page.click("#begin")
    asks(page, "")
    answer(page, "pawn to e four")
    says(page, "#feedback", "Right: 1.e4.")
    says(page, "blockquote", "We begin with e4.")
    page.keyboard.press("Enter")
    asks(page, "e4 c5")
    answer(page, "knight f three")
    page.keyboard.press("Enter")
    asks(page, "e4 c5 Nf3 d6")
    answer(page, "d2-d4")
    page.keyboard.press("Enter")
    asks(page, "e4 c5 Nf3 d6 d4 cxd4")
    answer(page, "Sxd4")
    says(page, "#feedback", "can’t be played here")
    answer(page, "Nxd4")
    entries = kept(page)
    assert [(e["rating"], e["answer"]) for e in entries] == [(3, "e2e4"), (3, "g1f3"), (3, "d2d4"), (3, "f3d4")]
    assert all(entry_of_json(entry) for entry in entries), "what the page keeps is what the class takes"


def test_a_wrong_answer_shows_what_punishes_it_and_asks_for_the_right_one(page: Any) -> None:
    page.click("#begin")
    asks(page, "")
    answer(page, "e4")
    page.keyboard.press("Enter")
    asks(page, "e4 c5")
    answer(page, "Ba6")
    for words in ("is not what the lesson plays", "wins 3 points of material", "quietly"):
        says(page, "#feedback", words)
    until(page, lambda: shown(page) == key_of(after("e4 c5 Ba6 Nxa6")))
    page.click("#on")
    says(page, "#feedback", "Now play it yourself")
    until(page, lambda: shown(page) == key_of(after("e4 c5")))
    answer(page, "Nc3")
    assert shown(page) == key_of(after("e4 c5")), "only the lesson's move leads on"
    answer(page, "Nf3")
    page.click("#on")
    asks(page, "e4 c5 Nf3 d6")
    assert [(e["rating"], e["answer"]) for e in kept(page)] == [(3, "e2e4"), (1, "f1a6")]


def test_moves_by_mouse_and_by_touch(page: Any) -> None:
    page.click("#begin")
    asks(page, "")
    page.mouse.move(*square(page, "e2"))
    page.mouse.down()
    page.mouse.move(*square(page, "e3"))
    page.mouse.move(*square(page, "e4"))
    page.mouse.up()
    says(page, "#feedback", "Right")
    page.click("#on")
    asks(page, "e4 c5")
    page.touchscreen.tap(*square(page, "g1"))
    page.touchscreen.tap(*square(page, "f3"))
    says(page, "#feedback", "Right")
    assert [e["answer"] for e in kept(page)] == ["e2e4", "g1f3"]


def test_by_keyboard_alone(page: Any) -> None:
    """From the page's top to the first answer and on, with Tab, letters and Enter."""
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "begin":
            break
    page.keyboard.press("Enter")
    asks(page, "")
    assert page.evaluate("() => document.activeElement.id") == "asked", "the question is where one reads on"
    page.keyboard.type("e4")
    assert page.input_value("#move") == "e4"
    page.keyboard.press("Enter")
    says(page, "#feedback", "Right")
    assert page.evaluate("() => document.activeElement.id") == "on"
    page.keyboard.press("Enter")
    asks(page, "e4 c5")


def test_a_hint_makes_it_harder_won(page: Any) -> None:
    page.click("#begin")
    asks(page, "")
    page.click("#hint")
    says(page, "#feedback", "pawn on e2")
    answer(page, "e4")
    assert [e["rating"] for e in kept(page)] == [2]


def test_an_answer_can_be_taken_back(page: Any) -> None:
    page.click("#begin")
    asks(page, "")
    answer(page, "a3")
    page.click("#back")
    says(page, "#feedback", "Taken back")
    asks(page, "")
    answer(page, "e4")
    entries = kept(page)
    assert [e["kind"] for e in entries] == ["review", "undo", "review"]
    assert entries[1]["undoes"] == entries[0]["id"]
    assert [e.get("rating") for e in entries] == [1, None, 3]


def test_squares_are_tapped_or_typed_and_choices_chosen(page: Any) -> None:
    page.evaluate("() => localStorage.clear()")
    page.click("#begin")
    for move in ("e4", "Nf3", "d4", "Nxd4", "Nb5"):
        page.wait_for_selector("#unknown:visible")
        answer(page, move)
        page.click("#on")
    seen = set()
    for _ in range(3):
        page.wait_for_selector("#unknown:visible")
        asked = page.inner_text("#asked")
        seen.add(asked)
        if "Tap" in asked:
            page.mouse.click(*square(page, "c7"))
            page.mouse.click(*square(page, "d1"))
            page.click("#tap")
            says(page, "#feedback", "Right: the c-file, the d-file.")
        elif "trainer" in asked:
            page.keyboard.press("1")
            says(page, "#feedback", "It is this")
            assert page.locator("#choices .is-right").inner_text().endswith("<b>quietly</b>.")
        else:
            answer(page, "Bb5+")
        page.click("#on")
        if page.is_visible("#home"):
            break
    assert {"Tap the d-file and the c-file.", "What did the trainer say of this position?"} <= seen
    assert {"c7 d1", "1"} <= {e["answer"] for e in kept(page)}


def test_progress_stays_after_closing_and_goes_out_and_in_as_a_file(page: Any, path: Path, tmp_path: Path) -> None:
    page.click("#begin")
    asks(page, "")
    answer(page, "e4")
    page.click("#stop")
    page.reload()
    says(page, "#kept", "1 answer kept")
    says(page, "#known", "1 being learned")
    with page.expect_download() as download:
        page.click("#take")
    file = tmp_path / "progress.json"
    download.value.save_as(file)
    assert json.loads(file.read_text())["linewright"] == "practice log"
    page.on("dialog", lambda dialog: dialog.accept())
    page.click("#forget")
    says(page, "#kept", "0 answers kept")
    page.set_input_files("#bring", file)
    says(page, "#kept", "1 answer added")
    page.set_input_files("#bring", file)
    says(page, "#kept", "0 answers added")
    other = tmp_path / "other.json"
    other.write_text("{}")
    page.set_input_files("#bring", other)
    says(page, "#kept", "not a progress file")


def test_two_tabs_lose_nothing(page: Any, path: Path) -> None:
    other = page.context.new_page()
    other.goto(path.as_uri())
    for one, move in ((page, "e4"), (other, "a3")):
        one.click("#begin")
        asks(one, "")
        answer(one, move)
    assert sorted(e["answer"] for e in kept(page)) == ["a2a3", "e2e4"]


def test_a_tone_is_heard_only_when_asked_for(page: Any) -> None:
    assert not page.is_checked("#sound")
    page.evaluate(
        """() => {
            globalThis.tones = 0;
            const Own = AudioContext;
            globalThis.AudioContext = class extends Own { constructor() { super(); globalThis.tones++; } };
        }"""
    )
    page.click("#begin")
    asks(page, "")
    answer(page, "e4")
    assert page.evaluate("() => tones") == 0
    page.click("#stop")
    page.check("#sound")
    page.click("#ahead")
    page.wait_for_selector("#unknown:visible")
    answer(page, "a3")
    until(page, lambda: page.evaluate("() => tones") == 1)


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 360)])
def test_axe_finds_nothing_and_nothing_sticks_out(page: Any, scheme: str, width: int) -> None:
    """axe-core's rules for WCAG 2.2 A and AA, on the first view, a question and its answer."""
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    page.set_viewport_size({"width": width, "height": 740})
    options = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    views = [lambda: None, lambda: (page.click("#begin"), asks(page, "")), lambda: answer(page, "Na3")]
    for go in views:
        go()
        found = axe.Axe().run(page, options=options)
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width


def test_the_answer_is_shown_within_a_frame_or_two(page: Any) -> None:
    """From the answer to the words in the document, without a task in between: the same turn of the event loop."""
    page.click("#begin")
    asks(page, "")
    page.fill("#move", "e4")
    at_once = page.evaluate(
        """() => {
            document.getElementById('typed').requestSubmit();
            return document.getElementById('feedback').textContent;
        }"""
    )
    assert "Right" in at_once
    assert chess.Board(page.evaluate("() => document.querySelector('lw-board').fen")).turn == chess.BLACK

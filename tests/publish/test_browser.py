"""The page in a browser: Chromium through Playwright; skipped by name where either is absent."""

from __future__ import annotations

import re
import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import chess
import pytest

from linewright.games.api import GameRow
from linewright.lesson.walk import MoveStep, Walk
from linewright.publish.course.course_page import course_page
from linewright.publish.games_shown import ShownGame
from linewright.publish.html.board_svg import piece_shapes
from linewright.publish.page.lesson_page import Recording, lesson_page
from linewright.publish.theme import Theme
from linewright.publish.timing import length, timed
from tests.browsing import be_patient, launched, needs_chromium, until
from tests.publish.samples import doubtful, lesson
from tests.publish.test_course import COURSE
from tests.support import TALKS, plain_talk

#: A game from the start with castling, taking in passing and promotion: what the script must play by itself.
ROW = GameRow(
    *(1, "Brandt, Odile", "Novak, Jan", None, None, "1-0", "1998.??.??", 1998, "Lantern Cup", "?", "1", "A00"),
    *(15, 0, (), "few.pgn"),
)
GAMES = (
    ShownGame(
        0, ROW, tuple("e2e4 g8f6 e4e5 d7d5 e5d6 b8c6 g1f3 f6g8 f1e2 h7h6 e1g1 h6h5 d6c7 h5h4 c7d8n".split()), True
    ),
)

pytestmark = [
    needs_chromium,
    pytest.mark.skipif(not TALKS.is_dir(), reason="needs ../shared/talks beside the project"),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as found:
        yield found


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    walk, found = lesson("scotch")
    path = tmp_path_factory.mktemp("page") / "lesson.html"
    path.write_text(lesson_page(doubtful(walk), found, models=GAMES), encoding="utf-8")
    return Path(path).as_uri()


@pytest.fixture
def walk() -> Walk:
    return doubtful(lesson("scotch")[0])


@pytest.fixture
def page(browser: Any, address: str) -> Iterator[Any]:
    opened = browser.new_page(viewport={"width": 1280, "height": 900})
    troubles: list[str] = []
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    opened.on("console", lambda said: said.type in ("error", "warning") and troubles.append(said.text))
    opened.on("request", lambda asked: asked.url.startswith("file:") or troubles.append(asked.url))
    be_patient(opened)
    opened.goto(address)
    yield opened
    opened.close()
    assert troubles == []


#: What the board says to those who listen.
HEARD = ".stand lw-board [aria-live]"
#: Outlines of the men as drawn, by their letters; the element's are the book's (test_element_rules.py).
OUTLINES = {re.sub(r'<path d="(.*?)"/>', r"\1", piece_shapes()[f"s{kind}"]): kind for kind in "PRNBQK"}


def placement(page: Any) -> str:
    """The board as drawn, as FEN piece placement: rows from above, each from the left."""
    men = page.eval_on_selector_all(
        ".stand lw-board .men > g",
        """all => all.map(man => [man.querySelector("path:not(.halo)").getAttribute("d"),
          man.classList.contains("w"), ...man.getAttribute("transform").match(/-?[\\d.]+/g).map(Number)])""",
    )
    board = {
        (int(x) // 100, int(y) // 100): OUTLINES[shape] if white else OUTLINES[shape].lower()
        for shape, white, x, y in men
    }
    assert len(board) == len(men), "two men stand on one square"
    packed = "/".join("".join(board.get((x, y), " ") for x in range(8)) for y in range(8))
    for run in range(8, 0, -1):
        packed = packed.replace(" " * run, str(run))
    return packed


def fen_after(walk: Walk, steps: int) -> str:
    return walk.nodes[walk.node_after(steps)].fen.split()[0]


def test_arrow_keys_step_through_the_whole_talk(page: Any, walk: Walk) -> None:
    assert placement(page) == fen_after(walk, 0)
    for done in range(1, len(walk.steps) + 1):
        page.keyboard.press("ArrowRight")
        assert placement(page) == fen_after(walk, done)
    page.keyboard.press("ArrowRight")
    assert placement(page) == fen_after(walk, len(walk.steps))
    page.keyboard.press("ArrowLeft")
    assert placement(page) == fen_after(walk, len(walk.steps) - 1)
    page.keyboard.press("Home")
    assert placement(page) == fen_after(walk, 0)
    page.keyboard.press("End")
    assert placement(page) == fen_after(walk, len(walk.steps))


def test_up_and_down_go_between_forks(page: Any, walk: Walk) -> None:
    forks = [s for s in range(len(walk.steps) + 1) if len(walk.nodes[walk.node_after(s)].children) > 1]
    page.keyboard.press("ArrowDown")
    assert placement(page) == fen_after(walk, forks[0])
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert placement(page) == fen_after(walk, forks[2])
    page.keyboard.press("ArrowUp")
    assert placement(page) == fen_after(walk, forks[1])


def test_touching_moves_words_lines_and_map(page: Any, walk: Walk) -> None:
    page.click("#s12")
    assert placement(page) == fen_after(walk, 12)
    assert page.get_attribute("#s12", "aria-current") == "step"
    page.click('#talk span[data-s="20"]')
    assert placement(page) == fen_after(walk, 20)
    node = walk.nodes[-1]
    page.click(f'#lines [data-n="{node.id}"]')
    assert placement(page) == node.fen.split()[0]
    page.click(".map circle[data-n='3']", force=True)
    assert placement(page) == walk.nodes[3].fen.split()[0]


def test_a_screen_reader_hears_the_move(page: Any, walk: Walk) -> None:
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    assert page.text_content(HEARD) == "2, knight f3"
    jump = next(i for i, s in enumerate(walk.steps, 1) if not isinstance(s, MoveStep))
    page.click(f"#s{jump}")
    assert page.text_content(HEARD).startswith("Back to ")


def test_marks_and_other_readings_show_on_the_board(page: Any) -> None:
    page.click("#s4")
    assert page.locator(".stand lw-board .marks .ring").count() == 2  # the ring and its halo
    assert page.text_content(HEARD) == "2, knight c6, ring on e5, path from f3 to e5"
    page.click(".other >> nth=0")
    assert "5n2" in placement(page)
    assert page.text_content(HEARD) == "Perhaps 2, knight f6"
    page.keyboard.press("ArrowRight")
    assert page.locator(".stand lw-board .marks .ring").count() == 0


def test_by_keyboard_alone(page: Any, walk: Walk) -> None:
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the talk"
    page.focus("#s1")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.id") == "s2", "focus goes with the move"
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
    reachable = page.eval_on_selector_all("#talk .mv, #talk .jump", "all => all.filter(a => a.tabIndex === 0).length")
    assert reachable == 1, "one move in the tab order, not a hundred"


def test_turning_the_board(page: Any, walk: Walk) -> None:
    page.click("#turned")
    rows = fen_after(walk, 0).split("/")
    assert placement(page) == "/".join(row[::-1] for row in reversed(rows))
    assert page.get_attribute("#turned", "aria-pressed") == "true"


@pytest.mark.parametrize("width", [320, 360, 500, 800, 1100, 1400, 2200])
def test_no_sideways_scrolling_and_the_board_in_sight(page: Any, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 740})
    page.keyboard.press("End")
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    box = page.locator(".stand lw-board").bounding_box()
    assert box["y"] >= 0
    assert box["y"] + box["height"] <= 740
    word = page.locator(".mv[aria-current], .jump[aria-current]").first.bounding_box()
    assert 0 <= word["y"] <= 740
    if width < 700:
        assert word["y"] >= box["y"] + box["height"], "the board hides the words"


def test_words_without_end_do_not_widen_the_page(browser: Any, tmp_path: Path) -> None:
    endless = "o" * 300
    path = tmp_path / "long.html"
    path.write_text(lesson_page(Walk(plain_talk(f"So {endless}", title=endless), ())), encoding="utf-8")
    opened = browser.new_page(viewport={"width": 360, "height": 700})
    opened.goto(path.as_uri())
    assert opened.evaluate("document.documentElement.scrollWidth") <= 360
    opened.close()


def test_opens_at_the_step_in_its_address(browser: Any, address: str, walk: Walk) -> None:
    opened = browser.new_page()
    opened.goto(address + "#s9")
    assert placement(opened) == fen_after(walk, 9)
    opened.close()


def test_the_address_tells_the_step_once_the_reader_rests(page: Any) -> None:
    page.evaluate("""() => {
      const replace = history.replaceState.bind(history);
      window.written = 0;
      history.replaceState = (...all) => { window.written++; replace(...all); };
    }""")
    for _ in range(5):
        page.evaluate("document.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true}))")
    page.wait_for_url("**#s5")
    assert page.evaluate("window.written") < 5, "browsers ration changes of the address"


def test_a_model_game_plays_to_its_end_and_leads_back(page: Any, walk: Walk) -> None:
    page.click("#s12")
    board = chess.Board(walk.nodes[GAMES[0].node].fen)
    page.click('[data-g="0.1"]')
    for uci in GAMES[0].moves:
        board.push_uci(uci)
        assert placement(page) == board.board_fen()
        page.keyboard.press("ArrowRight")
    assert placement(page) == board.board_fen(), "the end"
    assert page.text_content(HEARD) == "8, c takes d8, promotes to a knight"
    assert page.text_content("#turn") == "Black to move"
    page.keyboard.press("Home")
    assert placement(page) == walk.nodes[GAMES[0].node].fen.split()[0]
    page.keyboard.press("Escape")
    assert placement(page) == fen_after(walk, 12), "back where the talk was"
    assert page.locator(".games [aria-current]").count() == 0


def test_wiping_across_the_board(browser: Any, address: str, walk: Walk) -> None:
    context = browser.new_context(has_touch=True, viewport={"width": 360, "height": 740})
    opened = context.new_page()
    opened.goto(address)
    session = context.new_cdp_session(opened)

    def wipe(start: int, end: int) -> None:
        for kind, x in (("touchStart", start), ("touchMove", end), ("touchEnd", None)):
            points = [] if x is None else [{"x": x, "y": 90}]
            session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    opened.evaluate("scrollTo(0, 400)")
    wipe(150, 60)
    assert placement(opened) == fen_after(walk, 1)
    wipe(150, 60)
    wipe(60, 150)
    assert placement(opened) == fen_after(walk, 1)
    wipe(100, 80)
    assert placement(opened) == fen_after(walk, 1), "too short for a wipe"
    context.close()


def silence(path: Path, seconds: float) -> None:
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(8000)
        sound.writeframes(b"\0\0" * round(8000 * seconds))


def test_board_and_words_follow_the_recording(browser: Any, tmp_path: Path) -> None:
    walk = timed(lesson("scotch")[0])
    silence(tmp_path / "talk.wav", length(walk))
    path = tmp_path / "lesson.html"
    path.write_text(lesson_page(walk, recording=Recording("talk.wav")), encoding="utf-8")
    opened = browser.new_page(viewport={"width": 1280, "height": 900})
    opened.goto(path.as_uri())
    until(opened, lambda: opened.evaluate("document.getElementById('media').readyState > 0"))
    moves = [i for i, step in enumerate(walk.steps, 1) if isinstance(step, MoveStep)]
    for state in (moves[20], moves[5]):
        opened.evaluate("t => { document.getElementById('media').currentTime = t }", walk.steps[state - 1].said.start)
        until(opened, lambda at=state: "now" in (opened.get_attribute(f"#s{at}", "class") or "").split())
        assert placement(opened) == fen_after(walk, state)
    opened.click(f"#s{moves[9]}")
    now = opened.evaluate("document.getElementById('media').currentTime")
    assert now == pytest.approx(walk.steps[moves[9] - 1].said.start, abs=0.1)
    run = opened.locator("#talk [data-w]").filter(has_text="Oliver").first
    words = run.text_content().split()
    at = int(run.get_attribute("data-w")) + next(i for i, word in enumerate(words) if "Oliver" in word)
    spot = run.evaluate(
        """run => { const range = new Range(); const at = run.textContent.indexOf("Oliver");
        range.setStart(run.firstChild, at + 1); range.setEnd(run.firstChild, at + 2);
        run.scrollIntoView(); const box = range.getBoundingClientRect(); return [box.x + 2, box.y + 5] }"""
    )
    opened.mouse.click(*spot)
    now = opened.evaluate("document.getElementById('media').currentTime")
    assert now == pytest.approx(walk.talk.words[at].start, abs=0.1)
    opened.click("#playing")
    until(opened, lambda: opened.evaluate("document.getElementById('playing').getAttribute('aria-pressed') === 'true'"))
    until(opened, lambda: opened.evaluate("t => document.getElementById('media').currentTime > t", now))
    assert opened.evaluate("CSS.highlights.has('said')")
    opened.click("#playing")
    opened.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1400])
def test_axe_finds_nothing(browser: Any, address: str, width: int, scheme: Any) -> None:
    """WCAG 2.2 A and AA as far as the axe-core rules see it."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
    opened = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme)
    opened.goto(address)
    opened.keyboard.press("ArrowRight")
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    results = axe.Axe().run(opened, options={"runOnly": {"type": "tag", "values": tags}})
    assert [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in results.response["violations"]] == []
    opened.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1400])
def test_axe_finds_nothing_on_a_course(browser: Any, tmp_path: Path, width: int, scheme: Any) -> None:
    """The same rules on a course's first page."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
    page = tmp_path / "index.html"
    page.write_text(course_page(COURSE, "Evening class"), encoding="utf-8")
    opened = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme)
    opened.goto(page.as_uri())
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    results = axe.Axe().run(opened, options={"runOnly": {"type": "tag", "values": tags}})
    assert [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in results.response["violations"]] == []
    opened.close()


def test_moves_are_drawn_as_figurines_and_copied_as_letters(page: Any) -> None:
    drawn = page.evaluate("[...document.fonts].filter(font => font.status === 'loaded').map(font => font.family)")
    assert any("Linewright Moves" in family for family in drawn)
    assert page.locator("#talk .fig").first.inner_text() in "KQRBN"


def test_without_script_boards_are_printed_in_the_text(browser: Any, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    opened = context.new_page()
    opened.goto(address)
    assert opened.locator(".plates .board").first.is_visible()
    assert opened.locator(".stand lw-board > .board").is_visible(), "the first board stands in the element"
    context.close()


def test_with_script_the_element_s_own_board_stands_for_the_printed_one(page: Any) -> None:
    assert not page.locator(".stand lw-board > .board").is_visible()
    assert page.get_by_role("img", name="Board: ").count() == 1


def test_a_move_goes_there_visibly_and_a_jump_at_once(page: Any) -> None:
    gliding = "document.querySelector('lw-board').shadowRoot.getAnimations().length"
    step = "key => document.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}))"
    for key, moving in (("ArrowRight", 1), ("End", 0), ("ArrowLeft", 1), ("Home", 0)):
        until(page, lambda: page.evaluate(gliding) == 0)
        page.evaluate(step, key)
        assert page.evaluate(gliding) == moving, key
    page.emulate_media(reduced_motion="reduce")
    page.evaluate(step, "ArrowRight")
    assert page.evaluate(gliding) == 0


def test_another_reading_stays_when_the_board_is_turned(page: Any) -> None:
    page.click(".other >> nth=0")
    shown = placement(page)
    page.click("#turned")
    assert placement(page) == "/".join(row[::-1] for row in reversed(shown.split("/")))
    page.click("#turned")
    assert placement(page) == shown


#: What is heard after the fourth step, and the board's name then: pieces and marks in the page's language.
SPOKEN = {
    "de": ("2, Springer c6, Ring auf e5, Weg von f3 nach e5", "Weiß: König e1, Dame d1,", "Weiß am Zug; Ring auf e5"),
    "fr": ("2, cavalier c6, anneau en e5, chemin de f3 à e5", "Blancs: roi e1, dame d1,", "Trait aux Blancs; anneau"),
    "es": ("2, caballo c6, anillo en e5, camino de f3 a e5", "Blancas: rey e1, dama d1,", "anillo en e5"),
}


@pytest.mark.parametrize("language", SPOKEN)
def test_the_board_speaks_the_theme_s_language(browser: Any, tmp_path: Path, walk: Walk, language: Any) -> None:
    path = tmp_path / "lesson.html"
    path.write_text(lesson_page(walk, doubts=False, theme=Theme(language=language)), encoding="utf-8")
    opened = browser.new_page()
    opened.goto(path.as_uri())
    opened.click("#s4")
    heard, men, rest = SPOKEN[language]
    assert opened.text_content(HEARD) == heard
    name = opened.locator(".stand lw-board [role=img]").last.get_attribute("aria-label")
    assert name.startswith(f"{Theme(language=language).label('board')}: 2, ")
    assert men in name and rest in name
    assert not re.search(r"\b(white|black|king|queen|rook|bishop|knight|pawn|to move|ring on|path from)\b", name, re.I)
    opened.close()


def test_print_has_boards_and_no_sticky_ones(page: Any) -> None:
    page.emulate_media(media="print")
    assert page.locator(".plates .board").first.is_visible()
    assert not page.locator(".stand").is_visible()


def test_the_trainer_s_mark_is_shown_under_the_page_s_own_policy(browser: Any, tmp_path: Path) -> None:
    (tmp_path / "lamp.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="40"><circle cx="20" cy="20" r="18"/></svg>'
    )
    file = tmp_path / "lesson.html"
    theme = Theme(trainer="Odile Brandt", mark=tmp_path / "lamp.svg")
    file.write_text(lesson_page(lesson("scotch")[0], doubts=False, theme=theme), encoding="utf-8")
    opened = browser.new_page()
    opened.goto(file.as_uri())
    assert opened.eval_on_selector(".logo", "image => image.complete && image.naturalWidth") == 40
    opened.close()

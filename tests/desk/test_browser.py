"""The desk in a browser: Chromium through Playwright; skipped by name where either is absent."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from linewright.games.api import add_games
from tests.browsing import PATIENCE, be_patient, launched, needs_chromium
from tests.desk.support import Running, running

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")

pytestmark = needs_chromium

WIDE = {"width": 1400, "height": 900}
PHONE = {"width": 360, "height": 740}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, base: Path) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("talks")
    with running(folder, tmp_path_factory.mktemp("home"), base) as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as found:
        yield found


class Trainer:
    """Someone at the desk."""

    def __init__(self, page: Any, desk: Running) -> None:
        self.page, self.desk = page, desk

    @property
    def text(self) -> str:
        return str(self.page.locator("#text").input_value())  # waits for a page that is still on its way

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

    def until(self, true: Callable[[], Any], what: str = "", seconds: float = PATIENCE) -> Any:
        """Wait; ``page.wait_for_function`` would need a policy that allows evaluated script."""
        end = time.monotonic() + seconds
        while True:
            found = true()
            if found:
                return found
            seen = (self.page.url, self.page.inner_text("body")) if time.monotonic() > end else ()
            assert not seen, (what or "waited in vain", *seen)
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
        be_patient(page)
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


def test_on_a_phone_by_touch(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened("/", viewport=PHONE, has_touch=True, is_mobile=True, device_scale_factor=2)
    page = trainer.page
    page.tap("#title")
    trainer.type("By touch")
    page.tap("#new button")
    trainer.until(lambda: "/talk/" in page.url)
    trainer.until(lambda: trainer.text.startswith("# By touch"))
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.tap("#text")
    trainer.keys("Control+End")
    trainer.type("E4, e6, d4, d5 ")
    trainer.until(lambda: trainer.fen.startswith("rnbqkbnr/ppp2ppp/4p3/3p4/3PP3"))
    tap(page, "b1", "d2")
    trainer.until(lambda: trainer.text.endswith("d5, knight d2"), trainer.text)
    assert trainer.fen == FRENCH
    page.tap("[data-shape=ring]")
    tap(page, "e4")
    trainer.until(lambda: "{ring: e4}" in trainer.text, trainer.text)
    page.tap("[data-shape=path]")
    drag(page, "c7", "c5")
    trainer.until(lambda: "{path: c7-c5}" in trainer.text, trainer.text)
    page.tap("[data-shape=ring]")
    tap(page, "e4")
    trainer.until(lambda: "ring" not in trainer.text, "the same mark again takes it away")
    page.tap("[data-shape='']")
    trainer.until(lambda: page.locator(".evidence th button").count() > 0)
    page.locator(".evidence th button").first.tap()
    trainer.until(lambda: trainer.glosses()[-1] != "3.♘d2")
    trainer.until(lambda: trainer.state == "saved")
    page.tap("#build")
    page.tap("dialog button[value=lesson]")
    trainer.until(lambda: page.locator("#jobs a", has_text=".pdf").count() == 1, "built", 60)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def square(page: Any, name: str) -> tuple[float, float]:
    """The middle of a square, on the screen."""
    box = page.evaluate(
        "n => { const b = document.querySelector('lw-board').shadowRoot.querySelector(`[data-square=${n}]`)"
        ".getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; }",
        name,
    )
    return float(box[0]), float(box[1])


def tap(page: Any, *squares: str) -> None:
    for name in squares:
        page.touchscreen.tap(*square(page, name))


def drag(page: Any, start: str, end: str) -> None:
    page.mouse.move(*square(page, start))
    page.mouse.down()
    page.mouse.move(*square(page, end), steps=6)
    page.mouse.up()


TALK = (
    "# The French\n\nWe start with e4, e6, d4, d5, and knight d2. Most people strike at once, c5. We take, exd5, "
    "exd5. Now he has an isolated pawn on a7.\n\nBack to knight d2. The other move is knight "
    "f6, and e5, knight f d7.\n"
)


def test_the_board_and_the_evidence_follow_the_cursor(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "follow.md", TALK))
    page = trainer.page
    trainer.until(lambda: "3...♘f6" in trainer.glosses())
    page.focus("#text")
    trainer.keys("Control+Home", "Alt+ArrowDown", "Alt+ArrowDown", "Alt+ArrowDown", "Alt+ArrowDown", "Alt+ArrowDown")
    trainer.until(lambda: trainer.fen == FRENCH)
    trainer.until(lambda: page.text_content(".evidence h2") == "After 3.♘d2")
    trainer.until(lambda: "c5" in str(page.text_content(".evidence table")))
    assert page.locator(".evidence .whisker").count() > 0
    # What is claimed and doubtful stands beside its sentence.
    note = page.locator(".note", has_text="isolated pawn on a7")
    trainer.until(lambda: note.count() == 1)
    row = page.locator("#mirror .said-fails, #mirror .said-undecided").first
    trainer.keys("Control+End")
    trainer.until(lambda: abs(note.bounding_box()["y"] - row.bounding_box()["y"]) < 300)
    # The map tells where the talk has been.
    trainer.until(lambda: page.locator(".map circle.fork").count() >= 1)
    page.locator(".map circle.end").last.click()
    trainer.until(lambda: trainer.fen.startswith("rnbqkb1r/pppn1ppp/4p3/3pP3"))


def test_a_finding_is_let_stand(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "stet.md", TALK))
    note = trainer.page.locator(".note", has_text="isolated pawn on a7")
    trainer.until(lambda: note.count() == 1)
    note.locator("button", has_text="let it stand").click()
    trainer.until(lambda: "on a7. {stet: structure}" in trainer.text, trainer.text)
    trainer.until(lambda: note.count() == 0)


def test_a_change_on_the_disk_appears_at_once(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "disk.md", TALK))
    trainer.until(lambda: trainer.text == TALK)
    changed = TALK.replace("Most people", "Nearly all people")
    (desk.folder / "disk.md").write_text(changed, encoding="utf-8")
    trainer.until(lambda: trainer.text == changed)
    trainer.page.focus("#text")
    trainer.keys("Control+KeyZ")
    trainer.until(lambda: trainer.text == TALK, "and can be undone")
    trainer.until(lambda: (desk.folder / "disk.md").read_text(encoding="utf-8") == TALK)


def test_changes_on_both_sides_come_together(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "both.md", TALK))
    trainer.until(lambda: trainer.text == TALK)
    trainer.page.focus("#text")
    trainer.keys("Control+End")
    trainer.type("That is all.")
    (desk.folder / "both.md").write_text(TALK.replace("Most people", "Everybody"), encoding="utf-8")
    trainer.until(lambda: "Everybody" in trainer.text and trainer.text.endswith("That is all."), trainer.text)
    trainer.until(lambda: (desk.folder / "both.md").read_text(encoding="utf-8") == trainer.text)


def test_the_same_place_changed_twice_is_shown_and_settled(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "clash.md", TALK))
    trainer.until(lambda: trainer.text == TALK)
    trainer.page.focus("#text")
    trainer.keys("Control+Home")
    for _ in range(len("# The ")):
        trainer.keys("ArrowRight")
    trainer.type("good old ")
    (desk.folder / "clash.md").write_text(TALK.replace("The French", "The modern French"), encoding="utf-8")
    dialog = trainer.page.locator("dialog.conflict")
    trainer.until(lambda: dialog.count() == 1)
    assert "good old" in dialog.inner_text() and "modern" in dialog.inner_text()
    dialog.locator("label", has_text="both").click()
    dialog.locator("button", has_text="Settle").click()
    trainer.until(lambda: "good old " in trainer.text and "modern" in trainer.text, trainer.text[:80])
    trainer.until(lambda: (desk.folder / "clash.md").read_text(encoding="utf-8") == trainer.text)


def test_an_earlier_version_is_put_back(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "versions.md", TALK))
    trainer.until(lambda: trainer.text == TALK)
    trainer.page.focus("#text")
    trainer.keys("Control+KeyA", "Delete")
    trainer.type("Gone")
    trainer.until(lambda: (desk.folder / "versions.md").read_text(encoding="utf-8") == "Gone")
    trainer.page.click("#earlier")
    trainer.page.locator(".versions input").last.check()
    trainer.until(lambda: "isolated" in str(trainer.page.text_content(".version")))
    trainer.page.click("dialog button[value=yes]")
    trainer.until(lambda: trainer.text == TALK)


def test_what_was_settled_is_taken_back(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "settled.md", TALK))
    trainer.until(lambda: trainer.page.locator(".note", has_text="settle").count() > 0)
    answers = desk.folder / "settled.md.answers"
    trainer.page.focus("#text")
    trainer.keys("Alt+KeyD")
    trainer.until(lambda: trainer.page.locator("#settle .choices button").count() > 0)
    trainer.page.locator("#settle .choices button").first.click()
    trainer.until(lambda: answers.exists() and answers.read_text().count("\n") > 2)
    trainer.keys("Alt+KeyD")
    trainer.until(lambda: trainer.page.locator("#settle button", has_text="take the last").count() == 1)
    trainer.page.locator("#settle button", has_text="take the last").click()
    trainer.until(lambda: answers.read_text().strip() == "" or answers.read_text().count("|") <= 2)


HOSTILE = "<img src=x onerror=window.hit=1><script>window.hit=1</script>"


def test_scripts_in_talks_games_and_names_are_text(
    browser: Any, opened: Callable[..., Trainer], tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder, home = tmp_path_factory.mktemp("hostile"), tmp_path_factory.mktemp("home")
    pgn = tmp_path_factory.mktemp("games") / "evil.pgn"
    head = f'[Event "{HOSTILE}"]\n[White "{HOSTILE}"]\n[Black "b{HOSTILE}"]\n[Date "2001.01.01"]\n[Result "1-0"]\n'
    pgn.write_text(
        f"{head}\n1. e4 {{{HOSTILE}}} e6 2. d4 d5 3. Nd2 c5 4. exd5 exd5 5. Ngf3 Nc6 1-0\n", encoding="utf-8"
    )
    games = home / "evil.duckdb"
    add_games(games, [pgn])
    (folder / "evil.md").write_text(
        f"# {HOSTILE}\n\n{HOSTILE} E4, {HOSTILE} e6. {{ring: {HOSTILE}}}\n", encoding="utf-8"
    )
    with running(folder, home, games) as desk:
        context = browser.new_context(viewport=WIDE)
        page = context.new_page()
        violations: list[str] = []
        page.on("console", lambda said: violations.append(said.text))
        page.goto(desk.door)
        page.goto(desk.root + "/talk/evil.md")
        trainer = Trainer(page, desk)
        trainer.until(lambda: len(trainer.glosses()) >= 2)
        page.focus("#text")
        trainer.keys("Control+End")
        trainer.until(lambda: page.locator(".models .who").count() == 1, "the game is shown")
        assert "<script>" in page.text_content(".models .who")
        page.click("#earlier")
        page.locator(".versions input").first.check()
        trainer.until(lambda: "onerror" in str(page.text_content(".version")))
        assert page.evaluate("window.hit") is None
        assert page.locator("img").count() == 0
        assert violations == []
        context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_axe_finds_nothing(opened: Callable[..., Trainer], desk: Running, scheme: str, size: dict[str, int]) -> None:
    trainer = opened(write(desk, f"axe-{scheme}-{size['width']}.md", TALK), viewport=size, color_scheme=scheme)
    trainer.until(lambda: trainer.page.locator(".note").count() > 0)
    trainer.until(lambda: trainer.page.locator(".evidence th button").count() > 0)
    assert violations(trainer.page) == []
    trainer.page.focus("#text")
    trainer.keys("Alt+KeyD")
    trainer.until(lambda: trainer.page.locator("#settle .choices button").count() > 0)
    assert violations(trainer.page) == []
    trainer.keys("Escape")
    trainer.page.click("#keys")
    assert violations(trainer.page) == []
    trainer.page.keyboard.press("Escape")
    trainer.page.goto(desk.root + "/")
    assert violations(trainer.page) == []


def violations(page: Any) -> list[str]:
    found = axe.Axe().run(page).response["violations"]
    return [f"{v['id']}: {n['html'][:120]}" for v in found for n in v["nodes"]]


def test_the_desk_may_go_away_and_come_back(browser: Any, tmp_path_factory: pytest.TempPathFactory, base: Path) -> None:
    """What is typed while the server is away is kept in the page, and read and saved when it is there again."""
    folder, home = tmp_path_factory.mktemp("away"), tmp_path_factory.mktemp("home")
    file = folder / "away.md"
    file.write_text(TALK, encoding="utf-8")
    context = browser.new_context(viewport=WIDE)
    page = context.new_page()
    with running(folder, home, base) as desk:
        page.goto(desk.door)
        page.goto(desk.root + "/talk/away.md")
        trainer = Trainer(page, desk)
        trainer.until(lambda: trainer.text == TALK)
        port = desk.port
    page.focus("#text")
    trainer.keys("Control+End")
    trainer.type("More.")
    trainer.until(lambda: "not answering" in trainer.state)
    with running(folder, home, base, port=port):
        trainer.until(lambda: file.read_text(encoding="utf-8") == TALK + "More.", trainer.state, 30)
        assert trainer.text == TALK + "More."
        context.close()


def test_back_to_a_move_goes_there_at_once(opened: Callable[..., Trainer], desk: Running) -> None:
    trainer = opened(write(desk, "back.md", "# Back\n\nWe start with e4, e6, d4, d5, and knight d2. Now c5."))
    trainer.until(lambda: "c5" in trainer.glosses()[-1:] or "3...c5" in trainer.glosses())
    trainer.page.focus("#text")
    trainer.keys("Control+End")
    trainer.type(" Back to knight d2.")
    trainer.until(lambda: trainer.fen == FRENCH, trainer.fen)
    trainer.keys("F2")
    trainer.type("Nf6")
    trainer.keys("Enter")
    trainer.until(lambda: trainer.text.endswith("Back to knight d2. Knight f6"), trainer.text)
    trainer.until(lambda: "3...♘f6" in trainer.glosses())

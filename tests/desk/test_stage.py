"""Stage and prompter in a browser, in step; a run recorded; looks, reach and access."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import chess
import pytest
from websockets.sync.client import connect

from linewright.captions.corrected import correct_captions
from linewright.reading.reader import read_talk
from linewright.stage.run_times import time_walk
from linewright.stage.runs import RunEntry, read_run
from linewright.talk.load import load_talk
from tests import browsing
from tests.browsing import be_patient, launched, needs_chromium
from tests.desk.support import Live, Running, running
from tests.desk.test_runs import LESSON

pytestmark = needs_chromium

NASTY = """# <img src=x onerror=alert(1)>

<script>alert(2)</script> We begin with e4 and then <b onclick="alert(3)">e5</b> answers it, and knight f3 follows it.
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("talks")
    (folder / "short.md").write_text(LESSON, encoding="utf-8")
    (folder / "nasty.md").write_text(NASTY, encoding="utf-8")
    (folder / "empty.md").write_text("# Nothing yet\n", encoding="utf-8")
    with running(folder, tmp_path_factory.mktemp("home")) as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched(
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        "--autoplay-policy=no-user-gesture-required",
    ) as found:
        yield found


class Device:
    """A browser of its own, let in by the door."""

    def __init__(self, browser: Any, desk: Running, **how: Any) -> None:
        self.desk = desk
        self.context = browser.new_context(**({"viewport": {"width": 1300, "height": 850}} | how))
        self.page = self.context.new_page()
        be_patient(self.page)
        self.troubles: list[str] = []
        self.page.on("pageerror", lambda error: self.troubles.append(str(error)))
        self.page.on("console", lambda said: said.type in ("error", "warning") and self.troubles.append(said.text))
        self.page.goto(desk.door)

    def open(self, path: str) -> Any:
        self.page.goto(self.desk.root + path)
        if not path.startswith("/rehearsal"):
            self.page.locator("lw-board .men").wait_for(state="attached")
        return self.page

    @property
    def fen(self) -> str:
        return str(self.page.eval_on_selector("lw-board", "board => board.fen"))

    @property
    def marks(self) -> list[str]:
        return list(self.page.eval_on_selector("lw-board", "b => b.marks.map(m => [m.shape, ...m.squares].join(' '))"))


@pytest.fixture
def two(browser: Any, desk: Running) -> Iterator[tuple[Device, Device]]:
    """A prompter and a stage on two devices."""
    prompter, stage = Device(browser, desk), Device(browser, desk, viewport={"width": 1280, "height": 720})
    prompter.open("/prompter/short.md")
    stage.open("/stage/short.md?shape=wide&strip")
    until(prompter, lambda: prompter.page.text_content("#next") != "")
    if prompter.page.locator("#off").is_visible():
        prompter.page.keyboard.press("a")
    prompter.page.click("#parts button >> nth=0")
    for _ in range(3):
        prompter.page.keyboard.press("ArrowLeft")
    until(stage, lambda: stage.fen == chess.STARTING_FEN)
    until(prompter, lambda: prompter.fen == chess.STARTING_FEN)
    yield prompter, stage
    for device in (prompter, stage):
        device.context.close()
        assert device.troubles == []


def until(device: Device, true: Any) -> None:
    browsing.until(device.page, true)


def last_run(desk: Running) -> tuple[RunEntry, ...]:
    """What the run that was begun last has noted so far."""
    files = sorted(desk.folder.glob("short.*.run.jsonl"), key=lambda file: file.stat().st_mtime_ns)
    return read_run(files[-1]).entries if files else ()


def position(*sans: str) -> str:
    board = chess.Board()
    for san in sans:
        board.push_san(san)
    return board.fen()


def middle(page: Any, square: str) -> tuple[float, float]:
    box = page.locator(f'.square[data-square="{square}"]').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page: Any, start: str, end: str, button: Any = "left") -> None:
    page.mouse.move(*middle(page, start))
    page.mouse.down(button=button)
    page.mouse.move(*middle(page, end), steps=3)
    page.mouse.up(button=button)


def test_both_windows_are_in_step(two: tuple[Device, Device]) -> None:
    prompter, stage = two
    prompter.page.keyboard.press("ArrowRight")
    until(stage, lambda: stage.fen == position("e4"))
    stage.page.keyboard.press("ArrowRight")
    until(prompter, lambda: prompter.fen == position("e4", "e5"))
    for _ in range(2):
        prompter.page.keyboard.press(" ")
    until(stage, lambda: stage.fen == position("e4", "e5", "Nf3", "Nc6"))
    assert stage.marks == ["ring e5"], "marks as prepared"
    prompter.page.keyboard.press("PageDown")
    until(stage, lambda: stage.marks == ["ring e5", "path f3 e5"])
    until(prompter, lambda: "looks at it too" in prompter.page.text_content("#now"))
    until(prompter, lambda: prompter.page.text_content("#next") == "3.♗c4")
    assert stage.page.text_content("#line") == "1.e4 e5 2.♘f3 ♘c6"
    stage.page.reload()
    until(stage, lambda: stage.marks == ["ring e5", "path f3 e5"])


def test_an_aside_and_marks_drawn_live(two: tuple[Device, Device]) -> None:
    prompter, stage = two
    prompter.page.keyboard.press("ArrowRight")
    until(prompter, lambda: prompter.fen == position("e4"))
    drag(prompter.page, "c7", "c5")
    until(stage, lambda: stage.fen == position("e4", "c5"))
    until(prompter, lambda: prompter.page.locator("#off").is_visible())
    drag(prompter.page, "g1", "f3", button="right")
    until(stage, lambda: stage.marks == ["path g1 f3"])
    drag(prompter.page, "g1", "f3")
    until(stage, lambda: stage.fen == position("e4", "c5", "Nf3"))
    prompter.page.evaluate("document.querySelector('lw-board').shadowRoot.activeElement.blur()")
    prompter.page.keyboard.press("a")
    until(stage, lambda: stage.fen == position("e4"))
    until(prompter, lambda: not prompter.page.locator("#off").is_visible())
    drag(prompter.page, "e7", "e5")
    until(stage, lambda: stage.fen == position("e4", "e5"))
    until(prompter, lambda: prompter.fen == position("e4", "e5"))
    assert not prompter.page.locator("#off").is_visible(), "the walk's own move goes on with the walk"
    prompter.page.keyboard.press("Escape")  # the board has the focus; nothing is lifted
    until(prompter, lambda: prompter.page.locator("#off").is_visible())
    prompter.page.keyboard.press("Escape")
    until(prompter, lambda: not prompter.page.locator("#off").is_visible())


def test_a_run_is_recorded_and_makes_captions(two: tuple[Device, Device], desk: Running) -> None:
    prompter, _ = two
    prompter.page.click("#run")
    until(prompter, lambda: prompter.page.text_content("#state") == "the run is going")
    prompter.page.keyboard.press("k")
    until(prompter, lambda: prompter.page.text_content("#state") == "clap noted")
    for at in range(1, 6):
        before = len(last_run(desk))
        prompter.page.click("[data-act=next]")
        until(prompter, lambda before=before: len(last_run(desk)) > before)
        if at == 2:
            prompter.page.keyboard.press("p")
            until(prompter, lambda: prompter.page.get_attribute("[data-act=pause]", "aria-pressed") == "true")
            prompter.page.wait_for_timeout(300)
            prompter.page.keyboard.press("p")
            until(prompter, lambda: prompter.page.get_attribute("[data-act=pause]", "aria-pressed") == "false")
    prompter.page.click("#run")
    until(prompter, lambda: "kept as" in prompter.page.text_content("#state"))
    name = prompter.page.text_content("#state").removeprefix("kept as ")
    run = read_run(desk.folder / name)
    did = [entry.do for entry in run.entries]
    assert did == ["start", "clap", "stop", "stop", "pause", "on", "stop", "stop", "stop", "finish"]
    assert all(a.t <= b.t for a, b in pairwise(run.entries))
    assert run.entries[5].t - run.entries[4].t >= 0.3
    walk = time_walk(read_talk(load_talk(desk.folder / "short.md")), run)
    captions = correct_captions(walk)
    assert captions is not None and "-->" in captions.webvtt
    page = prompter.open("/rehearsal/short.md")
    assert page.get_by_role("heading", name="How it went").is_visible()
    assert name.split(".")[1] in page.text_content("select[name=run]")


def test_by_touch_on_a_phone(browser: Any, desk: Running) -> None:
    device = Device(browser, desk, viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True)
    page = device.open("/prompter/short.md")
    until(device, lambda: page.text_content("#next") != "")
    page.tap("#parts button >> nth=0")
    page.tap("[data-act=back]")
    until(device, lambda: device.fen == chess.STARTING_FEN)
    page.tap("[data-act=next]")
    until(device, lambda: device.fen == position("e4"))
    page.locator("[data-mark=dot]").tap()
    page.locator('.square[data-square="d4"]').tap()
    until(device, lambda: device.marks == ["dot d4"])
    page.locator("[data-mark=dot]").tap()
    page.locator('.square[data-square="c7"]').tap()
    page.locator('.square[data-square="c5"]').tap()
    until(device, lambda: device.fen == position("e4", "c5"))
    page.tap("[data-act=aside]")
    until(device, lambda: device.fen == position("e4"))
    assert device.marks == ["dot d4"], "the walk as it was left"
    device.context.close()
    assert device.troubles == []


def test_what_was_heard_is_compared_with_the_run(desk: Running) -> None:
    with room(desk, "short.md") as live:
        live.hear("run")
        live.send(do="begin")
        count = len(live_script(desk)["stops"])
        for _ in range(count - 1):
            live.send(do="next")
        live.send(do="finish")
        while not (told := live.hear("run")).get("finished"):
            pass
    heard = "WEBVTT\n\n00:00:01.000 --> 00:00:20.000\n" + LESSON.split("\n\n", 2)[1].replace("{ring: e5} ", "")
    (desk.folder / "camera.vtt").write_text(heard.replace("{path: f3-e5} ", ""), encoding="utf-8")
    run = told["finished"].removeprefix("short.").removesuffix(".run.jsonl")
    with desk.client() as client:
        answer = client.get("/rehearsal/short.md", params={"run": run, "heard": "camera.vtt"})
        assert answer.status_code == 200
        assert "Said otherwise" in answer.text and "nothing of it was heard" in answer.text
        assert client.get("/rehearsal/short.md", params={"heard": "../../etc/passwd"}).status_code == 404
        assert client.get("/rehearsal/short.md", params={"run": "../x"}).status_code == 200
        assert client.get("/stage/none.exe").status_code == 404
        assert client.get("/prompter/none.md").status_code == 404


def live_script(desk: Running) -> dict[str, Any]:
    with room(desk, "short.md") as live:
        return live.hear("script")


def test_loudness_is_noted(two: tuple[Device, Device], desk: Running) -> None:
    """The browser's own test tone stands for a microphone."""
    prompter, _ = two
    prompter.context.grant_permissions(["microphone"])
    prompter.page.click("#run")
    prompter.page.click("#loud")
    until(prompter, lambda: len(levels_in(last_run(desk))) >= 40)
    prompter.page.click("#loud")
    prompter.page.click("#run")
    until(prompter, lambda: "kept as" in prompter.page.text_content("#state"))
    run = read_run(desk.folder / prompter.page.text_content("#state").removeprefix("kept as "))
    levels = levels_in(run.entries)
    assert len(levels) >= 40
    assert max(levels) > 0.01


def levels_in(entries: Iterable[RunEntry]) -> list[float]:
    """The loudness noted, value by value."""
    return [level for entry in entries if entry.do == "loud" for level in entry.values["level"]]


@contextlib.contextmanager
def room(desk: Running, talk: str) -> Iterator[Live]:
    address = f"ws://127.0.0.1:{desk.port}/room?talk={talk}"
    headers = {"cookie": desk.cookie}
    with connect(address, origin=desk.root, additional_headers=headers, max_size=None) as socket:  # type: ignore[arg-type]
        yield Live(socket)


def test_the_board_follows_a_voice_and_keys_overrule_it(desk: Running) -> None:
    with room(desk, "short.md") as live:
        live.hear("run")
        live.send(do="go", to=1)
        live.send(do="go", to=0)
        live.send(do="turn")  # tells a scene whatever stood there
        while live.hear("scene")["side"] != "black":
            pass
        live.send(do="turn")
        assert live.hear("scene")["fen"] == chess.STARTING_FEN
        live.send(do="said", text="So, we begin with e four.")
        assert live.hear("scene")["fen"] == position("e4")
        live.send(do="said", text="pawn e five and then the knight to f three")
        seen = live.hear("scene")["fen"]
        if seen != position("e4", "e5", "Nf3"):
            seen = live.hear("scene")["fen"]
        assert seen == position("e4", "e5", "Nf3")
        live.send(do="back", by="keys")
        assert live.hear("scene")["fen"] == position("e4", "e5")
        live.send(do="heard", fen=position("e4"))
        live.send(do="next")
        assert live.hear("scene")["fen"] == position("e4", "e5", "Nf3"), "what was heard late takes nobody back"


@pytest.mark.parametrize(
    "sent", ["[]", "1", '"next"', "{}", '{"do": 5}', '{"do":"play","uci":7}', '{"do":"go","to":"x"}']
)
def test_nonsense_does_not_end_a_room(desk: Running, sent: str) -> None:
    with room(desk, "short.md") as live:
        live.hear("run")
        live.socket.send(sent)
        live.socket.send("{")
        live.send(do="turn")
        live.hear("scene")


def test_a_talk_without_moves_says_so(browser: Any, desk: Running) -> None:
    device = Device(browser, desk)
    device.open("/prompter/empty.md")
    until(device, lambda: "no move can be read" in device.page.text_content("#trouble"))
    device.context.close()


def test_a_talk_s_text_is_never_markup(browser: Any, desk: Running) -> None:
    device = Device(browser, desk)
    device.page.on("dialog", lambda dialog: device.troubles.append("a script ran"))
    device.open("/prompter/nasty.md")
    until(device, lambda: "<script>" in device.page.text_content("#script"))
    device.open("/stage/nasty.md?strip")
    device.open("/rehearsal/nasty.md")
    assert "<img" in device.page.text_content("h1")
    device.context.close()
    assert device.troubles == []


def pixels(png: bytes) -> Any:
    with av.open(io.BytesIO(png)) as picture:
        return next(picture.decode(video=0)).to_ndarray(format="rgba")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_stage_is_see_through_around_the_board(browser: Any, desk: Running, scheme: str) -> None:
    device = Device(browser, desk, viewport={"width": 960, "height": 540}, color_scheme=scheme)
    device.open("/stage/short.md?clear")
    seen = pixels(device.page.screenshot(omit_background=True))
    assert seen[5, 5, 3] == 0 and seen[-5, -5, 3] == 0
    assert seen[270, 480, 3] == 255
    device.open("/stage/short.md")
    assert pixels(device.page.screenshot(omit_background=True))[5, 5, 3] == 255
    device.context.close()


def box_of(page: Any, selector: str) -> tuple[float, float, float, float]:
    """Left, top, width and height on the screen, CSS pixels."""
    box = page.locator(selector).bounding_box()
    return box["x"], box["y"], box["width"], box["height"]


@pytest.mark.parametrize(
    ("shape", "view", "frame", "strip"),
    [
        ("wide", (1280, 720), (1280, 720), ""),
        ("wide", (1280, 720), (1280, 720), "&strip"),
        ("wide", (1000, 1000), (1000, 562.5), "&strip"),
        ("tall", (540, 960), (540, 960), "&strip"),
        ("tall", (1280, 720), (405, 720), "&strip"),
        ("free", (360, 740), (360, 740), ""),
        ("free", (360, 740), (360, 740), "&strip"),
    ],
)
def test_only_the_board_large_and_nothing_cut(
    browser: Any, desk: Running, shape: str, view: tuple[int, int], frame: tuple[float, float], strip: str
) -> None:
    device = Device(browser, desk, viewport={"width": view[0], "height": view[1]})
    page = device.open(f"/stage/short.md?shape={shape}{strip}")
    assert box_of(page, "main.frame")[2:] == pytest.approx(frame, abs=1)
    left, top, width, height = box_of(page, "lw-board")
    assert width == pytest.approx(height, abs=1)
    assert width >= (0.55 if strip else 0.9) * min(frame)
    assert left >= 0 and top >= 0
    assert left + width <= view[0] and top + height <= view[1]
    if strip:
        x, y, wide, tall = box_of(page, ".strip")
        assert x >= left + width or y >= top + height, "the words lie on the diagram"
        assert x + wide <= view[0] and y + tall <= view[1]
    assert page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]") == list(view)
    assert page.evaluate("getComputedStyle(document.querySelector('lw-board')).cursor") == "none"
    assert page.locator("button, a, input").count() == 0, "no chrome"
    device.context.close()


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1300, "light")])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(browser: Any, desk: Running, width: int, scheme: str) -> None:
    """WCAG 2.2 A and AA as far as the axe-core rules see it."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
    device = Device(browser, desk, viewport={"width": width, "height": 740}, color_scheme=scheme)
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    for path in ("/prompter/short.md", "/stage/short.md?strip", "/rehearsal/short.md"):
        page = device.open(path)
        browsing.at_rest(page)
        results = axe.Axe().run(page, options={"runOnly": {"type": "tag", "values": tags}})
        assert [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in results.response["violations"]] == [], path
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
    device.context.close()


def test_a_talk_that_changes_on_the_disk_is_taken_anew(desk: Running) -> None:
    path = desk.folder / "growing.md"
    path.write_text("# Growing\n\nWe begin with e4.\n", encoding="utf-8")
    with room(desk, "growing.md") as live:
        assert len(live.hear("script")["stops"]) == 2
        live.hear("run")
        path.write_text("# Growing\n\nWe begin with e4 and e5 answers.\n", encoding="utf-8")
        assert len(live.hear("script")["stops"]) == 3
        live.send(do="begin")
        while not live.hear("run")["on"]:
            pass
        path.write_text("# Growing\n\nWe begin with d4.\n", encoding="utf-8")
        live.send(do="next")
        live.send(do="next")
        while (told := live.hear("scene"))["at"] < 2:
            pass
        assert told["fen"] == position("e4", "e5"), "a run goes on with the talk it began with"
        live.send(do="finish")


def test_the_run_s_lines_are_json(desk: Running) -> None:
    with room(desk, "short.md") as live:
        live.hear("run")
        live.send(do="begin")
        live.send(do="next")
        live.send(do="finish")
        while not (told := live.hear("run")).get("finished"):
            pass
    lines = (Path(desk.folder) / told["finished"]).read_text(encoding="utf-8").splitlines()
    rows = [json.loads(line) for line in lines]
    assert rows[0]["title"] == "A short lesson"
    assert [row["do"] for row in rows] == ["start", "stop", "finish"]

"""The board element in a browser under a strict content policy: by mouse, by touch, by keyboard, for the ear."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import chess
import pytest

from tests.browsing import be_patient, launched, needs_chromium, until
from tests.publish.element_page import serve

pytestmark = needs_chromium

BOARD = '<lw-board can="move mark"></lw-board>'
PROMOTION = "4k3/P7/8/8/8/8/8/4K3 w - - 0 1"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as found:
        yield found


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 420, "height": 700}, has_touch=True)
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    opened.on("console", lambda said: said.type in ("error", "warning") and troubles.append(said.text))
    be_patient(opened)
    yield opened
    context.close()
    assert troubles == []


def middle(page: Any, square: str) -> tuple[float, float]:
    box = page.locator(f'.square[data-square="{square}"]').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page: Any, start: str, end: str, button: Any = "left") -> None:
    page.mouse.move(*middle(page, start))
    page.mouse.down(button=button)
    (x1, y1), (x2, y2) = middle(page, start), middle(page, end)
    page.mouse.move((x1 + x2) / 2, (y1 + y2) / 2)
    page.mouse.move(x2, y2)
    page.mouse.up(button=button)


def press(page: Any, square: str, **how: Any) -> None:
    page.mouse.click(*middle(page, square), **how)


def heard(page: Any) -> list[tuple[str, dict[str, Any]]]:
    return [(name, detail) for name, detail in page.evaluate("heard")]


def moves(page: Any) -> list[tuple[str, str]]:
    return [(detail["uci"], detail["by"]) for name, detail in heard(page) if name == "lw-move"]


def marks(page: Any) -> list[list[str]]:
    return page.eval_on_selector("lw-board", "board => board.marks.map(mark => [mark.shape, ...mark.squares])")


def fen(page: Any) -> str:
    return page.eval_on_selector("lw-board", "board => board.fen")


def said(page: Any) -> str:
    return page.locator("[aria-live]").text_content()


def drawn(page: Any) -> dict[str, str]:
    """The men as drawn, by the square that each is drawn on: seen from the picture, not from the element's state."""
    return page.eval_on_selector_all(
        ".men > g",
        """all => Object.fromEntries(all.map(man => {
          const [x, y] = man.getAttribute("transform").match(/-?[\\d.]+/g).map(Number);
          return ["abcdefgh"[x / 100] + (8 - y / 100), man.classList.contains("w") ? "white" : "black"];
        }))""",
    )


def test_moves_by_mouse(page: Any) -> None:
    serve(page, BOARD)
    drag(page, "e2", "e4")
    press(page, "g8")
    assert page.locator(".hint").count() == 2
    press(page, "f6")
    assert moves(page) == [("e2e4", "drag"), ("g8f6", "tap")]
    board = chess.Board()
    board.push_uci("e2e4")
    board.push_uci("g8f6")
    assert fen(page) == board.fen()
    assert drawn(page) == {
        chess.square_name(square): "white" if man.color else "black" for square, man in board.piece_map().items()
    }
    assert page.locator(".hint").count() == 0
    _, first = heard(page)[0]
    assert (first["san"], first["words"]) == ("e4", "e4")
    assert first["before"] == chess.STARTING_FEN


def test_what_is_not_legal_goes_back(page: Any) -> None:
    serve(page, BOARD)
    drag(page, "e2", "e5")
    press(page, "e2")
    press(page, "e2")
    press(page, "g1")
    press(page, "b1")
    press(page, "b5")
    drag(page, "e7", "e5")
    assert moves(page) == []
    assert fen(page) == chess.STARTING_FEN
    assert "e2" in drawn(page) and "b1" in drawn(page)
    assert page.locator(".hint").count() == 0


def test_a_host_may_refuse_a_move(page: Any) -> None:
    serve(page, BOARD)
    page.evaluate("addEventListener('lw-move', event => event.preventDefault())")
    drag(page, "e2", "e4")
    assert moves(page) == [("e2e4", "drag")]
    assert fen(page) == chess.STARTING_FEN
    assert "e2" in drawn(page)


def test_marks_by_mouse(page: Any) -> None:
    serve(page, BOARD)
    press(page, "e4", button="right")
    page.keyboard.down("Shift")
    press(page, "d5", button="right")
    page.keyboard.up("Shift")
    page.keyboard.down("Alt")
    press(page, "c3", button="right")
    page.keyboard.up("Alt")
    drag(page, "f3", "e5", button="right")
    assert marks(page) == [["ring", "e4"], ["dot", "d5"], ["cross", "c3"], ["path", "f3", "e5"]]
    assert heard(page)[-1][1]["words"] == "path from f3 to e5"
    press(page, "e4", button="right")
    assert marks(page)[0] == ["dot", "d5"], "the same mark again takes it away"
    assert said(page) == "ring on e4 removed"
    colours = {
        kind: page.locator(f".marks .{kind}:not(.halo)").first.evaluate("item => getComputedStyle(item).stroke")
        for kind in ("dot", "cross", "path")
    }
    # Okabe & Ito, "Color Universal Design" (2008): bluish green, vermillion, reddish purple.
    assert colours == {"dot": "rgb(0, 158, 115)", "cross": "rgb(213, 94, 0)", "path": "rgb(204, 121, 167)"}


def touch(page: Any, *squares: str) -> None:
    """A finger put down on the first square, led over the others, and lifted."""
    session = page.context.new_cdp_session(page)
    for number, square in enumerate(squares):
        x, y = middle(page, square)
        kind = "touchMove" if number else "touchStart"
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    session.detach()


def test_moves_and_marks_by_touch(page: Any) -> None:
    serve(page, BOARD)
    touch(page, "e2")
    touch(page, "e4")
    touch(page, "g8", "g7", "f6")
    assert moves(page) == [("e2e4", "tap"), ("g8f6", "drag")]
    page.eval_on_selector("lw-board", "board => board.setAttribute('marking', 'cross')")
    touch(page, "d5")
    touch(page, "c1", "e3", "g5")
    assert marks(page) == [["cross", "d5"], ["path", "c1", "g5"]]
    assert [detail["by"] for name, detail in heard(page) if name == "lw-mark"] == ["touch", "touch"]


def test_by_keyboard_alone(page: Any) -> None:
    serve(page, BOARD)
    page.keyboard.press("Tab")
    focused = "document.querySelector('lw-board').shadowRoot.activeElement"
    assert page.evaluate(f"{focused}.ariaLabel") == "e1, white king"
    page.keyboard.press("ArrowUp")
    assert page.evaluate(f"{focused}.ariaLabel") == "e2, white pawn"
    assert page.evaluate(f"getComputedStyle({focused}).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    assert said(page) == "white pawn on e2 lifted"
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    assert said(page) == "e4"
    assert page.evaluate(f"{focused}.ariaLabel") == "e4, white pawn"
    page.keyboard.press("Control+Home")
    assert page.evaluate(f"{focused}.dataset.square") == "a8"
    page.keyboard.press("End")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert said(page) == "black pawn on h7 lifted"
    page.keyboard.press("Escape")
    assert said(page) == "put back"
    assert moves(page) == [("e2e4", "keys")]


def test_typing_moves(page: Any) -> None:
    serve(page, BOARD)
    page.keyboard.press("Tab")
    for text in ("Nf3", "d five", "g3"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    assert moves(page) == [("g1f3", "typed"), ("d7d5", "typed"), ("g2g3", "typed")]
    page.keyboard.type("Nd7")
    assert page.locator(".entry").is_visible()
    page.keyboard.press("Enter")
    page.keyboard.type("Ke5")
    page.keyboard.press("Enter")
    assert said(page) == "Ke5 can’t be played here"
    assert page.locator(".entry").inner_text().strip() == "Ke5 can’t be played here"
    page.keyboard.press("Escape")
    assert not page.locator(".entry").is_visible()
    focused = "document.querySelector('lw-board').shadowRoot.activeElement"
    assert page.evaluate(f"{focused}.dataset.square") == "d7", "the keys go on where they were"


def test_marks_by_keyboard(page: Any) -> None:
    serve(page, BOARD)
    page.keyboard.press("Tab")
    page.keyboard.press("1")
    page.keyboard.press("2")
    page.keyboard.press("3")
    page.keyboard.press("4")
    assert said(page).startswith("path from e1: go to its end")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    assert marks(page) == [["ring", "e1"], ["dot", "e1"], ["cross", "e1"], ["path", "e1", "e3"]]
    focused = "document.querySelector('lw-board').shadowRoot.activeElement"
    assert page.evaluate(f"{focused}.ariaLabel") == "e3, empty, path from e1 to e3"
    page.keyboard.press("Delete")
    assert marks(page) == [["ring", "e1"], ["dot", "e1"], ["cross", "e1"]]
    assert moves(page) == []


def test_promotion_is_chosen(page: Any) -> None:
    serve(page, f'<lw-board can="move" fen="{PROMOTION}"></lw-board>')
    press(page, "a7")
    press(page, "a8")
    assert page.locator(".choice button").evaluate_all("all => all.map(one => one.ariaLabel)") == [
        "white queen",
        "white rook",
        "white bishop",
        "white knight",
    ]
    page.keyboard.press("Escape")
    assert fen(page) == PROMOTION
    drag(page, "a7", "a8")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Enter")
    assert moves(page) == [("a7a8n", "drag")]
    assert fen(page).startswith("N3k3/")


def test_turning_the_board(page: Any) -> None:
    serve(page, BOARD)
    white = middle(page, "a1")
    page.eval_on_selector("lw-board", "board => { board.side = 'black'; }")
    assert middle(page, "h8") == white
    assert page.locator(".co text").first.text_content() == "h"
    drag(page, "d2", "d4")
    assert moves(page) == [("d2d4", "drag")]
    page.keyboard.press("ArrowUp")
    focused = "document.querySelector('lw-board').shadowRoot.activeElement"
    assert page.evaluate(f"{focused}.dataset.square") == "d3", "up on the screen, towards White"


def test_keys_that_mean_nothing_here_go_to_the_page(page: Any) -> None:
    serve(page, '<lw-board can="walk"></lw-board>')
    page.evaluate("window.keys = []; addEventListener('keydown', event => keys.push(event.key))")
    page.keyboard.press("Tab")
    for key in ("ArrowUp", "Enter", "x", "1", "Escape"):
        page.keyboard.press(key)
    assert page.evaluate("keys") == ["Tab", "Enter", "x", "1", "Escape"]


def test_a_picture_has_its_position_as_its_name(page: Any) -> None:
    serve(page, f'<lw-board fen="{PROMOTION}" label="Last move"></lw-board>')
    assert page.locator("[role=img]").get_attribute("aria-label") == (
        "Last move. white: king e1, pawn a7; black: king e8; White to move"
    )
    assert page.locator("[role=grid]").count() == 0


def test_show_play_and_a_fen_that_is_none(page: Any) -> None:
    serve(page, BOARD)
    told = page.eval_on_selector("lw-board", "board => board.play('knight f three')")
    assert (told["san"], told["by"]) == ("Nf3", "host")
    assert page.eval_on_selector("lw-board", "board => board.play('Nf3')") is None
    before = fen(page)
    message = page.eval_on_selector(
        "lw-board", "board => { try { board.fen = '8/8'; } catch (error) { return error.message } }"
    )
    assert "2 rows" in message
    assert fen(page) == before
    page.eval_on_selector(
        "lw-board",
        f"board => board.show({{fen: '{PROMOTION}', last: 'a6a7', marks: [{{shape: 'ring', squares: ['a8']}}]}})",
    )
    assert drawn(page) == {"a7": "white", "e1": "white", "e8": "black"}
    assert page.locator(".ticks .tick").count() == 4
    assert heard(page) == []


def test_no_movement_for_those_who_want_none(page: Any) -> None:
    serve(page, BOARD)
    gliding = "document.querySelector('lw-board').shadowRoot.getAnimations().length"
    assert page.evaluate(f"document.querySelector('lw-board').play('e4') && {gliding}") == 1
    page.emulate_media(reduced_motion="reduce")
    assert page.evaluate(f"document.querySelector('lw-board').play('e5') && {gliding}") <= 1
    until(page, lambda: page.evaluate(gliding) == 0)
    assert page.evaluate(f"document.querySelector('lw-board').play('Nf3') && {gliding}") == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("can", ["move mark", "walk", ""])
def test_axe_finds_nothing(page: Any, can: str, scheme: Any) -> None:
    """WCAG 2.2 A and AA as far as the axe-core rules see it."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python")
    page.emulate_media(color_scheme=scheme)
    serve(page, f'<lw-board can="{can}"></lw-board>')
    if can == "move mark":
        page.keyboard.press("Tab")
        page.keyboard.type("N")
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    results = axe.Axe().run(page, options={"runOnly": {"type": "tag", "values": tags}})
    assert [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in results.response["violations"]] == []

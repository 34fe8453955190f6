#!/usr/bin/env python3
"""Make the pictures of README and guide: the demo's lesson page, the desk over its talk, and the hand-out.

    make pictures      (or: tools/pictures.py [--out docs/pictures] [--chromium /usr/bin/chromium])

Drives headless Chromium through Playwright (extra ``dev``); ``pdftoppm`` (poppler) draws the hand-out. Games are
counted in the starter table, so that everybody's pictures are alike. Colours are few: a palette keeps each picture
within 200 kB.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

MOST_BYTES = 200_000
#: Milliseconds until something that is waited for is called missing.
PATIENCE_MS = 90_000
#: Pixels, width and height: the narrowest screen on which the desk shows its three columns at full size, since the
#: README shows three pictures side by side.
SCREEN = (1280, 900)
#: Dots per inch at which a sheet of A4 is as wide as the screen.
SHEET_DPI = SCREEN[0] / 8.27
#: The move at which page and desk stand, and the heading that it stands under: the structure that the demo is about.
MOVE = re.compile(r"9\.\S*b3")
HEADING = "The isolated pawn"
#: Brings an element to the upper edge of the screen.
SCROLL = "element => scrollTo(0, element.getBoundingClientRect().top + scrollY - 40)"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, default=Path(__file__).resolve().parents[1] / "docs" / "pictures")
    parser.add_argument("--chromium", default=shutil.which("chromium") or "/usr/bin/chromium")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        os.environ["LINEWRIGHT_HOME"] = str(work / "home")
        talks = work / "talks"
        talks.mkdir()
        demo = Path(__file__).resolve().parents[1] / "src" / "linewright" / "demo" / "talk.md"
        talk = shutil.copy(demo, talks / "lonely-pawn.md")
        linewright("build", str(talk), "--out", str(work / "lesson"))
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=args.chromium, args=["--no-sandbox", "--disable-gpu"])
            shoot_page(browser, next((work / "lesson").glob("*.html")), work / "page.png")
            shoot_desk(browser, talks, work / "desk.png")
            browser.close()
        draw_handout(next((work / "lesson").glob("*.pdf")), work / "handout.png")
        args.out.mkdir(parents=True, exist_ok=True)
        for name in ("page.png", "desk.png", "handout.png"):
            keep(work / name, args.out / name)


def linewright(*words: str) -> None:
    subprocess.run([sys.executable, "-m", "linewright", *words], check=False, stdout=subprocess.DEVNULL)


def shoot_page(browser: Browser, page_file: Path, out: Path) -> None:
    page = browser.new_page(viewport={"width": SCREEN[0], "height": SCREEN[1]})
    page.goto(page_file.as_uri())
    page.wait_for_load_state("networkidle")
    go_to_move(page, lambda: page.locator("[data-go=on]").click(), "#move")
    page.get_by_text(HEADING, exact=True).first.evaluate(
        "heading => scrollTo(0, heading.getBoundingClientRect().top + scrollY - 40)"
    )
    page.wait_for_timeout(1_000)  # the last piece glides to its square
    page.screenshot(path=out)


def shoot_desk(browser: Browser, talks: Path, out: Path) -> None:
    desk = subprocess.Popen(
        [sys.executable, "-m", "linewright", "desk", str(talks), "--no-browser", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        assert desk.stdout is not None
        address = next(found[0] for line in desk.stdout if (found := re.search(r"http://\S+", line)))
        page = browser.new_page(viewport={"width": SCREEN[0], "height": SCREEN[1]})
        page.goto(address)
        page.get_by_role("link", name=re.compile("lonely", re.IGNORECASE)).first.click()
        page.wait_for_selector("#mirror [data-fig]", state="attached", timeout=PATIENCE_MS)
        page.locator("#text").focus()
        go_to_move(page, lambda: page.keyboard.press("Alt+ArrowDown"), "#where")
        page.wait_for_selector(".margin ol li", timeout=PATIENCE_MS)
        page.wait_for_timeout(3_000)  # evidence and notes take their places
        page.screenshot(path=out)
    finally:
        desk.terminate()
        desk.wait(PATIENCE_MS / 1000)


def go_to_move(page: Page, step_on: Callable[[], None], shown: str) -> None:
    """Step on until the element ``shown`` names the move wanted."""
    for _ in range(60):
        step_on()
        page.wait_for_timeout(800)  # the desk names a move once the board has come to rest
        if MOVE.search(page.text_content(shown) or ""):
            return
    raise SystemExit(f"{MOVE.pattern} is never named in {shown}")


def draw_handout(pdf: Path, out: Path) -> None:
    """Draw the upper part of the first sheet, in the screen's shape, without the margin above it."""
    size = ["-x", "0", "-y", str(SCREEN[1] // 12), "-W", str(SCREEN[0]), "-H", str(SCREEN[1])]
    command = ["pdftoppm", "-png", "-r", f"{SHEET_DPI:.1f}", *size, "-f", "1", "-singlefile"]
    subprocess.run([*command, str(pdf), str(out.with_suffix(""))], check=True)


def keep(made: Path, out: Path) -> None:
    """Put a picture where it belongs, with a palette that makes it small enough.

    Palettes are chosen by what they cover, not by area: the marks' colours are a few hundred pixels.
    """
    image = Image.open(made).convert("RGB")
    for colours in (256, 128, 64):
        image.quantize(colours, Image.Quantize.MAXCOVERAGE).save(out, optimize=True)
        if out.stat().st_size <= MOST_BYTES:
            return
    raise SystemExit(f"{out} has {out.stat().st_size:,} bytes; at most {MOST_BYTES:,} are wanted")


if __name__ == "__main__":
    main()

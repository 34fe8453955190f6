"""Times of what leaves the house, each beside the issue's limit: build, page in Chromium, film.

    python bench/bench_build.py --base GAMES.duckdb [--film]

Reads the open talk ``panov`` (a typed talk of seven minutes) from ../shared/talks.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import tempfile
import time
from pathlib import Path

from linewright.claims.check import check_walk
from linewright.games.api import GamesBase
from linewright.publish.build import build
from linewright.publish.film.encoding import film_mp4
from linewright.publish.outputs import ALL, Order
from linewright.publish.timing import length, timed
from linewright.reading.reader import read_talk
from linewright.talk.load import load_talk

TALK = Path(__file__).resolve().parents[2] / "shared" / "talks" / "panov.txt"
#: Steps of the board that are timed.
STEPS = 60


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--base", type=Path, required=True)
    parser.add_argument("--film", action="store_true")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, GamesBase.open(options.base) as base:
        walk = read_talk(load_talk(TALK), base)
        findings = check_walk(walk, base)
        for round_ in ("cold", "warm"):
            out = Path(folder) / round_
            start = time.perf_counter()
            read = read_talk(load_talk(TALK), base)
            parted = time.perf_counter()
            found = check_walk(read, base)
            checked = time.perf_counter()
            made = build(read, found, out, order=Order(ALL, games=base, doubts=False))
            end = time.perf_counter()
            print(
                f"build, {round_}: {end - start:.2f} s of 5 s "
                f"(reading {parted - start:.2f}, checking {checked - parted:.2f}, making {end - checked:.2f})"
            )
        page = next(path for path in made if path.suffix == ".html")
        print(f"page: {page.stat().st_size} bytes of 400000")
        in_browser(page)
        if options.film:
            spoken = timed(walk)
            start = time.perf_counter()
            film = film_mp4(spoken)
            took = time.perf_counter() - start
            print(f"film of {length(spoken):.0f} s: {took:.1f} s of 120 s, {len(film) / 1e6:.1f} MB of 60 MB")
    print(f"{len(findings)} findings")


def in_browser(page: Path) -> None:
    """First board and steps in headless Chromium, the middle of several runs.

    The first board is printed in the page, for want of script; the element sets its own in its place, mostly before
    anything is painted.
    """
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        paints, drawn, steps = [], [], []
        for _ in range(5):
            tab = browser.new_page(viewport={"width": 1280, "height": 800})
            tab.add_init_script("customElements.whenDefined('lw-board').then(() => performance.mark('board'))")
            tab.goto(page.as_uri())
            tab.wait_for_timeout(200)
            paint = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? -1"
            paints.append(tab.evaluate(paint))
            drawn.append(tab.evaluate("performance.getEntriesByName('board')[0].startTime"))
            steps += tab.evaluate(
                """n => { const out = []; for (let i = 0; i < n; i++) { const at = performance.now();
                document.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true}));
                out.push(performance.now() - at); } return out }""",
                STEPS,
            )
            tab.close()
        browser.close()
    steps.sort()
    first, own = statistics.median(paints), statistics.median(drawn)
    print(f"first board: {first:.0f} ms of 300 ms; the board element stands after {own:.0f} ms")
    print(f"a step: p50 {steps[len(steps) // 2]:.2f} ms, p99 {steps[int(len(steps) * 0.99)]:.2f} ms of 16 ms")


if __name__ == "__main__":
    main()

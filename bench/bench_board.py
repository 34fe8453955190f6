"""How long the board element takes for a step, as a share of a frame at 60 Hz (16.7 ms).

    python bench/bench_board.py [TALK]

A talk's steps are shown one after the other in Chromium, forwards and back, with marks on every third and the
squares' names written anew, as on the desk; script and layout are timed, painting is the browser's own.
"""

from __future__ import annotations

import json
import shutil
import statistics
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

import linewright.demo
from linewright.publish.html.board_element import element_script
from linewright.reading.reader import read_talk
from linewright.talk.load import load_talk

FRAME = 1000 / 60
TALK = Path(linewright.demo.__file__).with_name("talk.md")
SCRIPT = """
(states) => {
  const board = document.querySelector("lw-board");
  const times = [];
  for (const state of [...states, ...states.toReversed()]) {
    const begun = performance.now();
    board.show(state);
    board.getBoundingClientRect();
    times.push(performance.now() - begun);
  }
  return times;
}
"""


def main() -> None:
    talk = Path(sys.argv[1]) if len(sys.argv) > 1 else TALK
    walk = read_talk(load_talk(talk))
    mark = [{"shape": "ring", "squares": ["e5"]}, {"shape": "path", "squares": ["f3", "e5"]}]
    states = [
        {"fen": walk.nodes[step.node].fen, "last": walk.nodes[step.node].uci, "marks": mark if i % 3 == 0 else []}
        for i, step in enumerate(walk.steps)
    ]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content(f'<lw-board can="move mark"></lw-board><script>{element_script()}</script>')
        session = page.context.new_cdp_session(page)
        for slower in (1, 4):
            session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
            page.evaluate(SCRIPT, json.loads(json.dumps(states)))
            times = sorted(page.evaluate(SCRIPT, states))
            middle, late = statistics.median(times), times[int(len(times) * 0.95)]
            print(
                f"{len(times)} steps, processor {slower} times slower: half in {middle / FRAME:.2f} of a frame, "
                f"95 of 100 in {late / FRAME:.2f}, the slowest {times[-1] / FRAME:.2f}"
            )
        browser.close()


if __name__ == "__main__":
    main()

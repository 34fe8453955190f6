"""The desk's times: typing, evidence, reading, dictation's part, and 50 pages open at once.

    python bench/bench_desk.py --base games.duckdb

The desk runs in a process of its own, as it does for a user, so that it is not slowed down by what measures it.

Typing is measured in Chromium: from the key's own time stamp to the first moment after the frame that shows it has
been drawn, in a talk of 2,000 words (of the given talks), while evidence is fetched. Evidence is measured from a
page's request to the replies' arrival at the socket; without an engine. With ``--pages 50`` as many other pages are
open, each with a talk of its own, each asking for evidence every few seconds, and three of them being written; the
same figures are taken again. What a figure means depends on the machine and what else it does, so the load is printed
too, and the targets of the issue stand beside.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import multiprocessing
import os
import random
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import chess
import numpy as np
from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.desk.support import Running
from websockets.asyncio.client import connect

from linewright.desk.serving import OPENING, serve
from linewright.desk.state import Desk

TALKS = Path(__file__).resolve().parents[2] / "shared" / "talks"
WORDS = 2000
KEYS = 240
#: Of the other pages, those whose talk is being written too.
TYPISTS = 3
START = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1"
#: Positions that evidence is asked for, each once: enough for a 99th percentile to be more than the
#: worst of all.
ASKED = 500

WATCH = """
window.times = [];
addEventListener("keydown", (event) => {
  const began = event.timeStamp;
  const channel = new MessageChannel();
  channel.port1.onmessage = () => window.times.push(performance.now() - began);
  requestAnimationFrame(() => channel.port2.postMessage(0));
}, true);
"""


def long_talk() -> str:
    """2,000 words of real talks."""
    parts = [(TALKS / f"{name}.txt").read_text(encoding="utf-8") for name in ("panov", "scotch", "benoni")]
    text = "\n\nBack to the start.\n\n".join(parts)
    while len(text.split()) > WORDS:
        text = text[: text.rstrip().rfind(" ")]
    return f"# Two evenings\n\n{text}\n"


def _serve(pipe: Connection, folder: Path, home: Path, base: Path) -> None:
    serve(Desk(folder, base, home, Path("/nowhere/engine")), say=pipe.send)


@contextmanager
def serving(folder: Path, home: Path, base: Path) -> Iterator[Running]:
    """A desk in a process of its own, without an engine."""
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_serve, args=(theirs, folder, home, base))
    process.start()
    address = urlsplit(ours.recv().rpartition(" ")[2])
    time.sleep(OPENING)  # until then no browser comes
    port, (token,) = address.port or 0, parse_qs(address.query)["token"]
    try:
        yield Running(f"http://127.0.0.1:{port}", port, folder, home, Desk(folder, base, home), token)
    finally:
        process.terminate()
        process.join(20)


def percentiles(times: list[float]) -> str:
    return ", ".join(f"p{p} {np.percentile(times, p):.1f} ms" for p in (50, 95, 99))


def typing(desk: Running, talk: str) -> list[float]:
    """Milliseconds from key to picture, typing in the middle of the talk."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1400, "height": 900})
        page.add_init_script(WATCH)
        page.goto(desk.door)
        page.goto(f"{desk.root}/talk/{talk}")
        until(page, "document.querySelectorAll('[data-fig]').length > 0", 60)
        page.focus("#text")
        page.evaluate(
            "const t = document.getElementById('text'); const m = t.value.indexOf('\\n', t.value.length / 2);"
            "t.setSelectionRange(m, m)"
        )
        page.keyboard.type(" And now ")
        page.wait_for_timeout(500)
        page.evaluate("window.times.length = 0")
        words = "we look at it once more, because knight f3 and bishop c4 are good moves here, and so is castles. " * 5
        for letter in words[:KEYS]:
            page.keyboard.type(letter)
            page.wait_for_timeout(25)
        page.wait_for_timeout(300)
        times = page.evaluate("window.times")
        browser.close()
    return [float(t) for t in times]


def until(page: Any, script: str, seconds: float) -> None:
    end = time.monotonic() + seconds
    while not page.evaluate(script):
        assert time.monotonic() < end, script
        page.wait_for_timeout(50)


def readings(desk: Running, talk: str) -> tuple[dict[str, float], list[str]]:
    """Seconds of reading a talk and its changes, and its positions."""
    reading = {}
    with desk.page(talk) as live:
        text = live.hear("hello")["text"]
        began = time.perf_counter()
        live.send(do="text", serial=1, text=text)
        live.send(do="evidence", fen=START, side="")
        live.hear("replies")
        reading["the very first replies, meanwhile"] = time.perf_counter() - began
        live.hear("peek", 60)
        reading["whole talk, first moves shown"] = time.perf_counter() - began
        steps = live.hear("walk", 60)["steps"]
        reading["whole talk, first time"] = time.perf_counter() - began
        live.hear("map", 60)
        serial = 1
        middle = text.index("\n", len(text) // 2)
        for label, changed in (
            ("a word at the end", text.rstrip() + " And"),
            ("a word in the middle, first look", text[:middle] + " nicely" + text[middle:]),
        ):
            began = time.perf_counter()
            serial += 1
            live.send(do="text", serial=serial, text=changed)
            if "look" in label:
                live.hear("peek", 60)
                reading[label] = time.perf_counter() - began
                live.hear("walk", 60)
                label = "a word in the middle, whole"
            else:
                live.hear("walk", 60)
            reading[label] = time.perf_counter() - began
            live.hear("map", 60)
    return reading, [step["fen"] for step in steps if "fen" in step]


def positions(fens: list[str]) -> list[str]:
    """The talk's own positions and, so that none is asked for twice, others a move away from them, in chance order."""
    found = list(dict.fromkeys(fens))
    for fen in list(found):
        board = chess.Board(fen)
        for move in board.legal_moves:
            board.push(move)
            found.append(board.fen())
            board.pop()
    chosen = list(dict.fromkeys(found))
    random.Random(6).shuffle(chosen)
    return chosen[: 2 * ASKED]


def evidence(desk: Running, talk: str, fens: list[str]) -> tuple[list[float], list[float]]:
    """Milliseconds to replies, and to games worth showing too, for positions of the talk; the first asked first."""
    replies, models = [], []
    with desk.page(talk) as live:
        live.hear("hello")
        for fen in fens:
            began = time.perf_counter()
            live.send(do="evidence", fen=fen, side="white")
            assert live.hear("replies")["fen"] == fen
            replies.append(1000 * (time.perf_counter() - began))
            live.hear("models", 60)
            models.append(1000 * (time.perf_counter() - began))
    return replies, models


@contextmanager
def crowd(desk: Running, pages: int, text: str) -> Iterator[None]:
    """So many other pages, each with a talk of its own, in a thread of this process."""
    for number in range(pages):
        (desk.folder / f"other-{number}.md").write_text(text, encoding="utf-8")
    stop = threading.Event()
    ready = threading.Semaphore(0)

    async def one(number: int) -> None:
        chance = random.Random(number)
        headers = {"cookie": desk.cookie}
        address = f"ws://127.0.0.1:{desk.port}/live?talk=other-{number}.md"
        async with connect(address, origin=desk.root, additional_headers=headers, max_size=None) as socket:  # type: ignore[arg-type]
            hello = json.loads(await socket.recv())
            ready.release()
            own = hello["text"]
            fens = [START]
            serial = 0
            while not stop.is_set():
                await socket.send(json.dumps({"do": "evidence", "fen": chance.choice(fens), "side": ""}))
                if number < TYPISTS and chance.random() < 0.5:
                    serial += 1
                    own += " And"
                    await socket.send(json.dumps({"do": "text", "serial": serial, "text": own}))
                until = time.monotonic() + chance.uniform(2.0, 4.0)
                while time.monotonic() < until and not stop.is_set():
                    try:
                        told = json.loads(await asyncio.wait_for(socket.recv(), until - time.monotonic()))
                    except TimeoutError:
                        break
                    if told["what"] == "replies":
                        fens += [told["fen"]]

    async def all_pages() -> None:
        await asyncio.gather(*(one(number) for number in range(pages)))

    thread = threading.Thread(target=lambda: asyncio.run(all_pages()), daemon=True)
    thread.start()
    for _ in range(pages):
        ready.acquire()
    try:
        yield
    finally:
        stop.set()
        thread.join(10)


def report(desk: Running, talk: str, times: int, fens: list[str]) -> None:
    replies, models = evidence(desk, talk, fens[:ASKED] if times == 1 else fens[ASKED:])
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    print(f"  typing: {percentiles(typing(desk, talk))} (target p95 {30 * times} ms)")
    print(
        f"  evidence, replies: {percentiles(replies)}, the first {replies[0]:.0f} ms, the slowest {max(replies):.0f} ms"
        f" (target p99 {150 * times} ms); with games worth showing: {percentiles(models)}, the first {models[0]:.0f} ms"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--base", type=Path, required=True)
    parser.add_argument("--pages", type=int, default=50)
    given = parser.parse_args()
    text = long_talk()
    with tempfile.TemporaryDirectory() as held:
        folder, home = Path(held) / "talks", Path(held) / "home"
        folder.mkdir()
        (folder / "long.md").write_text(text, encoding="utf-8")
        with serving(folder, home, given.base) as desk:
            print(f"{len(text.split()):,} words, one page")
            reading, fens = readings(desk, "long.md")
            fens = positions(fens)
            report(desk, "long.md", 1, fens)
            for label, seconds in reading.items():
                print(f"  reading, {label}: {seconds:.2f} s")
            print(f"and {given.pages} other pages")
            short = "\n\n".join(text.split("\n\n")[:3])
            with crowd(desk, given.pages, short):
                report(desk, "long.md", 2, fens)


if __name__ == "__main__":
    main()

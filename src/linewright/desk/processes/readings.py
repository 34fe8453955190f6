"""The desk's side of the reading process: texts in, readings out to whoever asked."""

from __future__ import annotations

import asyncio
import contextlib
import itertools
import multiprocessing
import queue
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any

from linewright.desk.messages.to_manuscript import Trouble
from linewright.desk.processes.interrupt_shield import start_undisturbed
from linewright.desk.processes.reading_process import Ask, Forget, Phrase, Read, ReadingNews, reading_process
from linewright.lesson.walk import Walk
from linewright.support.errors import UnusableInput

Hearer = Callable[[ReadingNews], None]

#: Names pages of the desk's own, for readings that no page asked for.
_own = itertools.count(1)


class Readings:
    """Use it in the event loop's thread. The process starts with :meth:`warm`, and again with a text if it died."""

    def __init__(self, base: Path, verdicts: Path) -> None:
        self._base, self._verdicts = base, verdicts
        self._hearers: dict[str, Hearer] = {}
        self._newest: dict[str, Read] = {}
        self._process: SpawnProcess | None = None
        self._pipe: Connection | None = None
        self._out: queue.Queue[Any] = queue.Queue()

    def warm(self) -> None:
        """Start the process: it takes a second, in which the browser opens."""
        if self._process is None:
            self._start()

    def open(self, page: str, hearer: Hearer) -> None:
        """``hearer`` hears all that is sent about a page's texts, in the event loop."""
        self._hearers[page] = hearer

    def close_page(self, page: str) -> None:
        """Forget a page that was closed."""
        self._hearers.pop(page, None)
        self._newest.pop(page, None)
        self._send(Forget(page))

    def read(self, job: Read) -> None:
        """Read a page's newest text; older ones that wait are dropped."""
        self._newest[job.page] = job
        self._send(job)

    def ask(self, job: Ask) -> None:
        """Look at a doubtful place, or settle it."""
        self._send(job)

    def correct(self, phrase: Phrase) -> None:
        """Correct a dictated phrase."""
        self._send(phrase)

    async def walk(self, path: Path, text: str) -> Walk:
        """The walk of a talk, for the stage and others: read once, without a page.

        :raises UnusableInput: when the text can't be read.
        """
        page = f"own-{next(_own)}"
        done: asyncio.Future[Walk] = asyncio.get_running_loop().create_future()

        def heard(news: ReadingNews) -> None:
            if done.done():
                return
            if news.walk is not None:
                done.set_result(news.walk)
            elif isinstance(news.message, Trouble):
                done.set_exception(UnusableInput(news.message.why or "this talk is empty", news.message.todo))

        self.open(page, heard)
        try:
            self.read(Read(page, 1, path, text, whole=True))
            return await done
        finally:
            self.close_page(page)

    def end(self) -> None:
        """End the process."""
        if self._process is None:
            return
        self._out.put(None)
        self._process.join(1.0)
        if self._process.is_alive():
            self._process.terminate()
            self._process.join(1.0)
        self._process = None

    # -- the process -------------------------------------------------------------------------------------

    def _send(self, message: Any) -> None:
        if self._process is None or not self._process.is_alive():
            if isinstance(message, Forget):
                return
            self._start()
        self._out.put(message)

    def _start(self) -> None:
        """Start the process, with a thread for each direction: neither end of the pipe may make the desk wait."""
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._out = queue.Queue()
        self._pipe = ours
        process = context.Process(
            target=reading_process, args=(theirs, self._base, self._verdicts), daemon=True, name="linewright-reading"
        )
        start_undisturbed(process)
        self._process = process
        theirs.close()
        loop = asyncio.get_running_loop()
        threading.Thread(target=_pass_on, args=(self._out, ours), daemon=True).start()
        threading.Thread(target=self._listen, args=(ours, loop), daemon=True).start()

    def _listen(self, pipe: Connection, loop: asyncio.AbstractEventLoop) -> None:
        with contextlib.suppress(EOFError, OSError, RuntimeError):
            while True:
                news: ReadingNews = pipe.recv()
                loop.call_soon_threadsafe(self._heard, news)
        with contextlib.suppress(RuntimeError):
            loop.call_soon_threadsafe(self._ended, pipe)

    def _heard(self, news: ReadingNews) -> None:
        hearer = self._hearers.get(news.page)
        if hearer is not None:
            hearer(news)

    def _ended(self, pipe: Connection) -> None:
        """The process died (out of memory, killed): say so to the pages; the next text starts another."""
        if pipe is not self._pipe or self._process is None:
            return
        self._process = None
        for page, job in list(self._newest.items()):
            why, todo = "the reading was interrupted", "It goes on with the next word you type."
            self._heard(ReadingNews(page, Trouble(why, todo, job.serial)))


def _pass_on(out: queue.Queue[Any], pipe: Connection) -> None:
    """Send what is queued; None ends it."""
    with contextlib.suppress(OSError, ValueError):
        while True:
            message = out.get()
            pipe.send(message)
            if message is None:
                return

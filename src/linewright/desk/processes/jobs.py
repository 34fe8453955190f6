"""Long work (hearing a recording, building a lesson) in processes of their own: with progress, and to be stopped."""

from __future__ import annotations

import asyncio
import contextlib
import itertools
import multiprocessing
import os
import threading
from collections.abc import Callable
from dataclasses import replace
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import Any

from linewright.desk.hub import Hub
from linewright.desk.messages.to_manuscript import JobNews
from linewright.desk.processes.process_priority import give_way
from linewright.support.errors import UnusableInput

#: A job's work: it reports its progress by ``tell(part, words)``, returns fields of :class:`JobNews`.
Tell = Callable[[float, str], None]
#: Jobs at once: each wants a processor of its own.
AT_ONCE = 2


class Jobs:
    """The desk's running jobs. Use it in the event loop's thread."""

    def __init__(self, hub: Hub) -> None:
        self._hub = hub
        self._numbers = itertools.count(1)
        self._running: dict[int, SpawnProcess] = {}

    def start(self, kind: str, talk: str, work: Callable[..., dict[str, Any]], *given: Any) -> int:
        """Start ``work(tell, *given)`` in a process; the hub publishes how it goes on. Returns the job's number.

        :param kind: ``"hear"``, ``"build"`` or ``"check"``.
        :param talk: the talk's or recording's name in the folder.
        :param work: a function at a module's top level.
        :raises UnusableInput: when too much is going on.
        """
        if len(self._running) >= AT_ONCE:
            raise UnusableInput(f"{len(self._running)} jobs are going on", "Wait for one to end, or stop one.")
        number = next(self._numbers)
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(target=_job, args=(theirs, work, given), daemon=True, name=f"linewright-{kind}")
        process.start()
        theirs.close()
        self._running[number] = process
        news = JobNews(number, kind, talk, "running", words="starting")
        self._hub.publish(news)
        loop = asyncio.get_running_loop()
        threading.Thread(target=self._listen, args=(ours, loop, number, news), daemon=True).start()
        return number

    def stop(self, number: int) -> bool:
        """Stop a job; what it had not finished writing is not there. False when there is no such job."""
        process = self._running.get(number)
        if process is None:
            return False
        process.terminate()
        return True

    def end(self) -> None:
        """Stop all."""
        for process in self._running.values():
            process.terminate()
        for process in self._running.values():
            process.join(1.0)

    def _listen(self, pipe: Connection, loop: asyncio.AbstractEventLoop, number: int, news: JobNews) -> None:
        last: dict[str, Any] = {"state": "stopped"}
        with contextlib.suppress(EOFError, OSError):
            while True:
                last = pipe.recv()
                if last["state"] != "running":
                    break
                loop.call_soon_threadsafe(self._hub.publish, replace(news, **last))
                last = {"state": "stopped"}
        with contextlib.suppress(RuntimeError):
            loop.call_soon_threadsafe(self._done, number, replace(news, **{"words": "", **last}))

    def _done(self, number: int, news: JobNews) -> None:
        self._running.pop(number, None)
        self._hub.publish(news)


def _job(pipe: Connection, work: Callable[..., dict[str, Any]], given: tuple[Any, ...]) -> None:
    """A job's process."""
    give_way()

    def tell(part: float, words: str) -> None:
        pipe.send({"state": "running", "part": round(part, 3), "words": words})

    try:
        pipe.send({"state": "done"} | work(tell, *given))
    except UnusableInput as trouble:
        pipe.send({"state": "failed", "why": trouble.what, "todo": trouble.todo})
    except SystemExit:
        os._exit(0)  # stopped, and all is closed: what an engine's event loop leaves behind is not the user's business
    except Exception as error:
        pipe.send({"state": "failed", "why": f"{type(error).__name__}: {error}", "todo": "Please report it."})

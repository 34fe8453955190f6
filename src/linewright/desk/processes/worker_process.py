"""A process that does one thing after the other for the desk, started with the first, and again if it died."""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from typing import Any, TypeVar

from linewright.support.errors import UnusableInput

Result = TypeVar("Result")


class WorkerProcess:
    """Use it in the event loop's thread.

    :param died: what is said of work whose process died, and ``todo`` what to do then.
    :param prepare: run in the process first, with ``given``.
    """

    def __init__(self, died: str, todo: str, prepare: Callable[..., None] | None = None, *given: Any) -> None:
        self._died, self._todo = died, todo
        self._prepare, self._given = prepare, given
        self._pool: ProcessPoolExecutor | None = None

    async def run(self, work: Callable[[], Result]) -> Result:
        """What the work returns; a function at a module's top level, or a partial of one.

        :raises UnusableInput: when the process died; and whatever the work raises.
        """
        if self._pool is None:
            self._pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), self._prepare, self._given)
        try:
            return await asyncio.get_running_loop().run_in_executor(self._pool, work)
        except BrokenExecutor as error:
            self._pool = None
            raise UnusableInput(f"{self._died}: {error}", self._todo) from None

    def end(self) -> None:
        """Let the process go; what it has not begun is not done."""
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)

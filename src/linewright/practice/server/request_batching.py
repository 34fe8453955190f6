"""What many ask at once, answered in one batch: those who ask while one round is under way share the next one.

A class whose bell has just rung asks five hundred things in one instant. One statement for all of them costs little
more than one for each of a few, and a hop to a thread costs more than the statement.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from linewright.support.errors import UnusableInput

#: Syncs in one transaction at most, so that the first of them does not wait long for the last.
SYNCS = 128
#: Links looked up in one statement at most.
LINKS = 256

Asked = TypeVar("Asked")
Answer = TypeVar("Answer")


class RequestBatches(Generic[Asked, Answer]):
    """Asks in rounds, one round after the other, in a thread. Use it within one event loop.

    :param work: answers several at once, in their order; an :class:`UnusableInput` for one it can't answer.
    :param most: how many are asked in one round.
    """

    def __init__(self, work: Callable[[Sequence[Asked]], Sequence[Answer | UnusableInput]], most: int) -> None:
        self._work = work
        self._most = most
        self._waiting: list[tuple[Asked, asyncio.Future[Answer]]] = []
        self._rounds: asyncio.Task[None] | None = None

    async def ask(self, asked: Asked) -> Answer:
        """The answer, once its round is done; what is written lies on the disk by then.

        :raises UnusableInput: where the work says so; and whatever it raises for a whole round.
        """
        future: asyncio.Future[Answer] = asyncio.get_running_loop().create_future()
        self._waiting.append((asked, future))
        if self._rounds is None or self._rounds.done():
            self._rounds = asyncio.create_task(self._go_round())
        return await future

    async def _go_round(self) -> None:
        while self._waiting:
            batch, self._waiting = self._waiting[: self._most], self._waiting[self._most :]
            try:
                done = await asyncio.to_thread(self._work, [asked for asked, _ in batch])
            except Exception as error:
                for _, future in batch:
                    if not future.done():
                        future.set_exception(error)
                continue
            for (_, future), answer in zip(batch, done, strict=True):
                if future.done():
                    continue  # who asked has gone away; what was written is kept all the same
                if isinstance(answer, UnusableInput):
                    future.set_exception(answer)
                else:
                    future.set_result(answer)

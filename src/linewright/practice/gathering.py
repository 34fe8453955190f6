"""Many pupils' answers at once: those that come while a transaction is written share the next one."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

from linewright.errors import UnusableInput
from linewright.practice.log import Entry
from linewright.practice.store import Store, Synced

#: Syncs in one transaction at most, so that the first of them does not wait long for the last.
MOST = 64


class Gatherer:
    """Keeps answers, one transaction after the other; each answer is told as kept only when it lies on the disk.

    Use it within one event loop.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._waiting: list[tuple[tuple[str, Sequence[Entry], int], asyncio.Future[Synced]]] = []
        self._writer: asyncio.Task[None] | None = None

    async def sync(self, pupil_id: str, sent: Sequence[Entry], since: int) -> Synced:
        """As :meth:`linewright.practice.store.Store.sync`.

        :raises UnusableInput: as there.
        """
        future: asyncio.Future[Synced] = asyncio.get_running_loop().create_future()
        self._waiting.append(((pupil_id, sent, since), future))
        if self._writer is None or self._writer.done():
            self._writer = asyncio.create_task(self._write())
        return await future

    async def _write(self) -> None:
        while self._waiting:
            batch, self._waiting = self._waiting[:MOST], self._waiting[MOST:]
            try:
                done = await asyncio.to_thread(self._store.sync_many, [asked for asked, _ in batch])
            except Exception as error:
                for _, future in batch:
                    if not future.done():
                        future.set_exception(error)
                continue
            for (_, future), answer in zip(batch, done, strict=True):
                if future.done():
                    continue  # the pupil's device has gone away; the answer is kept all the same
                if isinstance(answer, UnusableInput):
                    future.set_exception(answer)
                else:
                    future.set_result(answer)

"""News for open pages: what changed on the disk, and how jobs progress."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from linewright.desk.messages.to_manuscript import JobNews


@dataclass(frozen=True, slots=True)
class FileNews:
    """A talk, or its answers file, was changed: names in the folder."""

    talk: str
    file: str


News = FileNews | JobNews

#: News that wait for a page before the oldest are dropped: a page that sleeps asks again when it wakes.
MOST_WAITING = 100


class Hub:
    """Passes news to all who listen. Use it in the event loop's thread."""

    def __init__(self) -> None:
        self._listening: set[asyncio.Queue[News]] = set()

    @contextmanager
    def listening(self) -> Iterator[asyncio.Queue[News]]:
        """A queue of the news from now on."""
        waiting: asyncio.Queue[News] = asyncio.Queue(MOST_WAITING)
        self._listening.add(waiting)
        try:
            yield waiting
        finally:
            self._listening.discard(waiting)

    def publish(self, news: News) -> None:
        """Give news to every listener."""
        for waiting in self._listening:
            if waiting.full():
                waiting.get_nowait()
            waiting.put_nowait(news)

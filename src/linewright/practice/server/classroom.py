"""A class that practises: who is known, what its page is given, how often somebody may ask."""

from __future__ import annotations

import asyncio
import gzip
import json
import time
from concurrent.futures import ThreadPoolExecutor

from linewright.practice.classes.class_rows import Pupil, SchoolClass
from linewright.practice.classes.store import Store
from linewright.practice.drills.drill import Drill, Task
from linewright.practice.outputs.practice_page import Setting, lesson_data
from linewright.practice.playing_on import Partner
from linewright.practice.server.limits import (
    LATE_BURST,
    LATE_RATE,
    PUPIL_BURST,
    PUPIL_RATE,
    STRANGER_BURST,
    STRANGER_RATE,
    WHOLE_BURST,
    WHOLE_RATE,
    Limit,
)
from linewright.practice.server.request_batching import LINKS, SYNCS, RequestBatches

#: Seconds for which a link is taken as known: so soon does revoking it work.
KNOWN_FOR = 1.0
#: Links remembered so at most.
MOST_KNOWN = 5000
#: Moves that the engine is asked for at once, the rest is asked to try again: a move takes a twentieth of a second.
MOST_PLAYING = 40


class Classroom:
    """What the pupils' handlers share: the store, who is known, how often who may ask."""

    def __init__(self, store: Store, partner: Partner | None) -> None:
        self.store = store
        self.partner = partner
        self.playing = asyncio.Semaphore(MOST_PLAYING)
        # The engine plays one move at a time; those who wait for it take no thread that keeps the others' answers.
        self.at_the_engine = ThreadPoolExecutor(1, thread_name_prefix="linewright-partner")
        self.syncs = RequestBatches(store.sync_many, SYNCS)
        self.links = RequestBatches(store.pupils_of, LINKS)
        self.pupils = Limit(PUPIL_RATE, PUPIL_BURST)
        self.strangers = Limit(STRANGER_RATE, STRANGER_BURST)
        self.latecomers = Limit(LATE_RATE, LATE_BURST)
        self.whole_logs = Limit(WHOLE_RATE, WHOLE_BURST)
        self._known: dict[str, tuple[float, tuple[Pupil, SchoolClass]]] = {}
        self._lessons: dict[str, tuple[str, bytes]] = {}
        self._played_on: dict[str, tuple[str, dict[str, Drill]]] = {}

    async def who(self, token: str) -> tuple[Pupil, SchoolClass] | None:
        """Whose secret it is."""
        known = self._known.get(token)
        if known is not None and time.monotonic() - known[0] < KNOWN_FOR:
            return known[1]
        found = await self.links.ask(token)
        if len(self._known) >= MOST_KNOWN:
            self._known.clear()
        if found is None:
            self._known.pop(token, None)
        else:
            self._known[token] = (time.monotonic(), found)
        return found

    def was_in(self, token: str) -> bool:
        """Whether this secret has opened the door since the server began, and was not refused since."""
        return token in self._known

    async def lessons(self, school_class: SchoolClass) -> bytes:
        """What the page needs of a class, as compressed JSON; rebuilt only when the class's lessons change."""
        stamp = await asyncio.to_thread(self.store.stamp, school_class.id)
        kept = self._lessons.get(school_class.id)
        if kept is None or kept[0] != stamp:
            kept = (stamp, await asyncio.to_thread(self._lessons_of, school_class))
            self._lessons[school_class.id] = kept
        return kept[1]

    async def played_on(self, school_class: SchoolClass) -> dict[str, Drill]:
        """The positions of a class that are played on, by name."""
        stamp = await asyncio.to_thread(self.store.stamp, school_class.id)
        kept = self._played_on.get(school_class.id)
        if kept is None or kept[0] != stamp:
            drills = await asyncio.to_thread(self.store.drills, school_class.id)
            kept = (stamp, {drill.id: drill for drill in drills if drill.task is Task.PLAY})
            self._played_on[school_class.id] = kept
        return kept[1]

    def _lessons_of(self, school_class: SchoolClass) -> bytes:
        setting = Setting(school_class.retention, school_class.minutes, school_class.weights)
        drills = self.store.drills(school_class.id)
        if self.partner is None:
            drills = tuple(drill for drill in drills if drill.task is not Task.PLAY)
        data = lesson_data(drills, school_class.name, setting)
        return gzip.compress(json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode(), mtime=0)

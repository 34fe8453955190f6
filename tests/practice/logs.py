"""Random logs of a pupil: reviews and undos, also of undos, of nothing, and at the same moment."""

from __future__ import annotations

import uuid

from hypothesis import strategies as st

from linewright.practice.schedule.log import EntryKind, LogEntry

DRILLS = ("0" * 16, "1" * 16, "a" * 16)
#: 2026-01-01 UTC.
START = 1_767_225_600_000
DAY = 86_400_000


@st.composite
def logs(draw: st.DrawFn, most: int = 25) -> tuple[LogEntry, ...]:
    made: list[LogEntry] = []
    at = START
    for _ in range(draw(st.integers(0, most))):
        at += draw(st.sampled_from([0, 1, 30_000, 700_000, DAY // 2, DAY, 9 * DAY]))
        name = str(uuid.UUID(int=draw(st.integers(1, 2**128 - 1)), version=4))
        if made and draw(st.integers(0, 3)) == 0:
            target = draw(st.sampled_from(made))
            missing = draw(st.integers(0, 9)) == 0
            made.append(
                LogEntry(name, EntryKind.UNDO, target.drill, at, undoes=str(uuid.UUID(int=7)) if missing else target.id)
            )
        else:
            rating = draw(st.sampled_from([1, 2, 3, 3, 4]))
            made.append(LogEntry(name, EntryKind.REVIEW, draw(st.sampled_from(DRILLS)), at, rating, "e2e4", 4000))
    return tuple({entry.id: entry for entry in made}.values())

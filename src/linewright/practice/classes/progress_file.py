"""Progress files: what a pupil's practice page saves and takes in, and what is handed over of a pupil."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

from linewright.practice.classes.class_rows import Pupil, SchoolClass
from linewright.practice.classes.log_sync import PAGE
from linewright.practice.classes.store import Store
from linewright.practice.schedule.log import LogEntry, entries_of_json, entry_json
from linewright.support.errors import UnusableInput

#: What a progress file says that it is, and its format's version.
FORMAT, VERSION = "practice log", 1
_SAVE: Final = "Save one from the practice page."


def receive_progress(store: Store, pupil: Pupil, path: Path) -> tuple[int, int]:
    """Take in a progress file: how many answers were new, and how many lines were invalid.

    :raises UnusableInput: when it is not a progress file.
    """
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        rows = data["entries"] if data["linewright"] == FORMAT else None
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise UnusableInput(f"{path} is not a progress file: {error}", _SAVE) from None
    if not isinstance(rows, list):
        raise UnusableInput(f"{path} is not a progress file", _SAVE)
    entries: list[LogEntry] = []
    wrong = 0
    for found in entries_of_json(rows):
        if isinstance(found, LogEntry):
            entries.append(found)
        else:
            wrong += 1
    new = 0
    for first in range(0, len(entries), PAGE):
        new += store.sync(pupil.id, entries[first : first + PAGE]).new
    return new, wrong


def progress_document(store: Store, mine: SchoolClass, pupil: Pupil) -> dict[str, Any]:
    """All that is stored about a pupil, as JSON values."""
    log = store.log(pupil.id)
    return {
        "linewright": FORMAT,
        "version": VERSION,
        "title": mine.name,
        "pupil": pupil.name,
        "link": "works" if pupil.linked else "none",
        "entries": [entry_json(entry) for entry in log],
    }

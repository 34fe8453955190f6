"""Changes on the disk, as they happen."""

from __future__ import annotations

import asyncio
import contextlib
from pathlib import Path

from watchfiles import awatch

from linewright.desk.hub import FileNews, Hub
from linewright.talk.load import EDITED_SUFFIXES

#: Milliseconds in which changes are gathered: an editor's writing and renaming is one change.
GATHERED = 80


async def watch(root: Path, hub: Hub) -> None:
    """Publish every talk or answers file changed in the folder, until cancelled."""
    stop = asyncio.Event()
    try:
        async for changes in awatch(root, debounce=GATHERED, step=20, stop_event=stop, recursive=True):
            names = sorted({_name(root, Path(path)) for _, path in changes} - {""})
            for name in names:
                hub.publish(FileNews(name.removesuffix(".answers"), name))
    except asyncio.CancelledError:
        stop.set()
        raise


def _name(root: Path, path: Path) -> str:
    """The changed file's name in the folder; ``""`` for what is no page's business."""
    with contextlib.suppress(ValueError):
        inside = path.relative_to(root)
        hidden = any(part.startswith(".") for part in inside.parts)
        if not hidden and inside.name.removesuffix(".answers").lower().endswith(EDITED_SUFFIXES):
            return inside.as_posix()
    return ""

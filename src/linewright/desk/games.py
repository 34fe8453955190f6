"""The games base of a running desk: opened when it is first asked, and again when its file was changed."""

from __future__ import annotations

from pathlib import Path

from linewright.games.api import GameSource, open_games
from linewright.support.errors import UnusableInput

#: The stamp before anyone asked.
_NOT_LOOKED = object()


class GamesAt:
    """A base that may come, change and go while the desk is open. Use it in one thread.

    :param path: the base's file or folder; it need not be there.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.trouble = ""
        self._base: GameSource | None = None
        self._stamp: object = _NOT_LOOKED

    @property
    def stamp(self) -> object:
        """What the opened base's file was like; None where there is none."""
        return self._stamp if self._base is not None else None

    def base(self) -> GameSource | None:
        """The base as it is now, the starter table where there is none; None where it can't be opened: then ``trouble``
        says why."""
        stamp = self._now()
        if stamp == self._stamp:
            return self._base
        self.close()
        self._stamp = stamp
        try:
            self._base = open_games(self.path)
            self.trouble = ""
        except UnusableInput as trouble:
            self.trouble = str(trouble)
        return self._base

    def close(self) -> None:
        """Let go of the file."""
        if self._base is not None:
            self._base.close()
            self._base = None

    def _now(self) -> object:
        try:
            state = self.path.stat()
        except OSError:
            return None
        return state.st_ino, state.st_mtime_ns, state.st_size

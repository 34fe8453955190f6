"""Earlier versions of the talks, kept in the user's data folder so that nothing written on the desk is lost.

They only ever help to go back: the talks themselves stay the truth, and a version store that is deleted takes
nothing from them.
"""

from __future__ import annotations

import hashlib
import json
import time
import zlib
from dataclasses import asdict, dataclass
from pathlib import Path

from linewright.support.atomic_write import write

#: Versions kept of one file; at one save every few seconds of typing this is some hours of work.
MOST = 500


def version_of(data: bytes) -> str:
    """A file's content named: SHA-256 in hex, shortened to 128 bits."""
    return hashlib.sha256(data).hexdigest()[:32]


@dataclass(frozen=True, slots=True)
class Version:
    """One kept version.

    :param version: as :func:`version_of`.
    :param time: seconds since 1970, UTC, when it was kept.
    :param size: bytes.
    :param why: what happened: ``"opened"``, ``"saved"``, ``"changed on disk"``, ``"settled"``, ``"built"``.
    """

    version: str
    time: float
    size: int
    why: str


class Versions:
    """The version store of one folder of talks; files are named by their path inside it."""

    def __init__(self, store: Path) -> None:
        self._store = store

    def keep(self, name: str, data: bytes, why: str) -> str:
        """Keep a content unless it is the last one kept; returns its name.

        :raises OSError: when it can't be written.
        """
        version = version_of(data)
        known = self.all(name)
        if known and known[-1].version == version:
            return version
        place = self._place(name)
        place.mkdir(parents=True, exist_ok=True)
        write(place / f"{version}.z", zlib.compress(data))
        known = [*known, Version(version, time.time(), len(data), why)]
        for old in known[:-MOST]:
            if all(old.version != kept.version for kept in known[-MOST:]):
                (place / f"{old.version}.z").unlink(missing_ok=True)
        lines = [json.dumps(asdict(kept)) for kept in known[-MOST:]]
        write(place / "log.jsonl", ("\n".join(lines) + "\n").encode())
        return version

    def get(self, name: str, version: str) -> bytes | None:
        """A kept content; None when there is none of that name."""
        if not version.isalnum():
            return None
        try:
            return zlib.decompress((self._place(name) / f"{version}.z").read_bytes())
        except (OSError, zlib.error):
            return None

    def all(self, name: str) -> list[Version]:
        """The versions of a file, the oldest first; lines of the list that can't be read are left out."""
        try:
            lines = (self._place(name) / "log.jsonl").read_text(encoding="utf-8").splitlines()
        except (OSError, ValueError):
            return []
        out = []
        for line in lines:
            try:
                out.append(Version(**json.loads(line)))
            except (ValueError, TypeError):
                continue
        return out

    def _place(self, name: str) -> Path:
        return self._store / hashlib.sha256(name.encode()).hexdigest()[:24]

"""The folder of talks: what it holds, and saving into it so that neither side's words are ever lost."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from linewright.desk.files.encoding import file_bytes, page_text
from linewright.desk.files.file_swap import swapped_in
from linewright.desk.files.versions import Versions, version_of
from linewright.publish.build import MANIFEST
from linewright.support.errors import UnusableInput
from linewright.talk.load import EDITED_SUFFIXES, MOST_BYTES, RECORDING_SUFFIXES

#: Folders below the folder that are looked into, and talks listed: more is no folder of talks.
DEEPEST, MOST_TALKS = 4, 2000
#: Bytes of a file's or folder's name: most disks take 255, and a temporary name adds some.
LONGEST_NAME = 200


class NoSuchTalk(Exception):
    """There is no such file in the folder, or it is none that a page may see."""


@dataclass(frozen=True, slots=True)
class TalkFile:
    """A talk in the folder.

    :param name: its path inside the folder, with ``/``.
    :param changed: seconds since 1970, UTC.
    :param recording: the name of a recording with the same stem, ``""`` when there is none.
    """

    name: str
    size: int
    changed: float
    recording: str


@dataclass(frozen=True, slots=True)
class Stored:
    """A talk's text as it lies on the disk.

    :param text: with ``\\n`` line ends.
    :param version: names its bytes; ``""`` for a file that isn't there.
    """

    name: str
    text: str
    version: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Conflict:
    """The file was changed since: what it is now, and what both began with (None when that isn't known any more)."""

    theirs: Stored
    common: str | None


class Folder:
    """A folder of talks; may be used from several threads.

    :param root: the folder; nothing outside it is ever read or written, also not through links.
    :param versions: where earlier versions are kept.
    """

    def __init__(self, root: Path, versions: Versions) -> None:
        self.root = root.resolve()
        self.versions = versions
        self._lock = threading.Lock()

    def path(self, name: str) -> Path:
        """The file of a name that a page gave.

        :raises NoSuchTalk: for a name that leads out of the folder or to a hidden file, or is none.
        """
        parts = PurePosixPath(name).parts
        if not parts or "\\" in name or name.startswith("/") or any(ord(c) < 32 for c in name):
            raise NoSuchTalk(name)
        if not _tellable(name) or ":" in parts[0]:
            raise NoSuchTalk(name)
        if any(part.startswith(".") or len(part.encode()) > LONGEST_NAME for part in parts):
            raise NoSuchTalk(name)
        try:
            path = self.root.joinpath(*parts).resolve()
        except (OSError, RuntimeError, ValueError):
            raise NoSuchTalk(name) from None
        if not path.is_relative_to(self.root) or path == self.root:
            raise NoSuchTalk(name)
        return path

    def talk_path(self, name: str) -> Path:
        """As :meth:`path`, for talks only."""
        path = self.path(name)
        if path.suffix.lower() not in EDITED_SUFFIXES:
            raise NoSuchTalk(name)
        return path

    def talks(self) -> tuple[TalkFile, ...]:
        """The talks, by name; what ``build`` made is none."""
        found: list[TalkFile] = []
        for folder, files in self._walk():
            recordings = _recordings(files)
            for file in files:
                path = folder / file
                name = path.relative_to(self.root).as_posix()
                if path.suffix.lower() not in EDITED_SUFFIXES or not _tellable(name) or not self.holds(path):
                    continue
                state = path.stat()
                found.append(TalkFile(name, state.st_size, state.st_mtime, self._beside(path, recordings)))
        return tuple(sorted(found, key=lambda talk: talk.name)[:MOST_TALKS])

    def load(self, name: str) -> Stored:
        """A talk's text.

        :raises NoSuchTalk: when there is none.
        :raises UnusableInput: when it can't be read as text.
        """
        path = self.talk_path(name)
        data = self._read(path)
        if data is None:
            raise NoSuchTalk(name)
        return self._stored(name, data, "opened")

    def save(self, name: str, text: str, base: str) -> Stored | Conflict:
        """Write a text, if the file still is the version that the text was made from.

        :param base: that version; ``""`` for a new file.
        :returns: the new state, or what to settle: the file is untouched then.
        :raises NoSuchTalk: for a name that no talk can have.
        :raises UnusableInput: when it can't be written.
        """
        path = self.talk_path(name)
        with self._lock:
            old = self._read(path)
            if (version_of(old) if old is not None else "") != base:
                return self._conflict(name, old, base)
            new = file_bytes(text, old or b"")
            if old is not None and page_text(old, name)[0] == text:
                return Stored(name, text, base)
            try:
                if old is not None:
                    self.versions.keep(name, old, "opened")
                self.versions.keep(name, new, "saved")
                path.parent.mkdir(parents=True, exist_ok=True)
                theirs = swapped_in(path, new, old)
            except OSError as error:
                raise UnusableInput(
                    f"{name} can't be saved: {error.strerror or error}", "Check the disk and the folder's permissions."
                ) from None
            if theirs is not None:
                return self._conflict(name, theirs, base)
            return Stored(name, text, version_of(new))

    def text_of(self, name: str, version: str) -> str | None:
        """The text of a kept version, None when it isn't kept any more."""
        data = self.versions.get(name, version)
        if data is None:
            return None
        try:
            return page_text(data, name)[0]
        except UnusableInput:
            return None

    # -- helpers -----------------------------------------------------------------------------------------

    def _conflict(self, name: str, data: bytes | None, base: str) -> Conflict:
        theirs = Stored(name, "", "") if data is None else self._stored(name, data, "changed on disk")
        return Conflict(theirs, self.text_of(name, base) if base else "")

    def _stored(self, name: str, data: bytes, why: str) -> Stored:
        text, notes = page_text(data, name)
        return Stored(name, text, self.versions.keep(name, data, why), notes)

    def _read(self, path: Path) -> bytes | None:
        if path.exists() and not path.is_file():  # a pipe would be waited for without end
            raise UnusableInput(f"{path.name} is not a file", "Choose another.")
        try:
            with path.open("rb") as file:
                data = file.read(MOST_BYTES + 1)
        except FileNotFoundError:
            return None
        except OSError as error:
            raise UnusableInput(f"{path.name} can't be read: {error.strerror or error}", "Check the file.") from None
        if len(data) > MOST_BYTES:
            raise UnusableInput(f"{path.name} is over {MOST_BYTES // 2**20} MB, too long for a talk", "Choose another.")
        return data

    def _walk(self) -> Iterator[tuple[Path, list[str]]]:
        for at, folders, files in os.walk(self.root):
            here = Path(at)
            deep = len(here.relative_to(self.root).parts)
            folders[:] = sorted(f for f in folders if not f.startswith(".") and f != "node_modules" and deep < DEEPEST)
            if MANIFEST in files:
                folders[:] = []
                continue
            yield here, sorted(f for f in files if not f.startswith("."))

    def holds(self, path: Path) -> bool:
        """Whether a file lies in the folder, also where links lead."""
        try:
            return path.resolve().is_relative_to(self.root) and path.is_file()
        except (OSError, RuntimeError):
            return False

    def _beside(self, path: Path, recordings: dict[str, str]) -> str:
        file = recordings.get(path.stem, "")
        if not file or not self.holds(path.with_name(file)):
            return ""
        return path.with_name(file).relative_to(self.root).as_posix()


def _recordings(files: Sequence[str]) -> dict[str, str]:
    """Recordings by their names without suffix; of two of one name, the one that browsers play."""
    known = ((rank, file) for file in files for rank in [_rank(file)] if rank is not None)
    return {PurePosixPath(file).stem: file for _, file in sorted(known, reverse=True)}


def _rank(file: str) -> int | None:
    suffix = PurePosixPath(file).suffix.lower()
    return RECORDING_SUFFIXES.index(suffix) if suffix in RECORDING_SUFFIXES else None


def _tellable(name: str) -> bool:
    """A name that can be sent to a browser: old disks hold names in other encodings, which Python marks so."""
    return not any("\ud800" <= char <= "\udfff" for char in name)

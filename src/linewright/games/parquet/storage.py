"""Files of a base in parts: in a folder, or in S3-compatible and other storage that :mod:`fsspec` reaches."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

import fsspec

from linewright.support.errors import UnusableInput
from linewright.support.extras import how_to_install

#: A URL; :class:`pathlib.Path` makes one slash of the two, which is undone.
_URL: Final = re.compile(r"([a-z][a-z0-9+.-]+):/{1,2}(?!/)")


@dataclass(frozen=True, slots=True)
class Storage:
    """A folder's place.

    :param root: path or URL, without a slash at the end.
    """

    root: str

    @classmethod
    def at(cls, path: Path | str) -> Storage:
        """The place that a path or a URL means."""
        text = _URL.sub(r"\1://", str(path), count=1) if _URL.match(str(path)) else str(Path(path).absolute())
        return cls(text.rstrip("/"))

    @property
    def protocol(self) -> str | None:
        """The URL's, such as ``s3``; None for a folder."""
        return self.root.partition("://")[0] if "://" in self.root else None

    @property
    def files(self) -> Any:
        """The file system, as fsspec gives it.

        :raises UnusableInput: when the package that speaks to such storage is not installed.
        """
        try:
            return fsspec.core.url_to_fs(self.root)[0]
        except ImportError as error:
            raise UnusableInput(f"{self.root} can't be reached: {error}", how_to_install("cluster")) from None

    def path(self, name: str) -> str:
        return f"{self.root}/{name}"

    def exists(self, name: str) -> bool:
        return bool(self.files.exists(self.path(name)))

    def size(self, name: str) -> int:
        """Bytes of a file."""
        return int(self.files.size(self.path(name)))

    @contextmanager
    def reading(self, name: str) -> Iterator[IO[bytes]]:
        with self.files.open(self.path(name), "rb") as file:
            yield file

    @contextmanager
    def writing(self, name: str) -> Iterator[IO[bytes]]:
        """Write a file; in a folder it takes its name only when it is whole (storage of objects does so itself)."""
        files, place = self.files, self.path(name)
        if self.protocol is not None:
            with files.open(place, "wb") as file:
                yield file
            return
        files.makedirs(place.rpartition("/")[0], exist_ok=True)
        with files.open(place + ".part", "wb") as file:
            yield file
        files.mv(place + ".part", place)

    def read_json(self, name: str) -> Any:
        with self.reading(name) as file:
            return json.load(file)

    def write_json(self, name: str, value: Any) -> None:
        with self.writing(name) as file:
            file.write(json.dumps(value, ensure_ascii=False, indent=1).encode())

    def remove(self, name: str) -> None:
        """Remove a folder with all that is in it, if it is there."""
        if self.exists(name):
            self.files.rm(self.path(name), recursive=True)

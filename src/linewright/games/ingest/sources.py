"""The files that games are added from: found, opened and unpacked block by block."""

from __future__ import annotations

import bz2
import gzip
import io
import os
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Final, cast

import zstandard

from linewright.support.errors import UnusableInput

#: Bytes of PGN text per block.
BLOCK: Final = 1 << 22

#: What is taken from folders and archives; a file named by the user is taken whatever its name.
SUFFIXES: Final = (".pgn", ".pgn.zst", ".pgn.gz", ".pgn.bz2", ".zip")

#: What unpacking a damaged file can raise.
DAMAGE: Final = (
    OSError,
    EOFError,
    zlib.error,
    zstandard.ZstdError,
    zipfile.BadZipFile,
    NotImplementedError,  # zip: a way of packing that Python doesn't know
    RuntimeError,  # zip: the file is locked with a password
    ValueError,
)


@dataclass(frozen=True, slots=True)
class Block:
    """Bytes of PGN text.

    :param name: the file as the user named it; for a file in an archive ``ARCHIVE/NAME``.
    :param data: unpacked.
    :param read: bytes of the file on disk used so far.
    """

    name: str
    data: bytes
    read: int


def find_game_files(files: Sequence[Path]) -> tuple[Path, ...]:
    """The files to read, folders searched through (names in order), each once.

    :raises UnusableInput: for a path that is missing or can't be read, or where nothing is found.
    """
    found: dict[Path, None] = {}
    for path in files:
        if os.path.isdir(path):  # noqa: PTH112 - Path.is_dir fails where a folder above can't be read
            found.update(dict.fromkeys(_in_folder(path)))
        else:
            found[path] = None
    for path in found:
        _check_readable(path)
    if not found:
        named = ", ".join(map(str, files)) or "nothing"
        raise UnusableInput(
            f"no games file in {named}", f"Name a file, or a folder that holds {', '.join(SUFFIXES)} files."
        )
    return tuple(found)


def _in_folder(folder: Path) -> list[Path]:
    def refuse(error: OSError) -> None:
        raise UnusableInput(
            f"folder {error.filename} can't be read: {error.strerror}", "Make it readable, or leave it out."
        )

    paths = [
        Path(where) / name
        for where, _, names in os.walk(folder, onerror=refuse)
        for name in names
        if name.lower().endswith(SUFFIXES)
    ]
    return sorted(paths)


def _check_readable(path: Path) -> None:
    try:
        with path.open("rb"):
            pass
    except FileNotFoundError:
        raise UnusableInput(f"no such file: {path}", "Check the name.") from None
    except OSError as error:
        raise UnusableInput(f"{path} can't be read: {error.strerror}", "Make it readable.") from None


def blocks(path: Path) -> Iterator[Block]:
    """A file's PGN text; how it is compressed shows in its first bytes, not in its name.

    :raises: one of :data:`DAMAGE` where the file is damaged or cut short; the blocks before are good.
    """
    with path.open("rb") as raw:
        yield from blocks_of(str(path), raw)


def blocks_of(name: str, raw: IO[bytes]) -> Iterator[Block]:
    """As :func:`blocks`, of an open file of that name."""
    magic = raw.read(4)
    raw.seek(0)
    if magic[:4] == b"PK\x03\x04":
        yield from _members(name, raw)
    else:
        yield from _stream(name, _unpacked(raw, magic), raw)


def _unpacked(raw: IO[bytes], magic: bytes) -> IO[bytes]:
    if magic == b"\x28\xb5\x2f\xfd":
        return cast(IO[bytes], _ZstdFile(raw))
    if magic[:2] == b"\x1f\x8b":
        return cast(IO[bytes], gzip.GzipFile(fileobj=raw))
    if magic[:3] == b"BZh":
        return cast(IO[bytes], bz2.BZ2File(raw))
    return raw


class _ZstdFile:
    """Zstandard frames as one stream; unlike the library's reader it tells when the last is cut short."""

    def __init__(self, raw: IO[bytes]) -> None:
        self._raw = raw
        self._frame = zstandard.ZstdDecompressor().decompressobj()
        self._begun = False
        self._ready = b""

    def read(self, size: int) -> bytes:
        while not self._ready:
            packed = self._raw.read(io.DEFAULT_BUFFER_SIZE)
            if not packed:
                if self._begun:
                    raise EOFError("the file ends before its packed data does")
                return b""
            while packed:
                self._begun = True
                self._ready += self._frame.decompress(packed)
                packed = b""
                if self._frame.eof:
                    packed = self._frame.unused_data
                    self._frame = zstandard.ZstdDecompressor().decompressobj()
                    self._begun = False
        data, self._ready = self._ready[:size], self._ready[size:]
        return data


def _members(name: str, raw: IO[bytes]) -> Iterator[Block]:
    with zipfile.ZipFile(raw) as archive:
        for member in archive.infolist():
            if member.is_dir() or not member.filename.lower().endswith(SUFFIXES[:-1]):
                continue
            with archive.open(member) as unzipped:
                magic = unzipped.read(4)
            with archive.open(member) as unzipped:
                yield from _stream(f"{name}/{member.filename}", _unpacked(unzipped, magic), raw)


def _stream(name: str, stream: IO[bytes], raw: IO[bytes]) -> Iterator[Block]:
    while data := _read(stream):
        yield Block(name, data, raw.tell())


def _read(stream: IO[bytes]) -> bytes:
    """Up to :data:`BLOCK` bytes; what was unpacked before damage is given before the damage is reported."""
    parts, size = [], 0
    try:
        while size < BLOCK and (part := stream.read(min(BLOCK - size, io.DEFAULT_BUFFER_SIZE * 16))):
            parts.append(part)
            size += len(part)
    except DAMAGE:
        if not parts:
            raise
    return b"".join(parts)

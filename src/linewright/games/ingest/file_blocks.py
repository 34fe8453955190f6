"""The stretches of a file, unpacked and cut into games, some ahead of their use.

Of a large file this is done in a process of its own, since Python runs only one thread at a time: reading what was cut
takes all of it. Run as a program, this module is that process: it writes what it cuts to its standard output.
"""

from __future__ import annotations

import os
import pickle
import queue
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import suppress
from itertools import groupby
from pathlib import Path
from typing import IO, Final, TypeVar

from linewright.games.ingest.sources import DAMAGE, Block, blocks, blocks_of
from linewright.games.ingest.splitting import Cut, cut
from linewright.support.errors import UnusableInput

Item = TypeVar("Item")

#: A stretch's file as the user named it (in an archive ARCHIVE/NAME), the bytes of the file used so far, and its games.
Piece = tuple[str, int, Cut]

#: Pieces of text that are cut ahead of their use.
AHEAD: Final = 2

#: Bytes of a file from which a process of its own pays: packed, it takes a second to read; starting takes a fifth.
LARGE: Final = 1 << 22


def pieces_ahead(path: Path, trouble: list[str]) -> Iterator[Piece]:
    """As :func:`pieces`, some ahead of their use."""
    begun = False
    if path.stat().st_size >= LARGE and sys.executable:
        for piece in _from_process(path, trouble):
            begun = True
            yield piece
    if not begun and not trouble:  # a small file, or no process is to be had here
        yield from _ahead(pieces(path, trouble))


def pieces(path: Path | str, trouble: list[str], raw: IO[bytes] | None = None) -> Iterator[Piece]:
    """The stretches of a file, cut into games, each with its name and the bytes of the file used so far.

    :param trouble: out: what is wrong with the file.
    :param raw: the file, if it is open.
    """
    read = 0

    def data(stretch: Iterator[Block]) -> Iterator[bytes]:
        nonlocal read
        for block in stretch:
            read = block.read
            yield block.data

    for name, stretch in groupby(_until_damage(path, trouble, raw), key=lambda block: block.name):
        for piece in cut(data(stretch)):
            yield name, read, piece


def _until_damage(path: Path | str, trouble: list[str], raw: IO[bytes] | None) -> Iterator[Block]:
    """The blocks of a file; where it turns out damaged, the reason goes to ``trouble``."""
    try:
        yield from blocks(Path(path)) if raw is None else blocks_of(str(path), raw)
    except DAMAGE as error:
        trouble.append(f"the file is damaged or cut short after this game ({error or type(error).__name__})")


def _from_process(path: Path, trouble: list[str]) -> Iterator[Piece]:
    """The pieces, cut in a process of its own; nothing where that can't be started.

    :raises UnusableInput: where it ended before its work was done.
    """
    command = [sys.executable, "-m", "linewright.games.ingest.file_blocks", os.fspath(path)]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
    try:
        process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=environment
        )
    except OSError:
        return
    begun = False
    with process:
        assert process.stdout is not None
        try:
            while not isinstance(item := pickle.load(process.stdout), list):  # from our own process
                begun = True
                yield item
            trouble += item
        except EOFError:
            if begun:
                raise UnusableInput(f"reading {path} broke off", "Add it again; what was read is kept.") from None
        finally:
            process.kill()


def _ahead(items: Iterator[Item]) -> Iterator[Item]:
    """The items, got in a thread of its own, a few ahead of their use."""
    ready: queue.Queue[tuple[bool, Item | BaseException | None]] = queue.Queue(AHEAD)
    left = threading.Event()

    def fill() -> None:
        try:
            for item in items:
                ready.put((True, item))
                if left.is_set():
                    return
            ready.put((False, None))
        except BaseException as error:  # handed to the user of the items
            ready.put((False, error))

    thread = threading.Thread(target=fill, daemon=True)
    thread.start()
    try:
        while True:
            more, item = ready.get()
            if not more:
                if item is not None:
                    raise item  # type: ignore[misc]  # what isn't an item is an error
                return
            yield item  # type: ignore[misc]
    finally:
        left.set()
        while thread.is_alive():  # it may be waiting for room
            with suppress(queue.Empty):
                ready.get(timeout=0.01)
        thread.join()


def main() -> None:
    """Write the pieces of the file that is named, and then what is wrong with it."""
    trouble: list[str] = []
    with suppress(BrokenPipeError):  # whoever wanted them is gone
        for piece in pieces(Path(sys.argv[1]), trouble):
            pickle.dump(piece, sys.stdout.buffer, protocol=5)
            sys.stdout.buffer.flush()
        pickle.dump(trouble, sys.stdout.buffer, protocol=5)
        sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()

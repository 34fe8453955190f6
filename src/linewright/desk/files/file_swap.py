"""Putting a new file in another's place so that a change made in the same moment is seen, and not lost.

Between looking at a file and replacing it another program may write it. On Linux the two files change places in one
step (``renameat2`` with ``RENAME_EXCHANGE``, Linux 3.15), and what came out is looked at afterwards; elsewhere the
gap is a few microseconds.
"""

from __future__ import annotations

import ctypes
import os
import sys
from functools import cache
from pathlib import Path
from typing import Any, Final

from linewright.support.atomic_write import beside

_HERE: Final = -100  # AT_FDCWD of <fcntl.h>: paths are taken from the working folder
_EXCHANGE: Final = 2  # RENAME_EXCHANGE of <linux/fs.h>


def swapped_in(path: Path, new: bytes, expected: bytes | None) -> bytes | None:
    """Write ``new`` where ``expected`` was (None: where no file was).

    :returns: None when done; what was found instead of the expected, and then the file is as it was found.
    :raises OSError: when it can't be written; the file is as it was then.
    """
    part = beside(path, new)
    try:
        if expected is None:
            try:
                os.link(part, path)  # unlike a rename, never over another file
            except FileExistsError:
                return path.read_bytes()
            return None
        if not _exchange(part, path):
            found = path.read_bytes()
            if found != expected:
                return found
            part.replace(path)
            return None
        found = part.read_bytes()
        if found == expected:
            return None
        if not _exchange(part, path):
            part.replace(path)
        return found
    finally:
        part.unlink(missing_ok=True)


def _exchange(one: Path, two: Path) -> bool:
    """Let two files change places; False where the system or the disk's format can't."""
    rename = _renameat2()
    if rename is None:
        return False
    return bool(rename(_HERE, os.fsencode(one), _HERE, os.fsencode(two), _EXCHANGE) == 0)


@cache
def _renameat2() -> Any:
    """The C library's function, None where there is none."""
    if not sys.platform.startswith("linux"):
        return None
    try:
        return ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return None

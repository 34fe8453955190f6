"""Writing files whole or not at all: first beside their place and safely on the disk, then into it."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def beside(path: Path, content: bytes, keep_mode: bool = True) -> Path:
    """A new file with the content in the same folder, on the disk; move it into place with ``Path.replace``.

    :param keep_mode: give it the permissions of the file it is to replace, where there is one; otherwise those of
        any new file.
    :raises OSError: when it can't be written; nothing is left behind then.
    """
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.chmod(path.stat().st_mode & 0o7777 if keep_mode and path.exists() else new_mode())
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return part


def write(path: Path, content: bytes, keep_mode: bool = True) -> None:
    """Write one file; as :func:`beside`, and moved into place.

    :raises OSError: when it can't be written; the file is as it was then.
    """
    part = beside(path, content, keep_mode)
    try:
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def new_mode() -> int:
    """The permissions of any new file: the process's mask decides, which can only be read by setting it."""
    mask = os.umask(0o022)
    os.umask(mask)
    return 0o666 & ~mask

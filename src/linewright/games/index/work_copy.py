"""Changing a base: in a work file beside it, which takes the base's place when all is done.

Whoever asks meanwhile asks the base as it was. Only one process at a time may change a base; it holds a lock
that the operating system lets go of when the process ends, however it ends. What a stopped one had finished
stays in the work file, and the next to open the base, for asking or adding, finishes it.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

import duckdb
from filelock import FileLock, Timeout

from linewright.games.index import schema
from linewright.support.errors import UnusableInput

#: ``meta`` name of the work file's mark: which base it was begun from.
_ORIGIN: Final = "origin"


class Busy(UnusableInput):
    """Another process is changing the base."""


def work_of(base: Path) -> Path:
    """The work file of a base."""
    return base.with_name(base.name + ".adding")


def lock_of(base: Path) -> Path:
    """The file that is locked while a base is being changed."""
    return base.with_name(f".{base.name}.lock")


@contextmanager
def locked(base: Path) -> Iterator[None]:
    """Hold the right to change the base.

    :raises Busy: where another process has it.
    :raises UnusableInput: where the base's folder can't be written.
    """
    try:
        base.parent.mkdir(parents=True, exist_ok=True)
        lock = FileLock(lock_of(base), timeout=0)
        lock.acquire()
    except Timeout:
        raise Busy(
            f"the games base {base} is in use by another process that changes it",
            "Let it finish, then try again; queries keep working meanwhile.",
        ) from None
    except (OSError, NotImplementedError) as error:
        raise unwritable(base, error) from None
    try:
        yield
    finally:
        lock.release()  # the file stays: were it removed, two could hold locks of the same name


def unwritable(base: Path, error: Exception) -> UnusableInput:
    """The refusal for a base that can't be written."""
    reason = (error.strerror if isinstance(error, OSError) else None) or str(error).splitlines()[0]
    if "No space left" in reason:
        reason = "the disk is full"
    return UnusableInput(
        f"the games base {base} can't be written: {reason}",
        "Make room or allow writing there; what is in the base is kept. Then do the same again.",
    )


class WorkCopy:
    """A base being changed: ``con`` is the work file's connection."""

    def __init__(self, base: Path, con: duckdb.DuckDBPyConnection) -> None:
        self.base = base
        self.con = con
        self.publish = False


@contextmanager
def work_on(base: Path) -> Iterator[WorkCopy]:
    """Change a base: inside, on a copy; leaving without an error with ``publish`` set puts it in the base's place.

    Left by an error, the work file stays if games were stored in it, and is gone on with next time.

    :raises Busy: where another process is changing the base.
    :raises UnusableInput: where the base is none, or can't be written.
    """
    with locked(base):
        path = work_of(base)
        try:
            con = _begin(base, path)
        except (OSError, duckdb.Error) as error:
            raise unwritable(base, error) from None
        work = WorkCopy(base, con)
        try:
            yield work
            if work.publish:
                con.execute("CHECKPOINT")
        except (OSError, duckdb.Error) as error:
            work.publish = False
            raise unwritable(base, error) from None
        except BaseException:
            work.publish = False
            raise
        finally:
            worth = work.publish or _worth_keeping(con, base)
            with suppress(duckdb.Error):
                con.close()
            if work.publish:
                path.replace(base)
            elif not worth:
                discard(path)


@contextmanager
def rebuilding(base: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """Rebuild a base: inside, the connection's tables are new and empty, the base's are in ``old``.

    Leaving without an error puts the new one in its place.

    :raises Busy: where another process is changing the base.
    :raises UnusableInput: where it can't be written.
    """
    with locked(base):
        path = work_of(base)
        discard(path)
        try:
            with schema.opened(":memory:", schema.MEMORY) as con:
                con.execute(f"ATTACH {_quoted(path)} AS new")
                con.execute(f"ATTACH {_quoted(base)} AS old (READ_ONLY)")
                con.execute("USE new")
                schema.create(con)
                yield con
                con.execute("CHECKPOINT new")
            path.replace(base)
        except (OSError, duckdb.Error) as error:
            raise unwritable(base, error) from None
        finally:
            with suppress(OSError):
                discard(path)


def _quoted(path: Path) -> str:
    return "'{}'".format(str(path).replace("'", "''"))


def _begin(base: Path, path: Path) -> duckdb.DuckDBPyConnection:
    """Open the work file: the one left by a stopped process if it was begun from this base, else a new one."""
    if path.exists():
        with suppress(UnusableInput, duckdb.Error):
            con = schema.connect(path, read_only=False)
            if _origin(con) == _identity(base):
                return con
            con.close()
        discard(path)
    schema.log_of(path).unlink(missing_ok=True)  # a log without its file is useless, and would corrupt the new one
    if _exists(base):
        with schema.connect(base, read_only=True) as asked:
            schema.check(asked, base)
        part = path.with_name(path.name + ".part")
        try:
            shutil.copyfile(base, part)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    con = schema.connect(path, read_only=False)
    try:
        if not schema.check(con, path):
            schema.create(con)
        with schema.transaction(con):
            con.execute("INSERT OR REPLACE INTO meta VALUES (?, ?)", [_ORIGIN, _identity(base)])
    except BaseException:
        con.close()
        discard(path)
        raise
    return con


def _exists(path: Path) -> bool:
    return os.path.exists(path)  # noqa: PTH110 - Path.exists fails where the folder can't be read


def _identity(base: Path) -> str:
    """Tells a base from another that was put in its place."""
    if not _exists(base):
        return "new"
    found = base.stat()
    return f"{found.st_size} {found.st_mtime_ns}"


def _origin(con: duckdb.DuckDBPyConnection) -> str | None:
    if not schema.check(con, Path("work file")):
        return None
    found = con.execute("SELECT value FROM meta WHERE name = ?", [_ORIGIN]).fetchall()
    return str(found[0][0]) if found else None


def _worth_keeping(con: duckdb.DuckDBPyConnection, base: Path) -> bool:
    """Does the work file hold finished batches that the base doesn't have?"""
    try:
        games = con.execute("SELECT count(*) FROM games").fetchall()[0][0]
        if not _exists(base):
            return bool(games)
        with schema.connect(base, read_only=True) as asked:
            return bool(games > asked.execute("SELECT count(*) FROM games").fetchall()[0][0])
    except (duckdb.Error, UnusableInput):
        return True


def discard(path: Path) -> None:
    """Remove a work file and its log."""
    path.unlink(missing_ok=True)
    schema.log_of(path).unlink(missing_ok=True)


def left_over(base: Path) -> bool:
    """Is there a work file that nobody is working on?"""
    if not _exists(work_of(base)):
        return False
    try:
        with locked(base):
            return True
    except UnusableInput:
        return False

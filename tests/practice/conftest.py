"""A browser, and databases of both kinds, for the tests; skipped by name where there are none."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from linewright.practice.classes import database as store_open
from tests.browsing import launched


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as found:
        yield found


POSTGRES = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a PostgreSQL server of our own, reached by a socket in a temporary folder; not as root."""
    if not POSTGRES:
        pytest.skip("needs PostgreSQL (Debian: apt install postgresql)")
    root = os.getuid() == 0
    runner = ["runuser", "-u", "postgres", "--"] if root else []
    programs = POSTGRES[-1].parent
    # Sockets' paths are short (107 bytes), pytest's own folders are not.
    folder = Path(tempfile.mkdtemp(prefix="lw-pg-"))
    if root:
        shutil.chown(folder, "postgres")
    data = folder / "data"

    def run(*words: str) -> None:
        subprocess.run([*runner, *words], check=True, capture_output=True, cwd=folder)

    try:
        run(str(programs / "initdb"), "-D", str(data), "-A", "trust", "-U", "tester", "--no-sync", "-E", "UTF8")
        options = f"-k {folder} -h '' -c fsync=off -c shared_buffers=16MB"
        run(str(programs / "pg_ctl"), "-D", str(data), "-w", "-l", str(folder / "log"), "-o", options, "start")
        yield f"postgresql://tester@/postgres?host={folder}"
    finally:
        with contextlib.suppress(subprocess.CalledProcessError):
            run(str(programs / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine a writer may wait long for another one."""
    monkeypatch.setattr(store_open, "PATIENCE", 300_000)


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A fresh empty database, of each kind."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'classes.sqlite'}"
        return
    server = request.getfixturevalue("postgres")
    sa = pytest.importorskip("sqlalchemy")
    pytest.importorskip("psycopg", reason="needs the extra club (pip install 'psycopg[binary]')")
    name = f"t{uuid.uuid4().hex}"
    engine = sa.create_engine(server.replace("postgresql://", "postgresql+psycopg://"), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(sa.text(f"CREATE DATABASE {name}"))
    yield server.replace("/postgres?", f"/{name}?")
    with engine.connect() as connection:
        connection.execute(sa.text(f"DROP DATABASE {name} WITH (FORCE)"))
    engine.dispose()

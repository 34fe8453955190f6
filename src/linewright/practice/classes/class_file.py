"""The class file: all that is known of classes, as JSON lines, to back up and to move to another machine or database.

The first line says what it is, the last how many lines there are, so that a file cut short is seen to be. Loading it
again, or into a database that holds part of it, adds what is missing and changes nothing that is there.
"""

from __future__ import annotations

import base64
import gzip
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from linewright.practice.classes.database import writing
from linewright.practice.classes.store import Store
from linewright.practice.classes.tables import classes, entries, lessons, pupils
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput

#: What the first line says.
FORMAT = {"linewright": "class file", "version": 1}
#: Bytes that a class file may unfold to, against files made to fill the memory: some million answers.
MOST_BYTES = 2 * 1024**3
#: Rows written at once.
BATCH = 1000
_TABLES = (classes, pupils, lessons, entries)
#: The columns by which a row is known to exist already.
_KEYS = {"classes": ["id"], "pupils": ["id"], "lessons": ["class_id", "title"], "entries": ["pupil_id", "id"]}


def save(store: Store, path: Path, class_id: str = "") -> int:
    """Write a class file; returns how many answers it holds. Links go with it as their hashes: they go on working.

    :param class_id: one class; all of them unless given.
    """
    out = io.BytesIO()
    answers = count = 0
    with gzip.GzipFile(fileobj=out, mode="wb", mtime=0) as packed:
        for row in _rows(store, class_id):
            packed.write(json.dumps(row, ensure_ascii=False, separators=(",", ":")).encode() + b"\n")
            count += 1
            answers += row.get("table") == "entries"
        packed.write(json.dumps({"end": count}).encode() + b"\n")
    write(path, out.getvalue())
    return answers


def _rows(store: Store, class_id: str) -> Iterator[dict[str, Any]]:
    yield FORMAT
    of_pupils = sa.select(pupils.c.id).where(pupils.c.class_id == class_id)
    which = {
        "classes": classes.c.id == class_id,
        "pupils": pupils.c.class_id == class_id,
        "lessons": lessons.c.class_id == class_id,
        "entries": entries.c.pupil_id.in_(of_pupils),
    }
    # One transaction: the file shows one moment, whatever is answered meanwhile.
    with store.engine.connect().execution_options(isolation_level=_snapshot(store)) as connection:
        for table in _TABLES:
            query = sa.select(table)
            if class_id:
                query = query.where(which[table.name])
            order = list(table.primary_key.columns)
            for row in connection.execute(query.order_by(*order)).mappings():
                values = {k: v for k, v in row.items() if k != "seq"}
                if values.get("link") is not None:
                    values["link"] = base64.b64encode(values["link"]).decode()
                yield {"table": table.name, **values}


def _snapshot(store: Store) -> str:
    return "REPEATABLE READ" if store.engine.dialect.name == "postgresql" else "SERIALIZABLE"


def load(store: Store, path: Path) -> int:
    """Add what a class file holds and the database doesn't; returns how many rows were new. All of it, or nothing.

    :raises UnusableInput: when it is not a class file, was cut short, or clashes with a class of another origin.
    """
    try:
        with writing(store.engine) as connection:
            before = _count(connection)
            for name, rows in _batches(path):
                table = next(t for t in _TABLES if t.name == name)
                connection.execute(store.insert(table).on_conflict_do_nothing(index_elements=_KEYS[name]), rows)
            return _count(connection) - before
    except sa.exc.IntegrityError:
        raise UnusableInput(
            f"{path}: a different class, pupil or link of the same name already exists",
            "Load it into an empty database: --classes sqlite:///FILE",
        ) from None


def _count(connection: sa.Connection) -> int:
    counts = (connection.execute(sa.select(sa.func.count()).select_from(table)).scalar_one() for table in _TABLES)
    return sum(counts)


def _batches(path: Path) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """Rows by table, some at a time, checked against the file's first and last line."""
    batch: list[dict[str, Any]] = []
    name, count, ended = "", 0, False
    for line in _lines(path):
        if count == 0 and line != FORMAT:
            raise UnusableInput(
                f"{path} is not a class file of this version", "Make one with: linewright class backup FILE"
            )
        if "end" in line:
            ended = line["end"] == count
            break
        count += 1
        if "table" not in line:
            continue
        table = line.pop("table")
        if batch and (table != name or len(batch) == BATCH):
            yield name, batch
            batch = []
        name = table
        if line.get("link") is not None:
            line["link"] = base64.b64decode(line["link"])
        batch.append(line)
    if not ended:
        raise UnusableInput(f"{path} was cut short after {count} lines", "Take another copy.")
    if batch:
        yield name, batch


def _lines(path: Path) -> Iterator[dict[str, Any]]:
    read = 0
    try:
        with gzip.open(path, "rb") as packed:
            for line in packed:
                read += len(line)
                if read > MOST_BYTES:
                    raise UnusableInput(f"{path} unpacks to more than {MOST_BYTES} bytes", "Not a Linewright backup.")
                data = json.loads(line)
                if not isinstance(data, dict):
                    raise ValueError("a line is an object")
                yield data
    except EOFError:
        return
    except (OSError, ValueError) as error:
        raise UnusableInput(
            f"{path} is not a class file: {error}", "Make one with: linewright class backup FILE"
        ) from None

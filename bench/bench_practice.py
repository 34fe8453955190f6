"""Practice under load: 500 pupils answering, a large class opened, and many random histories rebuilt.

    .venv/bin/python bench/bench_practice.py [load] [open] [histories] [--postgres]

``load``: a server of its own process on the loopback, 500 pupils with a device each; every pupil answers every few
seconds for half a minute, then all of them in the same instant. Bounded in time and count, then nothing may be lost
and nothing counted twice. ``open``: the report of a class of 500 with 200,000 answers. ``histories``: 10,000 random
histories of answering, taking back and syncing from two devices, each of which has to end with the same reviews that
count on the server, on both devices and in the whole log. ``--postgres``: in a temporary PostgreSQL instead of SQLite.
"""

from __future__ import annotations

import asyncio
import json
import multiprocessing
import random
import resource
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from linewright.practice.classes.class_report import class_report
from linewright.practice.classes.log_sync import PAGE
from linewright.practice.classes.store import Store
from linewright.practice.drills.drill import Accepted, Drill, Task
from linewright.practice.schedule.log import EntryKind, LogEntry, by_drill, effective, entry_json

PUPILS = 500
#: Seconds between two answers of a pupil, and how long they answer.
EVERY, LASTING = 5.0, 30.0
#: Answers of the large class, in all.
ANSWERS = 200_000
HISTORIES = 10_000
START = 1_767_225_600_000
DAY = 86_400_000
DRILLS = [f"{n:016x}" for n in range(80)]


def entry(chance: random.Random, at: int) -> LogEntry:
    name = str(uuid.UUID(int=chance.getrandbits(128), version=4))
    return LogEntry(name, EntryKind.REVIEW, chance.choice(DRILLS), at, chance.choice((1, 3, 3, 3)), "e2e4", 6000)


@contextmanager
def database(postgres: bool) -> Iterator[str]:
    """The address of an empty database, thrown away afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="lw-bench-"))
    try:
        if not postgres:
            yield f"sqlite:///{folder / 'classes.sqlite'}"
            return
        programs = sorted(Path("/usr/lib/postgresql").glob("*/bin"))[-1]
        shutil.chown(folder, "postgres")
        data = str(folder / "data")
        as_user = ["runuser", "-u", "postgres", "--"]
        subprocess.run([*as_user, f"{programs}/initdb", "-D", data, "-A", "trust", "-U", "tester"], check=True,
                       capture_output=True, cwd=folder)  # fmt: skip
        control = [*as_user, f"{programs}/pg_ctl", "-D", data, "-w"]
        options = ["-l", f"{folder}/log", "-o", f"-k {folder} -h ''"]
        subprocess.run([*control, *options, "start"], check=True, capture_output=True, cwd=folder)
        try:
            yield f"postgresql://tester@/postgres?host={folder}"
        finally:
            subprocess.run([*control, "-m", "immediate", "stop"], check=False, capture_output=True, cwd=folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


# 500 pupils at once.


def serve(url: str, bound: socket.socket) -> None:
    import uvicorn

    from linewright.practice.server.class_server import class_config

    with Store.open(url) as store:
        uvicorn.Server(class_config(store)).run(sockets=[bound])


class Device:
    """A pupil's device: one kept connection, as browsers have it."""

    def __init__(self, port: int, token: str, seed: int) -> None:
        self.port, self.token = port, token
        self.chance = random.Random(seed)
        self.seq = 0
        self.sent: list[str] = []
        self.took: list[float] = []

    async def open(self) -> None:
        self.reader, self.writer = await asyncio.open_connection("127.0.0.1", self.port)

    async def answer(self) -> None:
        one = entry(self.chance, START + len(self.sent) * 1000)
        body = json.dumps({"entries": [entry_json(one)], "since": self.seq}).encode()
        head = (
            f"POST /practice/sync HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {self.token}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        begun = time.perf_counter()
        self.writer.write(head.encode() + body)
        await self.writer.drain()
        top = await self.reader.readuntil(b"\r\n\r\n")
        length = int(
            next(v for k, _, v in (h.partition(b":") for h in top.split(b"\r\n")) if k.lower() == b"content-length")
        )
        answer = json.loads(await self.reader.readexactly(length))
        self.took.append(time.perf_counter() - begun)
        assert b" 200 " in top.split(b"\r\n")[0], top
        assert answer["new"] == 1
        self.seq = answer["seq"]
        self.sent.append(one.id)

    async def practise(self) -> None:
        await asyncio.sleep(self.chance.random() * EVERY)
        until = time.monotonic() + LASTING - EVERY
        while time.monotonic() < until:
            begun = time.monotonic()
            await self.answer()
            await asyncio.sleep(max(0.0, EVERY * self.chance.uniform(0.8, 1.2) - (time.monotonic() - begun)))

    def close(self) -> None:
        self.writer.close()


def told(name: str, took: list[float]) -> None:
    took.sort()
    at = [1000 * took[int(len(took) * part)] for part in (0.5, 0.95, 0.99)]
    print(f"{name}: {len(took)} answers, median {at[0]:.1f} ms, p95 {at[1]:.1f} ms, p99 {at[2]:.1f} ms")


async def answering(devices: list[Device]) -> None:
    await asyncio.gather(*(device.open() for device in devices))
    await asyncio.gather(*(device.practise() for device in devices))
    told(f"{PUPILS} pupils, one answer each {EVERY:g} s", [t for d in devices for t in d.took])
    for device in devices:
        device.took.clear()
    await asyncio.gather(*(device.answer() for device in devices))
    told(f"{PUPILS} pupils in one instant", [t for d in devices for t in d.took])
    for device in devices:
        device.close()


def load(postgres: bool) -> None:
    with database(postgres) as url:
        with Store.open(url) as store:
            mine = store.new_class("Load")
            made = [store.add_pupil(mine.id, f"P{n}") for n in range(PUPILS)]
        bound = socket.create_server(("127.0.0.1", 0))
        server = multiprocessing.get_context("spawn").Process(target=serve, args=(url, bound), daemon=True)
        server.start()
        port = bound.getsockname()[1]
        devices = [Device(port, token, n) for n, (_, token) in enumerate(made)]
        try:
            time.sleep(4)
            asyncio.run(answering(devices))
        finally:
            server.terminate()
            server.join(10)
            bound.close()
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        count = sum(len(device.sent) for device in devices)
        work = 1000 * (used.ru_utime + used.ru_stime) / count
        print(f"the server's own work, its start included: {work:.2f} ms an answer")
        with Store.open(url) as store:
            lost = twice = 0
            for (pupil, _), device in zip(made, devices, strict=True):
                ids = [one.id for one in store.log(pupil.id)]
                lost += len(set(device.sent) - set(ids))
                twice += len(ids) - len(set(ids))
            print(f"of {sum(len(d.sent) for d in devices)} answers lost {lost}, counted twice {twice}")


# A large class.


def opening(postgres: bool) -> None:
    chance = random.Random(1)
    drills = [
        Drill(name, Task.ANSWER, "8/8/8/8/8/8/8/K1k5 w - - 0 1", "white", "?", (Accepted("a1a2", "Ka2"),))
        for name in DRILLS
    ]
    with database(postgres) as url, Store.open(url) as store:
        mine = store.new_class("Large")
        store.put_lesson(mine.id, "One", drills)
        for n in range(PUPILS):
            pupil, _ = store.add_pupil(mine.id, f"P{n}")
            log = [entry(chance, START + m * 3_600_000) for m in range(ANSWERS // PUPILS)]
            undone = [
                LogEntry(
                    str(uuid.UUID(int=chance.getrandbits(128), version=4)),
                    EntryKind.UNDO,
                    e.drill,
                    e.at + 1,
                    undoes=e.id,
                )
                for e in log[:4]
            ]
            store.sync(pupil.id, [*log, *undone])
            # Closed and opened anew, as a trainer does in the morning; the disk's own cache is warm.
        begun = time.perf_counter()
        with Store.open(url) as fresh:
            report = class_report(fresh, fresh.class_named("Large").id, START + 20 * DAY)
        print(f"class of {PUPILS} with {report.answers} answers opened in {time.perf_counter() - begun:.2f} s")
        pupil = store.pupils(mine.id)[0]
        begun = time.perf_counter()
        known = by_drill(store.log(pupil.id))
        print(f"one pupil's {len(known)} drills sorted out from {ANSWERS // PUPILS} answers in "
              f"{1000 * (time.perf_counter() - begun):.0f} ms")  # fmt: skip


# Random histories.


def histories(postgres: bool) -> None:
    chance = random.Random(2)
    wrong = entries = 0
    begun = time.perf_counter()
    with database(postgres) as url, Store.open(url) as store:
        mine = store.new_class("Histories")
        for number in range(HISTORIES):
            pupil, _ = store.add_pupil(mine.id, f"P{number}")
            log = history(chance)
            entries += len(log)
            devices = shared(store, pupil.id, log, chance)
            expected = by_drill(log)
            states = [by_drill(known.values()) for known in devices]
            states.append(by_drill(store.log(pupil.id)))
            mixed = [*log, *chance.sample(log, len(log) // 2)]
            chance.shuffle(mixed)
            states.append(by_drill(mixed))
            wrong += any(state != expected for state in states) or effective(store.log(pupil.id)) != effective(log)
    print(f"{HISTORIES} histories ({entries} entries, two devices each): {wrong} differ; "
          f"{time.perf_counter() - begun:.0f} s")  # fmt: skip


def history(chance: random.Random) -> list[LogEntry]:
    log: list[LogEntry] = []
    at = START
    for _ in range(chance.randint(1, 14)):
        at += chance.choice((0, 1, 40_000, DAY // 3, 2 * DAY, 30 * DAY))
        if log and chance.random() < 0.25:
            target = chance.choice(log)
            name = str(uuid.UUID(int=chance.getrandbits(128), version=4))
            log.append(LogEntry(name, EntryKind.UNDO, target.drill, at, undoes=target.id))
        else:
            log.append(entry(chance, at))
    return log


def shared(store: Store, pupil_id: str, log: list[LogEntry], chance: random.Random) -> list[dict[str, LogEntry]]:
    """What two devices know in the end, after syncs some of which were cut off before the answer came back."""
    known: list[dict[str, LogEntry]] = [{}, {}]
    seqs = [0, 0]

    def sync(which: int, cut: bool) -> None:
        done = store.sync(pupil_id, list(known[which].values()), seqs[which])
        assert len(done.entries) < PAGE
        if not cut:
            known[which] |= {e.id: e for e in done.entries}
            seqs[which] = done.seq

    for one in log:
        which = chance.randrange(2)
        known[which][one.id] = one
        if chance.random() < 0.3:
            sync(which, chance.random() < 0.4)
    for which in (0, 1, 0):
        sync(which, False)
    return known


def main() -> None:
    asked = sys.argv[1:]
    postgres = "--postgres" in asked
    chosen = [word for word in asked if not word.startswith("-")] or ["load", "open", "histories"]
    for word in chosen:
        {"load": load, "open": opening, "histories": histories}[word](postgres)


if __name__ == "__main__":
    main()

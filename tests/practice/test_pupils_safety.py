"""Attacks on the pupils' app by a hostile pupil, or anybody on their network."""

from __future__ import annotations

import http.client
import json
import socket
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest
import uvicorn
from starlette.testclient import TestClient

from linewright.practice.classes.store import Store
from linewright.practice.drills.drill import Drill
from linewright.practice.playing_on import GoalState, Partner, PlayedOn
from linewright.practice.server import class_server
from linewright.practice.server.class_app import make_class_app
from linewright.practice.server.class_server import class_config
from linewright.practice.server.limits import WHOLE_BURST
from tests.practice.test_pupils import PLAY, Scripted, classroom, sent


@contextmanager
def serving(store: Store, partner: Partner | None = None) -> Iterator[int]:
    """The app as ``linewright desk --pupils`` runs it; the port."""
    bound = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(class_config(store, partner))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]}, daemon=True)
    thread.start()
    try:
        yield bound.getsockname()[1]
    finally:
        server.should_exit = True
        thread.join(10)
        bound.close()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(f"sqlite:///{tmp_path / 'c.sqlite'}") as found:
        yield found


def test_every_answer_has_the_policy_also_a_refusal_and_a_trouble(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, tokens, _ = classroom(store)
    headers = {"Authorization": f"Bearer {tokens['Ana']}"}

    def broken(pupil_id: str) -> None:
        raise RuntimeError(f"no room left in {tmp_path}")

    monkeypatch.setattr(store, "log", broken)
    with TestClient(make_class_app(store), raise_server_exceptions=False) as client:
        answers = {
            200: client.get("/practice/lessons", headers=headers),
            401: client.get("/practice/lessons"),
            404: client.get("/practice/../desk"),
            405: client.request("DELETE", "/practice/sync"),
            500: client.get("/practice/mine", headers=headers),
        }
    for status, answer in answers.items():
        assert answer.status_code == status
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert str(tmp_path) not in answer.text and "Traceback" not in answer.text
    assert answers[405].headers["allow"] == "POST"


def test_an_engine_that_fails_is_not_told_by_its_place(store: Store, tmp_path: Path) -> None:
    engine = tmp_path / "of-the-trainer" / "engine"
    engine.parent.mkdir()
    engine.write_text("#!/bin/sh\nexit 1\n")
    engine.chmod(0o755)
    _, tokens, _ = classroom(store)
    headers = {"Authorization": f"Bearer {tokens['Ana']}"}
    with Partner(engine) as partner, TestClient(make_class_app(store, partner)) as client:
        body = {"drill": PLAY.id, "moves": ["e2e4"], "rating": 1500}
        answer = client.post("/practice/play", headers=headers, json=body)
    assert answer.status_code == 422 and "does not answer" in answer.text
    assert "of-the-trainer" not in answer.text


class Slow(Partner):
    """An engine that thinks until it is told to stop."""

    def __init__(self) -> None:
        self.may_stop = threading.Event()

    def close(self) -> None:
        self.may_stop.set()

    def go_on(self, drill: Drill, moves: Sequence[str], rating: int) -> PlayedOn:
        self.may_stop.wait(30)
        return PlayedOn("e7e5", GoalState.ON, 1, "")


def ask(port: int, token: str, path: str, body: object = None) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=15)
    headers = {"Authorization": f"Bearer {token}"}
    connection.request("GET" if body is None else "POST", f"/practice/{path}", json.dumps(body), headers)
    status = connection.getresponse().status
    connection.close()
    return status


def test_one_who_plays_many_games_at_once_keeps_nobody_from_answering(store: Store) -> None:
    _, tokens, ids = classroom(store)
    body = {"drill": PLAY.id, "moves": ["e2e4"], "rating": 1500}
    partner = Slow()
    with serving(store, partner) as port:
        # More than a process's common pool has threads on any machine (32, by concurrent.futures).
        games = [threading.Thread(target=ask, args=(port, tokens["Tom"], "play", body)) for _ in range(36)]
        for game in games:
            game.start()
        time.sleep(0.5)
        try:
            assert ask(port, tokens["Ana"], "sync", {"entries": sent(3), "since": 0}) == 200
        finally:
            partner.close()
            for game in games:
                game.join()
    assert len(store.log(ids["Ana"])) == 3


@pytest.mark.parametrize(
    "said",
    [
        b"",
        b"GET /practice/ HT",
        b"GET /practice/ HTTP/1.1\r\nHost: x\r\nX-A: b\r\n",
        b"GET /practice HTTP/1.1\r\nHost: x\r\n\r\n|G",
        b"POST /practice/sync HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\nContent-Length: 99\r\n\r\n{",
    ],
    ids=["nothing", "half a line", "half a head", "a second one begun", "half a body"],
)
def test_one_who_never_finishes_asking_is_hung_up_on(
    store: Store, said: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(class_server, "PATIENCE", 0.3)
    _, tokens, _ = classroom(store)
    with serving(store) as port, socket.create_connection(("127.0.0.1", port), timeout=15) as line:
        first, _, second = said.partition(b"|")
        line.sendall(first.replace(b"%s", tokens["Ana"].encode()))
        if second:
            assert line.recv(65536)
            line.sendall(second)
        try:
            while line.recv(65536):
                pass
        except ConnectionResetError:
            pass
        assert ask(port, tokens["Ana"], "lessons") == 200


def test_one_who_asks_in_time_is_not_hung_up_on(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(class_server, "PATIENCE", 0.3)
    classroom(store)
    with serving(store) as port:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=15)
        for _ in range(3):
            connection.request("GET", "/practice/")
            assert connection.getresponse().read()
            line = connection.sock
            time.sleep(0.5)
        assert connection.sock is line
        connection.close()


def test_a_whole_log_is_not_asked_for_without_end(store: Store) -> None:
    _, tokens, _ = classroom(store)
    with TestClient(make_class_app(store)) as client:
        told = [
            client.get("/practice/mine", headers={"Authorization": f"Bearer {tokens[name]}"}).status_code
            for name in ["Ana"] * (WHOLE_BURST + 1) + ["Tom"]
        ]
    assert told == [200] * WHOLE_BURST + [429, 200]


def test_a_move_that_no_text_can_hold_is_told_as_one_that_cannot_be_played(store: Store) -> None:
    _, tokens, _ = classroom(store)
    headers = {"Authorization": f"Bearer {tokens['Ana']}", "Content-Type": "application/json"}
    with Scripted() as partner, TestClient(make_class_app(store, partner)) as client:
        for move in ('"\\ud800"', '"e2e4\\nquit"', '"\\u0000"'):
            body = f'{{"drill": "{PLAY.id}", "moves": [{move}], "rating": 1500}}'
            answer = client.post("/practice/play", headers=headers, content=body)
            assert answer.status_code == 422 and "can't be played" in answer.text

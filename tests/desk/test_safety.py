"""Attacks on the desk from its own page's side, from the folder it is given, and on its troubles."""

from __future__ import annotations

import http.client
import json
import os
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.testclient import TestClient
from websockets.sync.client import connect

from linewright.desk.app import make_app
from linewright.desk.files.folder import Folder
from linewright.desk.files.versions import Versions
from linewright.desk.guard import Door
from linewright.desk.state import Desk
from linewright.support.errors import UnusableInput
from tests.desk.support import TOKEN, Running, running

#: Deeper than any parser of JSON goes.
DEEP = "[" * 100_000 + "]" * 100_000


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    # The folder itself lies in one called "lessons": that makes nothing in it a built lesson.
    folder = tmp_path_factory.mktemp("trainer") / "lessons"
    folder.mkdir()
    (folder / "plain.md").write_text("# Plain\n\nWe start with e4 e5 Nf3.\n", encoding="utf-8")
    (folder / "keys.kdbx").write_text("SECRET", encoding="utf-8")
    with running(folder, tmp_path_factory.mktemp("home")) as found:
        yield found


def post(desk: Running, path: str, body: bytes) -> tuple[int, dict[str, str], str]:
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=20)
    connection.request("POST", path, body, {"Cookie": desk.cookie, "Origin": desk.root})
    answer = connection.getresponse()
    found = answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read().decode()
    connection.close()
    return found


@pytest.mark.parametrize("path", ["/stop", "/talks", "/build", "/course", "/hear"])
@pytest.mark.parametrize("body", [DEEP, "[" * 100_000, '{"job": ' + "9" * 6000 + "}", "\x00", ""], ids=lambda b: b[:8])
def test_json_without_end_is_told_and_breaks_nothing(desk: Running, path: str, body: str) -> None:
    status, headers, said = post(desk, path, body.encode())
    assert status == 422 and "JSON" in said and "default-src 'none'" in headers["content-security-policy"]


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/build", {"talk": "\ud800.md"}),
        ("/hear", {"recording": "\udfff.mp3"}),
        ("/build", {"talk": ["plain.md"]}),
        ("/course", {"folder": "\ud800"}),
        ("/course", {"folder": "../.."}),
    ],
)
def test_names_that_no_file_has_are_none(desk: Running, path: str, body: dict[str, object]) -> None:
    assert post(desk, path, json.dumps(body).encode())[0] == 404


def test_troubles_carry_the_policy_and_tell_nothing_of_the_inside(tmp_path: Path) -> None:
    async def broken(request: Request) -> Response:
        raise RuntimeError(f"a secret of {tmp_path}")

    door = Door(frozenset({"testserver"}), TOKEN)
    app = make_app(Desk(tmp_path, tmp_path / "none", tmp_path), door, [Route("/broken", broken)])
    client = TestClient(app, raise_server_exceptions=False)
    answer = client.get("/broken", headers={"cookie": f"{door.cookie}={TOKEN}"})
    assert answer.status_code == 500 and "secret" not in answer.text and str(tmp_path) not in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_only_what_lies_in_a_lessons_folder_is_a_built_file(desk: Running) -> None:
    with desk.client() as client:
        assert client.get("/made/keys.kdbx").status_code == 404
        assert client.get("/made/plain.md").status_code == 404


ODD = [
    DEEP,
    '{"do": "text", "text": "e4", "serial": "a"}',
    '{"do": "text", "text": "e4", "serial": [1]}',
    '{"do": "text", "text": "e4", "serial": 1e999}',
    '{"do": "text", "text": 5}',
    '{"do": "ask", "first": {}}',
    '{"do": "spell", "fen": "4k3/8/8/8/8/8/8/4K3 w - - 0 1", "moves": 5}',
    '{"do": ["text"]}',
    "[]",
    "nothing",
]


def test_no_message_of_a_page_closes_its_connection(desk: Running) -> None:
    with desk.page("plain.md") as page:
        page.hear("hello")
        for odd in ODD:
            page.socket.send(odd)
        page.socket.send(b"\x00\x01")
        page.send(do="text", text="e4", serial=77)
        while page.hear("walk")["serial"] != 77:
            pass


def test_half_a_sign_is_saved_as_a_mark_for_it(desk: Running) -> None:
    with desk.page("half.md") as page:
        page.hear("hello")
        page.send(do="save", text="a\ud800b 👍 e4\n", base="", serial=1)
        page.hear("saved")
    assert (desk.folder / "half.md").read_text(encoding="utf-8") == "a\ufffdb 👍 e4\n"


def test_no_act_closes_a_room(desk: Running) -> None:
    address = f"ws://127.0.0.1:{desk.port}/room?talk=plain.md"
    with connect(address, origin=desk.root, additional_headers={"cookie": desk.cookie}) as room:  # type: ignore[arg-type]
        for odd in [DEEP, "nothing", '{"do": "go", "to": 1e999}', '{"do": "mark", "marks": [{"shape": {}}]}']:
            room.send(odd)
        room.send(b"\x00")
        room.send('{"do": "turn"}')
        while '"side":"black"' not in str(room.recv(timeout=20)):
            pass


@pytest.mark.skipif(sys.platform != "linux", reason="other systems take no such names")
def test_a_name_in_an_old_encoding_does_not_hide_the_other_talks(tmp_path: Path) -> None:
    (tmp_path / "fine.md").write_text("e4")
    for name in (b"K\xf6nig.md", b"caf\xe9/in.md"):
        path = tmp_path / os.fsdecode(name)
        path.parent.mkdir(exist_ok=True)
        path.write_text("e4")
    with running(tmp_path, tmp_path / ".home") as found, found.client() as client:
        answer = client.get("/")
    assert answer.status_code == 200 and "fine.md" in answer.text


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_the_folder_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.md")
    folder = Folder(tmp_path, Versions(tmp_path / ".versions"))
    assert folder.talks() == ()
    with pytest.raises(UnusableInput, match="not a file"):
        folder.load("pipe.md")


def test_what_is_taken_in_has_the_permissions_of_any_new_file(desk: Running) -> None:
    mask = os.umask(0o077)
    try:
        assert post(desk, "/upload?name=private.mp3", b"sound")[0] == 200
    finally:
        os.umask(mask)
    assert stat.S_IMODE((desk.folder / "private.mp3").stat().st_mode) == 0o600

"""Who is let in: tables of hosts, origins, tokens, paths and bodies, against the real server."""

from __future__ import annotations

import http.client
from collections.abc import Iterator
from pathlib import Path

import pytest
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

from linewright.desk.guard import Door, host_names
from linewright.support.listening_socket import is_loopback
from tests.desk.support import TOKEN, Running, running


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("talks")
    (folder / "plain.md").write_text("# Plain\n\nWe start with e4.\n", encoding="utf-8")
    (folder / "<img src=x onerror=alert(1)>.md").write_text("# x\n", encoding="utf-8")
    (folder.parent / "secret.md").write_text("# Secret\n", encoding="utf-8")
    (folder / "link.md").symlink_to(folder.parent / "secret.md")
    (folder / "out").symlink_to(folder.parent)
    (folder / ".hidden.md").write_text("# Hidden\n", encoding="utf-8")
    with running(folder, tmp_path_factory.mktemp("home")) as found:
        yield found


def ask(
    desk: Running, path: str, method: str = "GET", headers: dict[str, str | None] | None = None, body: bytes = b""
) -> tuple[int, dict[str, str], bytes]:
    """A raw request, as a browser that was let in would send it, but for what ``headers`` says."""
    sent = {"Host": f"127.0.0.1:{desk.port}", "Cookie": desk.cookie, "Origin": desk.root} | (headers or {})
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=10)
    connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in sent.items():
        if value is not None:
            connection.putheader(name, value)
    if method != "GET":
        connection.putheader("Content-Length", str(len(body)))
    connection.endheaders(body or None)
    answer = connection.getresponse()
    found = answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
    connection.close()
    return found


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Origin": None}, 200),
        ({"Host": "localhost:{port}", "Origin": None}, 200),
        ({"Host": "LOCALHOST:{port}", "Origin": None}, 200),
        ({"Host": "evil.example:{port}"}, 421),
        ({"Host": "evil.example"}, 421),
        ({"Host": "127.0.0.1"}, 421),
        ({"Host": "127.0.0.1:1"}, 421),
        ({"Host": "127.0.0.1:{port}.evil.example"}, 421),
        ({"Host": ""}, 421),
        ({"Cookie": None}, 403),
        ({"Cookie": "linewright-desk-{port}=wrong"}, 403),
        ({"Cookie": "linewright-desk-1=" + TOKEN}, 403),
        ({"Cookie": "other=1; linewright-desk-{port}=" + TOKEN}, 200),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "https://127.0.0.1:{port}"}, 403),
        ({"Origin": "http://127.0.0.1:1"}, 403),
        ({"Origin": None, "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}, 403),
        ({"Origin": None, "Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "no-cors"}, 403),
        ({"Origin": None, "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 200),
        ({"Origin": None, "Sec-Fetch-Site": "same-origin", "Sec-Fetch-Mode": "cors"}, 200),
    ],
)
def test_hosts_origins_and_tokens(desk: Running, headers: dict[str, str | None], status: int) -> None:
    filled = {k: v.format(port=desk.port) if v is not None else None for k, v in headers.items()}
    assert ask(desk, "/", headers=filled)[0] == status


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Origin": None}, 403),
        ({"Origin": "http://evil.example"}, 403),
        ({"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 403),
        ({"Cookie": None}, 403),
    ],
)
def test_what_changes_something_needs_the_desks_own_origin(
    desk: Running, headers: dict[str, str | None], status: int
) -> None:
    body = b'{"job": 99}'
    sent = {"Content-Type": "application/json"} | headers
    assert ask(desk, "/stop", "POST", sent, body)[0] == status


@pytest.mark.parametrize(
    ("origin", "cookie", "fine"),
    [
        ("http://127.0.0.1:{port}", True, True),
        (None, True, False),
        ("http://evil.example", True, False),
        ("http://127.0.0.1:{port}", False, False),
    ],
)
def test_web_sockets_are_guarded_alike(desk: Running, origin: str | None, cookie: bool, fine: bool) -> None:
    headers = {"cookie": desk.cookie} if cookie else {}
    named = origin.format(port=desk.port) if origin else None
    address = f"ws://127.0.0.1:{desk.port}/live?talk=plain.md"
    if fine:
        with connect(address, origin=named, additional_headers=headers) as socket:  # type: ignore[arg-type]
            assert "hello" in str(socket.recv(timeout=10))
        return
    with pytest.raises(InvalidStatus), connect(address, origin=named, additional_headers=headers):  # type: ignore[arg-type]
        pass


def test_the_token_opens_once_and_goes_into_a_cookie_that_no_script_reads(desk: Running) -> None:
    status, headers, _ = ask(desk, f"/talk/plain.md?token={TOKEN}&x=1", headers={"Cookie": None, "Origin": None})
    assert (status, headers["location"]) == (303, "/talk/plain.md?x=1")
    cookie = headers["set-cookie"]
    assert TOKEN in cookie and "HttpOnly" in cookie and "SameSite=Strict" in cookie and "Path=/" in cookie
    assert headers["referrer-policy"] == "no-referrer"
    assert ask(desk, "/?token=wrong", headers={"Origin": None})[0] == 403
    away = ask(desk, f"//evil.example/?token={TOKEN}", headers={"Origin": None})
    assert away[1]["location"] == "/evil.example/"


@pytest.mark.parametrize("path", ["/", "/talk/plain.md", "/static/desk.js", "/nowhere", "/versions/plain.md"])
def test_every_answer_has_a_policy_without_inline_script(desk: Running, path: str) -> None:
    _, headers, body = ask(desk, path)
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy and "script-src 'self'" in policy and "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    if "text/html" in headers.get("content-type", ""):
        # Nothing inline: scripts by address only, no handlers, no style attributes.
        page = body.decode()
        assert "<style" not in page and "style=" not in page and " onclick" not in page
        assert all(' src="' in tag for tag in page.split("<script")[1:])


@pytest.mark.parametrize(
    "name",
    [
        "../secret.md",
        "..%2fsecret.md",
        "%2e%2e/secret.md",
        "%2e%2e%2fsecret.md",
        "out/secret.md",
        "link.md",
        ".hidden.md",
        "..%5csecret.md",
        "%00.md",
        "plain.md%00",
        "/etc/passwd",
        "%2fetc%2fpasswd",
        "C:%5csecret.md",
        "plain.md/../../secret.md",
        "nothing.md",
        "",
        "a" * 300 + ".md",
    ],
)
@pytest.mark.parametrize("route", ["/talk/", "/versions/", "/version/", "/recording/", "/made/"])
def test_no_name_leads_out_of_the_folder(desk: Running, route: str, name: str) -> None:
    status, _, body = ask(desk, route + name)
    assert b"Secret" not in body and b"Hidden" not in body and b"root:" not in body
    # An honest name of a talk that isn't there may have no earlier versions; all others are refused.
    assert status == 404 or (route == "/versions/" and name in ("nothing.md", "a" * 300 + ".md") and body == b"[]")


def test_bodies_are_bounded_declared_or_not(desk: Running) -> None:
    assert ask(desk, "/upload?name=a.mp3", "POST", body=b"x" * (10**6 + 1))[0] == 413
    assert ask(desk, "/stop", "POST", body=b"{" + b" " * (4 * 2**20))[0] == 413
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=10)
    headers = {"Cookie": desk.cookie, "Origin": desk.root, "Transfer-Encoding": "chunked"}
    pieces = (b"x" * 60_000 for _ in range(40))
    connection.request("POST", "/upload?name=a.mp3", body=pieces, headers=headers, encode_chunked=True)
    assert connection.getresponse().status == 413
    connection.close()
    assert not list(desk.folder.glob("*.mp3")) and not list(desk.folder.glob(".upload-*"))


@pytest.mark.parametrize(
    ("name", "status"),
    [("a.exe", 422), ("", 422), (".mp3", 422), ("../../x.html", 422), ("linewright-build.json", 422), ("b.mp3", 200)],
)
def test_only_recordings_and_talks_are_taken_in(desk: Running, name: str, status: int) -> None:
    assert ask(desk, f"/upload?name={name}", "POST", body=b"data")[0] == status


def test_an_upload_never_leaves_the_folder_nor_replaces_a_file(desk: Running) -> None:
    one = ask(desk, "/upload?name=../../dropped.mp3", "POST", body=b"one")
    two = ask(desk, "/upload?name=dropped.mp3", "POST", body=b"two")
    assert (one[0], two[0]) == (200, 200)
    assert (desk.folder / "dropped.mp3").read_bytes() == b"one"
    assert (desk.folder / "dropped 2.mp3").read_bytes() == b"two"


def test_names_of_files_are_text_on_the_page(desk: Running) -> None:
    page = ask(desk, "/")[2].decode()
    assert "<img src" not in page and "&lt;img src=x onerror" in page


def test_the_hosts_of_an_address() -> None:
    assert host_names("127.0.0.1", 80) >= {"127.0.0.1:80", "localhost", "[::1]"}
    assert "0.0.0.0:8000" not in host_names("0.0.0.0", 8000)
    assert "[fe80::1]:8000" in host_names("fe80::1", 8000)
    assert "desk.example:8000" in host_names("desk.example", 8000)


@pytest.mark.parametrize(
    ("host", "everywhere", "fine"),
    [
        ("192.168.1.4:8000", True, True),
        ("[fe80::1]:8000", True, True),
        ("192.168.1.4:8000", False, False),
        ("192.168.1.4:81", True, False),
        ("192.168.1.4", True, False),
        ("evil.example:8000", True, False),
        ("192.168.1.4.evil.example:8000", True, False),
        ("fe80::1:8000", True, False),
        ("[192.168.1.4]:8000", True, False),
        ("127.0.0.1:8000", False, True),
    ],
)
def test_a_desk_open_everywhere_answers_to_addresses_but_to_no_strange_name(
    host: str, everywhere: bool, fine: bool
) -> None:
    assert Door(host_names("0.0.0.0", 8000), "t", everywhere).named(host) is fine


def test_loopback_is_told_from_the_rest() -> None:
    fine = [is_loopback(host) for host in ("127.0.0.1", "127.1.2.3", "::1", "[::1]", "localhost")]
    other = [is_loopback(host) for host in ("0.0.0.0", "::", "192.168.1.4", "localhost.example")]
    assert all(fine) and not any(other)


def test_limits_go_by_the_longest_prefix() -> None:
    door = Door(frozenset({"a:1"}), "t", limits={"/up": 5, "/up/more": 9})
    assert [door.limit(path) for path in ("/up", "/up/more/x", "/other")] == [5, 9, 4 * 2**20]


def test_the_folder_of_a_new_talk_stays_inside(desk: Running) -> None:
    for title in ("../x", ".x", "a/b", "", "x" * 100, "a\x00b", "con\\x"):
        status, _, _ = ask(desk, "/talks", "POST", body=('{"title": "' + title.replace("\\", "\\\\") + '"}').encode())
        assert status == 422, title
    assert not (desk.folder.parent / "x.md").exists()


def test_no_secret_file_was_touched(desk: Running) -> None:
    assert (Path(desk.folder).parent / "secret.md").read_text() == "# Secret\n"

"""The pupils' app: personal links, nothing of others, limits, and a browser that loses its network."""

from __future__ import annotations

import json
import re
import socket
import threading
import time
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import chess
import pytest
import uvicorn
from starlette.testclient import TestClient

from linewright.practice.classes.class_rows import SchoolClass
from linewright.practice.classes.log_sync import PAGE
from linewright.practice.classes.store import Store
from linewright.practice.drills.drill import Drill, Goal, Task, drill_id
from linewright.practice.drills.drill_maker import make_drills
from linewright.practice.playing_on import GoalState, Partner
from linewright.practice.schedule.log import entry_json
from linewright.practice.server.class_app import MOST_BODY, MOST_ENTRIES, make_class_app
from linewright.practice.server.limits import LATE_BURST, STRANGER_BURST, Limit
from linewright.practice.server.request_batching import LINKS, RequestBatches
from linewright.publish.html.typefaces import faces
from tests.browsing import PATIENCE, be_patient
from tests.practice.talks import told
from tests.practice.test_store import answers


class Scripted(Partner):
    """An engine that plays the first legal move."""

    def __init__(self) -> None:
        pass

    def close(self) -> None:
        pass

    def _reply(self, board: chess.Board, rating: int) -> chess.Move:
        return min(board.legal_moves, key=chess.Move.uci)

    def _judged(self, board: chess.Board, goal: Goal, side: chess.Color) -> tuple[GoalState, str]:
        return GoalState.REACHED, "You stand well."


PLAY = Drill(
    drill_id(Task.PLAY, chess.STARTING_FEN, "white"),
    Task.PLAY,
    chess.STARTING_FEN,
    "white",
    "You are White. Play on.",
    goal=Goal(2, "", 0.4),
)
TALK = "We begin with e4. He plays c5, and now Nf3, quietly. After d6 comes d4."


@dataclass
class Room:
    client: TestClient
    store: Store
    mine: SchoolClass
    tokens: dict[str, str]
    ids: dict[str, str]

    def ask(self, path: str, name: str = "Ana", body: Any = None) -> Any:
        headers = {"Authorization": f"Bearer {self.tokens.get(name, name)}"}
        if body is None:
            return self.client.get(f"/practice/{path}", headers=headers)
        return self.client.post(f"/practice/{path}", headers=headers, json=body)


def classroom(store: Store) -> tuple[SchoolClass, dict[str, str], dict[str, str]]:
    mine = store.new_class("Juniors")
    store.put_lesson(mine.id, "Sicilian", [*(d for d in make_drills(told(TALK)).drills if d.moves), PLAY])
    made = {name: store.add_pupil(mine.id, name) for name in ("Ana", "Tom")}
    return mine, {n: token for n, (_, token) in made.items()}, {n: pupil.id for n, (pupil, _) in made.items()}


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with Store.open(f"sqlite:///{tmp_path / 'c.sqlite'}") as store:
        mine, tokens, ids = classroom(store)
        with TestClient(make_class_app(store), base_url="http://class.local") as client:
            yield Room(client, store, mine, tokens, ids)


def sent(count: int) -> list[dict[str, Any]]:
    return [entry_json(entry) for entry in answers(count)]


def test_a_pupil_gets_lessons_and_keeps_answers(room: Room) -> None:
    lessons = room.ask("lessons").json()
    assert lessons["title"] == "Juniors"
    assert {"e2e4", "g1f3", "d2d4"} == {move["uci"] for drill in lessons["drills"] for move in drill["moves"]}
    rows = sent(3)
    first = room.ask("sync", body={"entries": rows, "since": 0}).json()
    assert (first["new"], first["refused"], first["more"]) == (3, [], False)
    again = room.ask("sync", body={"entries": rows, "since": first["seq"]}).json()
    assert (again["new"], again["entries"]) == (0, [])
    assert room.ask("mine").json()["entries"] == rows


def test_pupils_see_only_their_own(room: Room) -> None:
    room.ask("sync", "Tom", {"entries": sent(4), "since": 0})
    assert room.ask("mine").json()["entries"] == []
    assert room.ask("sync", body={"entries": [], "since": 0}).json()["entries"] == []
    text = room.ask("lessons").text + room.ask("mine").text
    assert "Tom" not in text


@pytest.mark.parametrize("path", ["lessons", "mine"])
@pytest.mark.parametrize("token", ["", "x" * 32, "Bearer", "../../etc"])
def test_without_a_link_nothing_is_told(room: Room, path: str, token: str) -> None:
    answer = room.client.get(f"/practice/{path}", headers={"Authorization": f"Bearer {token}"})
    assert answer.status_code == 401
    assert room.client.get(f"/practice/{path}").status_code == 401
    assert "Juniors" not in answer.text


def test_a_revoked_link_stops_working(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("linewright.practice.server.classroom.KNOWN_FOR", 0.0)
    assert room.ask("lessons").status_code == 200
    room.store.revoke(room.ids["Ana"])
    assert room.ask("lessons").status_code == 401
    assert room.ask("lessons", "Tom").status_code == 200


def test_nothing_of_the_desk_is_there(room: Room) -> None:
    for path in ("/desk", "/static/desk.js", "/talk", "/upload", "/practice/../desk", "/element/index.js"):
        assert room.client.get(path, follow_redirects=False).status_code in (404, 405)


def test_every_answer_has_the_headers_that_keep_it_closed(room: Room) -> None:
    for path in (
        *("/practice/", "/practice/practice.js", "/practice/practice.css", "/practice/lessons"),
        "/practice/fonts/serif.woff2",
    ):
        headers = room.client.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"], path
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert "set-cookie" not in headers
    assert room.ask("mine").headers["cache-control"] == "no-store"


def test_the_page_s_typefaces_are_served_and_nothing_else_of_their_folder(room: Room) -> None:
    style = room.client.get("/practice/practice.css").text
    asked = re.findall(r"url\((fonts/[\w.-]+)\)", style)
    assert len(asked) == len(set(faces()))
    for file in asked:
        answer = room.client.get(f"/practice/{file}")
        assert answer.status_code == 200 and answer.content[:4] == b"wOF2", file
    for file in ("faces.json", "OFL.txt", "..%2Fpage.css", "no.woff2"):
        assert room.client.get(f"/practice/fonts/{file}").status_code == 404, file


BAD_BODIES: list[tuple[bytes, int]] = [
    (b"", 400),
    (b"[]", 400),
    (b"{", 400),
    (b'{"entries": [], "since": -1}', 400),
    (b'{"entries": [], "since": "0"}', 400),
    (b'{"entries": {}, "since": 0}', 400),
    (b"[" * 100_000, 400),
    (b"\xff\xfe", 400),
    (b" " * (MOST_BODY + 1), 413),
    (json.dumps({"entries": [0] * (MOST_ENTRIES + 1), "since": 0}).encode(), 413),
]


@pytest.mark.parametrize(("body", "status"), BAD_BODIES, ids=[str(i) for i in range(len(BAD_BODIES))])
def test_what_is_no_sync_is_refused(room: Room, body: bytes, status: int) -> None:
    headers = {"Authorization": f"Bearer {room.tokens['Ana']}"}
    answer = room.client.post("/practice/sync", content=body, headers=headers)
    assert answer.status_code == status
    assert answer.json()["error"]


def test_one_bad_row_never_stops_the_rest(room: Room) -> None:
    rows = sent(2)
    answer = room.ask("sync", body={"entries": [rows[0], {"id": "<script>"}, rows[1]], "since": 0}).json()
    assert (answer["new"], answer["refused"]) == (2, [1])


def test_guessing_links_is_slowed_down(room: Room) -> None:
    codes = [room.ask("lessons", "y" * 32).status_code for _ in range(25)]
    assert codes[0] == 401
    assert codes[-1] == 429


def test_a_stranger_at_school_shuts_out_nobody(room: Room) -> None:
    assert room.ask("mine").status_code == 200
    for _ in range(25):
        room.ask("lessons", "y" * 32)
    assert room.ask("mine").status_code == 200
    assert room.ask("mine", "Tom").status_code == 200, "nor a pupil who comes only now"


def test_links_are_not_tried_without_end_from_where_many_were_wrong(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[str] = []

    def nobodys(tokens: Sequence[str]) -> list[None]:
        tried.extend(tokens)
        return [None] * len(tokens)

    app: Any = room.client.app
    monkeypatch.setattr(app.state.classroom, "links", RequestBatches(nobodys, LINKS))
    codes = {room.ask("lessons", f"{number:032}").status_code for number in range(STRANGER_BURST + LATE_BURST + 200)}
    assert codes == {401, 429} and len(tried) < STRANGER_BURST + LATE_BURST + 150


def test_a_device_gone_mad_is_slowed_down_alone(room: Room) -> None:
    codes = [room.ask("mine").status_code for _ in range(70)]
    assert codes[0] == 200
    assert codes[-1] == 429
    assert room.ask("mine", "Tom").status_code == 200


def test_a_bucket_fills_up_again() -> None:
    now = [0.0]
    limit = Limit(2.0, 3, lambda: now[0])
    assert [limit.allows("a") for _ in range(4)] == [True, True, True, False]
    assert limit.allows("b")
    now[0] = 0.5
    assert [limit.allows("a"), limit.allows("a")] == [True, False]
    now[0] = 100.0
    assert [limit.allows("a") for _ in range(4)] == [True, True, True, False]


def test_long_logs_come_in_parts(room: Room) -> None:
    room.store.sync(room.ids["Ana"], answers(PAGE + 5))
    first = room.ask("sync", body={"entries": [], "since": 0}).json()
    assert (len(first["entries"]), first["more"]) == (PAGE, True)
    rest = room.ask("sync", body={"entries": [], "since": first["seq"]}).json()
    assert (len(rest["entries"]), rest["more"]) == (5, False)


# In a browser, with the real server.


@dataclass
class Served:
    address: str
    store: Store
    tokens: dict[str, str]
    ids: dict[str, str]


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with Store.open(f"sqlite:///{tmp_path / 'c.sqlite'}") as store:
        _, tokens, ids = classroom(store)
        bound = socket.create_server(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(make_class_app(store, Scripted()), log_level="error", lifespan="off"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]})
        thread.start()
        yield Served(f"http://127.0.0.1:{bound.getsockname()[1]}/practice/", store, tokens, ids)
        server.should_exit = True
        thread.join(PATIENCE)
        bound.close()


def device(browser: Any, served: Served, name: str) -> Any:
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    be_patient(page)
    page.goto(f"{served.address}#{served.tokens.get(name, name)}")
    return page


def answer(page: Any, move: str) -> None:
    page.wait_for_selector("#unknown:visible")
    page.fill("#move", move)
    page.press("#move", "Enter")


def until(told: Any, what: str) -> None:
    end = time.monotonic() + PATIENCE
    while not told():
        assert time.monotonic() < end, what
        time.sleep(0.025)


def test_two_devices_and_a_network_cut(browser: Any, served: Served) -> None:
    """Answers given while the network is away are sent later, once; the other device learns of them."""
    phone = device(browser, served, "Ana")
    phone.wait_for_selector("#begin:visible")
    until(lambda: "All answers are sent" in phone.inner_text("#connection"), "never synced")
    phone.click("#begin")
    answer(phone, "e4")
    until(lambda: len(served.store.log(served.ids["Ana"])) == 1, "the first answer never came")
    phone.context.set_offline(True)
    phone.click("#on")
    answer(phone, "Nf3")
    phone.click("#on")
    answer(phone, "d4")
    time.sleep(0.5)
    assert len(served.store.log(served.ids["Ana"])) == 1
    tablet = device(browser, served, "Ana")
    until(lambda: "1 answer kept" in tablet.text_content("#kept"), "the tablet never learned of the first answer")
    phone.context.set_offline(False)
    until(lambda: len(served.store.log(served.ids["Ana"])) == 3, "the answers never came")
    tablet.reload()
    until(lambda: "3 answers kept" in tablet.text_content("#kept"), "the tablet never learned of the others")
    assert [e.answer for e in served.store.log(served.ids["Ana"])] == ["e2e4", "g1f3", "d2d4"]
    for page in (phone, tablet):
        page.context.close()


def test_two_pupils_of_one_tablet_stay_apart(browser: Any, served: Served) -> None:
    page = device(browser, served, "Ana")
    page.wait_for_selector("#begin:visible")
    page.click("#begin")
    answer(page, "e4")
    until(lambda: len(served.store.log(served.ids["Ana"])) == 1, "the answer never came")
    page.goto(f"{served.address}#{served.tokens['Tom']}")
    until(lambda: "0 answers kept" in page.text_content("#kept"), "Tom sees Ana's answers")
    time.sleep(0.3)
    assert served.store.log(served.ids["Tom"]) == ()
    page.context.close()


def test_a_link_that_does_not_work_says_so(browser: Any, served: Served) -> None:
    page = device(browser, served, "z" * 32)
    until(lambda: "does not work any more" in page.inner_text("#connection"), "nothing was said")
    page.context.close()


def test_playing_on_until_the_goal(browser: Any, served: Served) -> None:
    page = device(browser, served, "Ana")
    page.click("#playing summary")
    page.wait_for_selector("#tabiyas button:visible")
    page.select_option("#strength", "1500")
    page.click("#tabiyas button")
    for move in ("e4", "d4"):
        page.wait_for_function("() => document.querySelector('lw-board').getAttribute('can') === 'move'")
        page.fill("#move", move)
        page.press("#move", "Enter")
    until(lambda: "Goal reached" in page.inner_text("#feedback"), "the goal was never reached")
    assert "You stand well." in page.inner_text("#feedback")
    until(lambda: [e.answer for e in served.store.log(served.ids["Ana"])] == ["reached"], "it was not written down")
    page.context.close()


def test_without_an_engine_nothing_is_played_on(room: Room) -> None:
    assert all(drill["task"] != "play" for drill in room.ask("lessons").json()["drills"])
    assert room.ask("play", body={"drill": PLAY.id, "moves": [], "rating": 1500}).status_code == 404


def test_playing_on_takes_only_what_can_be_played(room: Room) -> None:
    app = make_class_app(room.store, Scripted())
    headers = {"Authorization": f"Bearer {room.tokens['Ana']}"}
    with TestClient(app) as client:
        cases: list[tuple[Any, int]] = [
            ({"drill": PLAY.id, "moves": ["e2e4"], "rating": 1500}, 200),
            ({"drill": PLAY.id, "moves": ["e2e5"], "rating": 1500}, 422),
            ({"drill": PLAY.id, "moves": ["g1f3", "g8f6", "f3g1", "f6g8"] * 9, "rating": 1500}, 422),
            ({"drill": "0" * 16, "moves": [], "rating": 1500}, 404),
            ({"drill": PLAY.id, "moves": [1], "rating": 1500}, 400),
            ({"drill": PLAY.id}, 400),
            ([], 400),
        ]
        for body, status in cases:
            answer = client.post("/practice/play", headers=headers, json=body)
            assert answer.status_code == status, (body, answer.text)


def test_names_of_pupils_in_other_scripts(room: Room) -> None:
    pupil, token = room.store.add_pupil(room.mine.id, "Ольга 李 🙂")
    room.tokens["Olga"] = token
    assert room.ask("mine", "Olga").json()["pupil"] == pupil.name
    assert uuid.UUID(hex=pupil.id).version == 4

"""The live connection with a real server and its processes, and the parts behind it."""

from __future__ import annotations

import asyncio
import contextlib
import pickle
import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import chess
import httpx
import pytest

from linewright.desk.files.offsets import Offsets
from linewright.desk.messages.evidence import ModelGame, Models
from linewright.desk.views.evidence import Evidence
from linewright.desk.views.spelling import Habit, habit_of, spelled
from linewright.desk.views.uncovered_replies import uncovered_replies
from linewright.games.api import GamesBase
from linewright.reading.reader import read_talk
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text
from tests.desk.support import Running, running

TALK = "# The French\n\nWe start with e4, e6, d4, d5, and knight d2. Most people strike at once, c5. Now exd5.\n"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, base: Path) -> Iterator[Running]:
    with running(tmp_path_factory.mktemp("talks"), tmp_path_factory.mktemp("home"), base) as found:
        yield found


def sans(message: dict[str, list[dict[str, str]]]) -> list[str]:
    return [step["san"] for step in message["steps"] if "san" in step]


def test_a_text_is_read_with_the_places_of_its_words(desk: Running) -> None:
    (desk.folder / "places.md").write_text(TALK, encoding="utf-8")
    with desk.page("places.md") as live:
        text = live.hear("hello")["text"]
        live.send(do="text", serial=7, text=text)
        walk = live.hear("walk")
        assert walk["serial"] == 7
        assert sans(walk) == ["e4", "e6", "d4", "d5", "Nd2", "c5", "exd5"]
        assert [text[s["a"] : s["z"]] for s in walk["steps"]][:2] == ["e4,", "e6,"]
        assert live.hear("findings")["serial"] == 7
        assert live.hear("map")["dots"]


def test_the_newest_text_wins(desk: Running) -> None:
    (desk.folder / "newest.md").write_text(TALK, encoding="utf-8")
    with desk.page("newest.md") as live:
        live.hear("hello")
        for serial in range(1, 9):
            live.send(do="text", serial=serial, text=TALK + "And then knight f3. " * serial)
        heard = [live.hear("walk")["serial"]]
        while heard[-1] != 8:
            heard.append(live.hear("walk")["serial"])
        assert heard == sorted(heard) and len(heard) < 8


def test_places_are_counted_as_browsers_count(desk: Running) -> None:
    (desk.folder / "wide.md").write_text("# 𝕏♞😀\n\nWe start 😀 with e4, e5.\n", encoding="utf-8")
    with desk.page("wide.md") as live:
        text = live.hear("hello")["text"]
        live.send(do="text", serial=1, text=text)
        step = live.hear("walk")["steps"][0]
        units = text.encode("utf-16-le")
        assert units[2 * step["a"] : 2 * step["z"]].decode("utf-16-le") == "e4,"


def test_captions_are_shown_with_their_own_places(desk: Running) -> None:
    captions = (
        "WEBVTT\n\n00:01.000 --> 00:03.000\nWe start with <b>e4</b>, e5,\n\n00:03.000 --> 00:06.000\nknight f3.\n"
    )
    (desk.folder / "cap.vtt").write_text(captions, encoding="utf-8")
    with desk.page("cap.vtt") as live:
        text = live.hear("hello")["text"]
        live.send(do="text", serial=1, text=text)
        steps = live.hear("walk")["steps"]
        assert sans({"steps": steps}) == ["e4", "e5", "Nf3"]
        assert text[steps[1]["a"] : steps[1]["z"]] == "e5,"
        assert text[steps[2]["a"] : steps[2]["z"]] == "knight f3."


def test_evidence_comes_with_its_figures(desk: Running) -> None:
    (desk.folder / "evidence.md").write_text(TALK, encoding="utf-8")
    board = chess.Board()
    for san in ("e4", "e6", "d4", "d5", "Nd2"):
        board.push_san(san)
    with desk.page("evidence.md") as live:
        live.send(do="evidence", fen=board.fen(), side="white")
        found = live.hear("replies")
        assert found["turn"] == "Black" and found["replies"][0]["fig"].startswith("3...")
        with GamesBase.open(desk.desk.base) as games:
            counted = games.replies(board)
        assert [r["games"] for r in found["replies"]] == [r.games for r in counted.replies[: len(found["replies"])]]
        models = live.hear("models")["models"]
        assert models and all(model["heading"] and model["moves"] for model in models)
        assert "engine" in live.hear("engine")["trouble"]
        live.send(do="evidence", fen="nonsense")
        assert "not a valid FEN" in live.hear("trouble")["why"]


def game(heading: str) -> ModelGame:
    return ModelGame(heading, "1-0", "", (), "")


class Slow(Evidence):
    """Evidence whose process answers only when it is told to; asked is what it was asked for."""

    def __init__(self) -> None:
        super().__init__(Path("/nowhere"))
        self.open, self.asked = asyncio.Event(), 0

    async def _run(self, work: Any) -> Any:
        self.asked += 1
        await self.open.wait()
        return (game(str(self.asked)),)


def test_pages_that_wait_for_the_same_games_ask_once() -> None:
    async def pages() -> None:
        slow = Slow()
        first, second, third = (asyncio.create_task(slow.models(chess.STARTING_FEN, "")) for _ in range(3))
        await asyncio.sleep(0)
        first.cancel()
        await asyncio.sleep(0)
        slow.open.set()
        assert await second == await third == Models(chess.STARTING_FEN, (game("1"),))
        assert first.cancelled() or first.cancelling()
        await slow.models(chess.STARTING_FEN, "")
        assert slow.asked == 1, "the answer is remembered"

    asyncio.run(pages())


def test_what_no_page_waits_for_any_more_is_given_up_and_can_be_asked_again() -> None:
    async def pages() -> None:
        slow = Slow()
        only = asyncio.create_task(slow.models(chess.STARTING_FEN, "white"))
        await asyncio.sleep(0)
        only.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await only
        slow.open.set()
        assert (await slow.models(chess.STARTING_FEN, "white")).models == (game("2"),)

    asyncio.run(pages())


def test_a_half_remembered_game_is_found(desk: Running, base: Path) -> None:
    (desk.folder / "quote.md").write_text(TALK, encoding="utf-8")
    with GamesBase.open(base) as games:
        board = chess.Board()
        for san in "e4 e6 d4 d5 Nd2 c5 exd5 Qxd5".split():
            board.push_san(san)
        game = games.games(board, "newest", 1)[0]
    told = f"{game.white.split(',')[0]} against {game.black.split(',')[0]}, {game.year}"
    with desk.page("quote.md") as live:
        live.send(do="quote", words=told)
        found = live.hear("quoted", 40)["games"]
        assert found and game.white.split(",")[0] in found[0]["heading"]
        live.send(do="quote", words="and so on and so on")
        assert live.hear("quoted")["trouble"]


ENGINE = shutil.which("stockfish") or shutil.which("/usr/games/stockfish")


@pytest.mark.skipif(ENGINE is None, reason="needs a UCI engine (apt install stockfish)")
def test_the_engine_gives_sign_and_line(tmp_path: Path) -> None:
    (tmp_path / "talks").mkdir()
    (tmp_path / "talks" / "a.md").write_text(TALK, encoding="utf-8")
    won = "rnb1kbnr/ppp2ppp/8/3p4/3P4/8/PPPQ1PPP/RNB1KBNR w KQkq - 0 5"
    with running(tmp_path / "talks", tmp_path / "home", engine=Path(str(ENGINE))) as desk, desk.page("a.md") as live:
        live.send(do="evidence", fen=won)
        told = live.hear("engine", 40)
        assert told["sign"] in ("+−", "±") and "white" in told["words"]
        assert told["lines"][0]["line"].startswith("5.")


@pytest.mark.skipif(ENGINE is None, reason="needs a UCI engine (apt install stockfish)")
def test_what_the_engine_has_judged_counts_from_then_on(tmp_path: Path) -> None:
    start = "rnb1kbnr/pppp1ppp/8/4p1B1/3PP3/8/PPP2PPP/RN1QKBNR b KQkq - 0 3"
    talk = f"# A queen up\n\n{{start: {start}}}\n\nWhite is winning. Black plays knight c6.\n"
    (tmp_path / "talks").mkdir()
    (tmp_path / "talks" / "a.md").write_text(talk, encoding="utf-8")
    with running(tmp_path / "talks", tmp_path / "home", engine=Path(str(ENGINE))) as desk, desk.page("a.md") as live:

        def verdict(serial: int) -> str:
            live.send(do="text", serial=serial, text=talk)
            while (told := live.hear("findings"))["serial"] != serial:
                pass
            (found,) = (f for f in told["findings"] if f["kind"] == "assessment")
            return str(found["verdict"])

        assert verdict(1) == "undecided"
        live.send(do="check")
        parts = []
        while (job := live.hear("job"))["state"] == "running":
            parts.append(job["part"])
        assert job["state"] == "done" and "1 holds" in job["words"], job
        assert parts and parts == sorted(parts)
        assert verdict(2) == "holds"


def test_a_check_is_stopped_or_says_why_it_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "talks").mkdir()
    (tmp_path / "talks" / "a.md").write_text(TALK, encoding="utf-8")
    with running(tmp_path / "talks", tmp_path / "home") as desk, desk.page("a.md") as live, desk.client() as client:
        live.send(do="text", serial=1, text=TALK)
        live.send(do="check")
        number = live.hear("job")["job"]
        # Told as it is begun, long before its process has even started.
        assert client.post("/stop", json={"job": number}).json() == {"stopped": True}
        while (job := live.hear("job"))["state"] == "running":
            pass
        assert job["state"] == "stopped"
        live.send(do="check")
        while (job := live.hear("job"))["state"] == "running":
            pass
        assert job["state"] == "failed" and "/nowhere/engine" in job["why"]


def test_a_base_that_comes_later_is_found(tmp_path: Path, base: Path) -> None:
    (tmp_path / "talks").mkdir()
    (tmp_path / "talks" / "a.md").write_text(TALK, encoding="utf-8")
    later = tmp_path / "later.duckdb"
    with running(tmp_path / "talks", tmp_path / "home", later) as desk, desk.page("a.md") as live:
        live.send(do="evidence", fen=chess.STARTING_FEN)
        told = live.hear("replies")
        assert told["total"] > 160_000 and "starter table" in told["note"] and "base add" in told["note"]
        live.send(do="evidence", fen="8/8/8/4k3/8/4K3/4P3/8 w - - 0 1")
        assert "starter table" in (trouble := live.hear("replies")["trouble"]) and "base add" in trouble
        live.send(do="quote", words="Marlow against Tessen, 2016")
        assert "counts, not games" in live.hear("quoted", 40)["trouble"]
        later.write_bytes(base.read_bytes())
        live.send(do="evidence", fen=chess.STARTING_FEN)
        told = live.hear("replies")
        assert 0 < told["total"] < 1000 and not told["note"]


def test_saving_and_changes_on_the_disk(desk: Running) -> None:
    file = desk.folder / "saved.md"
    file.write_text(TALK, encoding="utf-8")
    with desk.page("saved.md") as live:
        version = live.hear("hello")["version"]
        live.send(do="save", serial=1, text=TALK + "More.\n", base=version)
        saved = live.hear("saved")
        assert file.read_text(encoding="utf-8") == TALK + "More.\n"
        file.write_text(TALK.replace("French", "Spanish"), encoding="utf-8")
        while "Spanish" not in live.hear("disk")["text"]:
            pass  # a slow watch may still tell of the file's first state; a silent one fails in hear
        live.send(do="save", serial=2, text=TALK + "More and more.\n", base=saved["version"])
        found = live.hear("conflict")
        assert "Spanish" in found["theirs"] and file.read_text(encoding="utf-8").startswith("# The Spanish")
        assert found["merged"] is None or ("Spanish" in found["merged"] and "more" in found["merged"])


def test_a_place_is_settled_and_read_again(desk: Running) -> None:
    (desk.folder / "ask.md").write_text(TALK + "\nThen he takes back.\n", encoding="utf-8")
    with desk.page("ask.md") as live:
        live.send(do="text", serial=1, text=live.hear("hello")["text"])
        place = live.hear("findings")["questions"][0]
        live.send(do="ask", first=place["first"])
        question = live.hear("question")
        assert question["choices"] and question["places"][0]["words"] == place["words"]
        live.send(do="ask", first=place["first"], answer={"moves": ["Zz9"]})
        assert live.hear("question")["error"]
        live.send(do="ask", first=place["first"], answer={"choose": 0})
        live.hear("settled")
        assert all(q["first"] != place["first"] for q in live.hear("findings")["questions"])
    assert (desk.folder / "ask.md.answers").exists()
    with desk.client() as client:
        assert client.post("/answers/undo/ask.md").json() == {"undone": True}
        assert "|" not in (desk.folder / "ask.md.answers").read_text()


@pytest.mark.parametrize(
    "message",
    [
        {"do": "text"},
        {"do": "text", "text": 7},
        {"do": "save", "text": None},
        {"do": "spell", "fen": "x"},
        {"do": "spell", "fen": chess.STARTING_FEN, "moves": ["e2e5"]},
    ],
)
def test_what_makes_no_sense_is_told_and_nothing_ends(desk: Running, message: dict[str, object]) -> None:
    (desk.folder / "odd.md").write_text(TALK, encoding="utf-8")
    with desk.page("odd.md") as live:
        live.hear("hello")
        live.send(**message)
        assert live.hear("trouble")["why"]
        live.socket.send("not json")
        live.socket.send("[1]")
        live.send(do="spell", fen=chess.STARTING_FEN, moves=["e2e4"])
        assert live.hear("spelled")["words"] == ["e4"]


def test_an_odd_start_is_told_in_its_words(desk: Running) -> None:
    (desk.folder / "start.md").write_text("{start: nonsense} e4", encoding="utf-8")
    with desk.page("start.md") as live:
        live.send(do="text", serial=3, text=live.hear("hello")["text"])
        told = live.hear("trouble")
        assert told["serial"] == 3 and "nonsense" in told["why"]


def test_a_lesson_is_built_and_can_be_stopped(desk: Running) -> None:
    (desk.folder / "built.md").write_text(TALK, encoding="utf-8")
    with desk.page("built.md") as live, desk.client() as client:
        live.hear("hello")
        number = client.post("/build", json={"talk": "built.md"}).json()["job"]
        assert client.post("/stop", json={"job": number}).json() == {"stopped": True}
        job = live.hear("job")
        while job["state"] == "running":
            job = live.hear("job")
        assert job["state"] == "stopped"
        client.post("/build", json={"talk": "built.md"})
        while job["state"] != "done":
            job = live.hear("job", 60)
            assert job["state"] in ("running", "done"), job
        page = next(name for name in job["files"] if name.endswith(".html"))
        found = client.get(f"/made/lessons/built/{page}")
        assert found.status_code == 200 and "sandbox" in found.headers["content-security-policy"]
        assert client.get("/made/built.md").status_code == 404


def test_the_course_of_a_folder_is_built(desk: Running) -> None:
    (desk.folder / "juniors").mkdir()
    (desk.folder / "juniors" / "first.md").write_text(TALK, encoding="utf-8")
    (desk.folder / "elsewhere.md").write_text("# Elsewhere\n\n1.e4 e5\n", encoding="utf-8")
    (desk.folder / "juniors" / "link.md").symlink_to("/etc/hostname")
    with desk.page("juniors/first.md") as live, desk.client() as client:
        live.hear("hello")
        assert client.post("/course", json={"folder": "juniors"}).json()["folder"] == "juniors/course"
        job = live.hear("job", 60)
        while job["state"] == "running":
            job = live.hear("job", 60)
        assert job["state"] == "done" and job["kind"] == "course" and not job["notes"], job
        assert {"index.html", "course.pgn", "course-book.pdf"} <= set(job["files"])
        assert client.get("/made/juniors/course/index.html").status_code == 200
        assert client.post("/course", json={"folder": "nowhere"}).status_code == 404


def test_a_folder_that_is_not_ours_is_not_built_into(desk: Running) -> None:
    (desk.folder / "foreign.md").write_text(TALK, encoding="utf-8")
    (desk.folder / "lessons" / "foreign").mkdir(parents=True)
    (desk.folder / "lessons" / "foreign" / "thesis.txt").write_text("mine")
    with desk.page("foreign.md") as live, desk.client() as client:
        live.hear("hello")
        client.post("/build", json={"talk": "foreign.md"})
        job = live.hear("job", 60)
        while job["state"] == "running":
            job = live.hear("job", 60)
        assert job["state"] == "failed" and "thesis.txt" in job["why"]


def test_a_reading_process_that_dies_is_started_again(desk: Running) -> None:
    (desk.folder / "dies.md").write_text(TALK, encoding="utf-8")
    with desk.page("dies.md") as live:
        text = live.hear("hello")["text"]
        live.send(do="text", serial=1, text=text)
        live.hear("walk")
        process = desk.desk.readings._process
        assert process is not None
        process.kill()
        until = time.monotonic() + 5
        while process.is_alive() and time.monotonic() < until:
            time.sleep(0.01)
        live.send(do="text", serial=2, text=text + "Knight f3.")
        assert live.hear("walk", 30)["serial"] == 2


def test_new_talks_and_uploads(desk: Running) -> None:
    with desk.client() as client:
        assert client.post("/talks", json={"title": "Ünusual"}).json()["address"] == "/talk/%C3%9Cnusual.md"
        again = client.post("/talks", json={"title": "Ünusual"})
        assert again.status_code == 422 and "already exists" in again.text
        kept = client.post("/upload?name=notes.txt", content=b"We play e4.").json()
        assert kept == {"name": "notes.txt", "talk": True}
        page = client.get("/")
        assert isinstance(page, httpx.Response) and "notes.txt" in page.text


# -- parts -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "uci", "habit", "words"),
    [
        ("", "g1f3", Habit(), "knight f3"),
        ("", "g1f3", Habit(to=True), "knight to f3"),
        ("", "e2e4", Habit(), "e4"),
        ("", "e2e4", Habit(pawn=True, to=True), "pawn to e4"),
        ("", "g1f3", Habit(notation=True), "Nf3"),
        ("e2e4", "g8f6", Habit(notation=True, numbers=True), "1...Nf6"),
        ("e2e4 d7d5", "e4d5", Habit(), "e takes d5"),
        ("e2e4 d7d5", "e4d5", Habit(on=True), "e takes d5"),
        ("e2e4 d7d5 e4d5", "d8d5", Habit(on=True), "queen takes on d5"),
        ("e2e4 e7e5 d1h5 b8c6 f1c4 g8f6", "h5f7", Habit(), "queen takes f7"),
        ("e2e4 e7e5 g1f3 b8c6 f1c4 f8c5", "e1g1", Habit(to=True), "castles kingside"),
    ],
)
def test_moves_are_written_by_the_habit(before: str, uci: str, habit: Habit, words: str) -> None:
    board = chess.Board()
    for move in before.split():
        board.push_uci(move)
    assert spelled(board, chess.Move.from_uci(uci), habit) == words


@pytest.mark.parametrize(
    ("text", "habit"),
    [
        ("We start with e4, e5, knight f3, knight c6, bishop b5.", Habit()),
        ("1.e4 e5 2.Nf3 Nc6 3.Bb5 a6 4.Ba4 Nf6", Habit(notation=True)),
        ("We play e4, e5, knight to f3, knight to c6, bishop to b5, pawn to a6.", Habit(to=True)),
        ("", Habit()),
    ],
)
def test_the_habit_is_found_in_the_talk(text: str, habit: Habit) -> None:
    walk = read_talk(load_text(text, TalkFormat.TYPED, "a talk")) if text else None
    found = habit_of(walk)
    assert (found.notation, found.to) == (habit.notation, habit.to)


def test_what_is_written_by_a_habit_is_read_as_the_same_move() -> None:
    """Whatever the habit, the reader takes the words for the move that was played on the board."""
    line = "e2e4 e7e5 g1f3 b8c6 d2d4 e5d4 f3d4 g8f6 b1c3 f8b4 d4c6 b7c6 f1d3 d7d5 e4d5 c6d5 e1g1 e8g8".split()
    for habit in (Habit(), Habit(to=True, on=True), Habit(notation=True), Habit(notation=True, numbers=True)):
        board, words = chess.Board(), []
        for uci in line:
            move = chess.Move.from_uci(uci)
            words.append(spelled(board, move, habit))
            board.push(move)
        walk = read_talk(
            load_text(f"Now {' '.join(words) if habit.notation else ', '.join(words)}.", TalkFormat.TYPED, "talk")
        )
        assert [move.uci for move in walk.moves] == line, habit


def test_offsets_of_an_empty_range_stand_before_their_word() -> None:
    talk = load_text("We play e4.", TalkFormat.TYPED, "t")
    offsets = Offsets(talk, talk.text)
    assert offsets.span(2, 2) == (8, 8) and offsets.span(3, 3) == (11, 11)
    assert [offsets.word_at(at) for at in (0, 3, 9, 30)] == [0, 1, 2, 3]


def test_what_is_left_out_is_told_by_how_often_it_is_met(base: Path) -> None:
    lines = TALK.replace("Now exd5.", "Now exd5, exd5.") + "\nBack to knight d2, and the other move is knight f6.\n"
    talk = load_text("{side: white} " + lines, TalkFormat.TYPED, "t")
    with GamesBase.open(base) as games:
        walk = read_talk(talk, games)
        found = uncovered_replies(walk, games, lambda: False)
        assert found is not None and found
        shares = [gap.met for gap in found]
        assert shares == sorted(shares, reverse=True) and all(0 < share <= 1 for share in shares)
        told = {(walk.nodes[n.parent].fen, n.uci) for n in walk.nodes if n.parent is not None}
        for gap in found:
            assert (gap.fen, gap.uci) not in told
            board = chess.Board(gap.fen)
            assert board.turn == chess.BLACK and chess.Move.from_uci(gap.uci) in board.legal_moves
        assert uncovered_replies(walk, games, lambda: True) is None
    assert uncovered_replies(walk, None, lambda: False) == ()


def test_troubles_pass_between_processes_whole() -> None:
    passed = pickle.loads(pickle.dumps(UnusableInput("what", "todo")))
    assert (type(passed), passed.what, passed.todo, str(passed)) == (UnusableInput, "what", "todo", "what. todo")

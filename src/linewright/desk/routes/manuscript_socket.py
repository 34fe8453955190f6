"""The live connection of a manuscript's page: texts in, readings and evidence out, over one WebSocket.

One WebSocket rather than server-sent events: a browser opens six connections to a server at most, and fifty pages
may be open.

The page sends ``{"do": …}``, each with what :class:`Page` says; it is answered with ``{"what": …}``:

========== ==============================================================================================
do          answered with
========== ==============================================================================================
text        ``peek``, ``walk``, ``findings``, ``map`` of the text with that ``serial``; ``trouble``
save        ``saved``, or ``conflict`` with the pieces of both texts
evidence    ``replies`` at once, then ``models`` and ``engine``, for the ``fen``
ask         ``question``, or ``settled`` after an ``answer``
spell       ``spelled``: moves from a ``fen`` as the trainer writes them
quote       ``quoted``: the games that ``words`` may mean
correct     ``corrected``: dictated ``words`` as they should read, with their ``number``
check       ``job``: the engine judges the text read last; read again, its verdicts count
========== ==============================================================================================

Unasked come ``hello`` (the file as it is), ``disk`` (the file changed) and ``job``.
"""

from __future__ import annotations

import asyncio
import contextlib
import itertools
import re
from collections.abc import Coroutine
from typing import Any

from starlette.routing import WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from linewright.desk.files.folder import Conflict, NoSuchTalk, Stored
from linewright.desk.files.merging import merge, merged
from linewright.desk.processes.background_jobs import check_with_engine
from linewright.desk.processes.reading_process import Ask, Phrase, Read, Told
from linewright.desk.state import Desk, desk_of, next_object
from linewright.desk.views.evidence import board_of
from linewright.desk.views.spelling import Habit, spelled
from linewright.lesson.spoken import figurine
from linewright.settle.answers_file import answers_path
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE

#: Characters of a talk's text: ten hours of it.
MOST_TEXT = 2_000_000
#: Characters of a phrase: fourteen seconds of speech have some 300.
MOST_PHRASE = 2_000
#: Moves spelled at once: a game's beginning.
MOST_SPELLED = 40
#: Half of a sign beyond the first 65,536: a browser's text may hold it, a file can't.
_HALF = re.compile(r"[\ud800-\udfff]")

_pages = itertools.count(1)


class Page:
    """One open manuscript."""

    def __init__(self, socket: WebSocket, desk: Desk, name: str) -> None:
        self.socket, self.desk, self.name = socket, desk, name
        self.path = desk.folder.talk_path(name)
        self.page = f"page-{next(_pages)}"
        self.habit = Habit()
        self.version = ""
        self.text: Read | None = None
        self._out: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self._looks: dict[str, asyncio.Task[None]] = {}

    async def run(self) -> None:
        """Serve the page until it is closed."""
        await self.socket.accept()
        self.desk.readings.open(self.page, self.heard)
        with self.desk.hub.listening() as news:
            work = [asyncio.create_task(w) for w in (self._speak(), self._listen(), self._pass_on(news))]
            try:
                self.hello()
                await asyncio.wait(work, return_when=asyncio.FIRST_COMPLETED)
            finally:
                for task in [*work, *self._looks.values()]:
                    task.cancel()
                self.desk.readings.close_page(self.page)
                self.desk.engine_room.forget(self.page)

    def tell(self, what: str, view: dict[str, Any]) -> None:
        """Send something to the page."""
        self._out.put_nowait({"what": what} | view)

    def hello(self) -> None:
        """The file as it is; an empty text when there is none yet."""
        try:
            stored = self.desk.folder.load(self.name)
        except NoSuchTalk:
            stored = Stored(self.name, "", "")
        except UnusableInput as trouble:
            self.tell("trouble", {"why": trouble.what, "todo": trouble.todo, "serial": 0})
            return
        self.version = stored.version
        self.tell("hello", _stored_view(stored))

    def heard(self, told: Told) -> None:
        """Pass on what was read."""
        if told.habit is not None:
            self.habit = told.habit
        self.tell(told.what, {"serial": told.serial} | _renamed(told))

    # -- the connection ----------------------------------------------------------------------------------

    async def _speak(self) -> None:
        while True:
            await self.socket.send_json(await self._out.get())

    async def _listen(self) -> None:
        with contextlib.suppress(WebSocketDisconnect):
            while True:
                message = await next_object(self.socket)
                try:
                    await self.take(message)
                except UnusableInput as trouble:
                    self.tell("trouble", {"why": trouble.what, "todo": trouble.todo, "serial": 0})
                except (ValueError, TypeError, OverflowError):
                    why = f"a message with {str(message.get('do'))[:20]!a} was not understood"
                    self.tell("trouble", {"why": why, "todo": "Load the page again.", "serial": 0})

    async def _pass_on(self, news: asyncio.Queue[dict[str, Any]]) -> None:
        while True:
            told = await news.get()
            if told["what"] != "disk":
                self._out.put_nowait(told)
            elif told["talk"] == self.name:
                await self._look_at_disk(told["file"])

    async def _look_at_disk(self, file: str) -> None:
        """Tell the page that its file changed, unless it was the page's own saving; answers are read again."""
        if file != self.name:
            self.tell("disk", {"answers": True})
            return
        try:
            stored = await asyncio.to_thread(self.desk.folder.load, self.name)
        except NoSuchTalk:
            stored = Stored(self.name, "", "")
        except UnusableInput:
            return
        if stored.version != self.version:
            self.tell("disk", _stored_view(stored))

    # -- what a page asks --------------------------------------------------------------------------------

    async def take(self, message: dict[str, Any]) -> None:
        """Act on one message.

        :raises UnusableInput: when it can't be done.
        """
        match message.get("do"):
            case "text":
                self.read(message)
            case "save":
                await self.save(message)
            case "evidence":
                self._look("evidence", self.evidence(message))
            case "quote":
                self._look("quote", self.quote(message))
            case "ask":
                await self.ask(message)
            case "spell":
                self.spell(message)
            case "check":
                self.check()
            case "correct":
                self.correct(message)

    def read(self, message: dict[str, Any]) -> None:
        """``serial``, ``text``: read this text."""
        text = _text(message)
        self.text = Read(self.page, int(message.get("serial", 0)), self.path, text)
        self.desk.readings.read(self.text)

    async def save(self, message: dict[str, Any]) -> None:
        """``serial``, ``text``, ``base``: save the text that was made from version ``base``."""
        text, base = _text(message), str(message.get("base", ""))
        serial = message.get("serial", 0)
        saved = await asyncio.to_thread(self.desk.folder.save, self.name, text, base)
        if isinstance(saved, Stored):
            self.version = saved.version
            self.tell("saved", {"serial": serial, "version": saved.version})
            return
        pieces = await asyncio.to_thread(_settled, saved, text)
        self.tell("conflict", {"serial": serial, "version": saved.theirs.version} | pieces)

    async def evidence(self, message: dict[str, Any]) -> None:
        """``fen``, ``side``: what games and engine say of a position, the quickest first."""
        fen = message.get("fen")
        self.tell("replies", await self.desk.evidence.replies(fen))
        try:
            self.tell("models", await self.desk.evidence.models(fen, message.get("side")))
        except UnusableInput as trouble:
            self.tell("models", {"fen": fen, "models": [], "trouble": str(trouble)})
        try:
            verdict = await self.desk.engine_room.look(self.page, fen)
        except UnusableInput as trouble:
            self.tell("engine", {"fen": fen, "trouble": str(trouble)})
            return
        if verdict is not None:
            self.tell("engine", verdict)

    async def quote(self, message: dict[str, Any]) -> None:
        """``words``: the games that they may mean."""
        try:
            self.tell("quoted", await self.desk.evidence.quoted(message.get("words", "")))
        except UnusableInput as trouble:
            self.tell("quoted", {"games": [], "trouble": str(trouble)})

    def check(self) -> None:
        """Start the engine on the text read last."""
        if self.text is None:
            return
        desk, file = self.desk, self.path
        text, verdicts = self.text.text, desk.home / VERDICTS_FILE
        desk.jobs.start("check", self.name, check_with_engine, file.name, text, file, desk.base, verdicts, desk.engine)

    async def ask(self, message: dict[str, Any]) -> None:
        """``first``, and ``answer`` to settle it: the doubtful place at that word of the text read last."""
        if self.text is None:
            return
        answer = message.get("answer")
        if answer is not None:
            await asyncio.to_thread(self._keep_answers)
        self.desk.readings.ask(Ask(self.text, int(message.get("first", 0)), answer))

    def _keep_answers(self) -> None:
        """Keep the answers file as it is before a change, so that it can be taken back."""
        file = answers_path(self.path)
        with contextlib.suppress(OSError):
            data = file.read_bytes() if file.exists() else b""
            self.desk.folder.versions.keep(f"{self.name}.answers", data, "settled")

    def correct(self, message: dict[str, Any]) -> None:
        """``number``, ``words``, ``fen``: correct a dictated phrase that was said with this position on the board."""
        words, fen = str(message.get("words", ""))[:MOST_PHRASE], str(message.get("fen", ""))[:100]
        self.desk.readings.correct(Phrase(self.page, int(message.get("number", 0)), words, fen))

    def spell(self, message: dict[str, Any]) -> None:
        """``fen``, ``moves`` (UCI), ``for``: moves in order as the trainer writes them, from a position."""
        board = board_of(message.get("fen"))
        words: list[str] = []
        for uci in list(message.get("moves", ()))[:MOST_SPELLED]:
            try:
                move = board.parse_uci(str(uci))
            except ValueError:
                raise UnusableInput(f"{uci!s:.20} can't be played here", "Load the page again.") from None
            words.append(spelled(board, move, self.habit))
            fig = figurine(board.san(move))
            board.push(move)
        if words:
            view = {"words": words, "notation": self.habit.notation, "fig": fig, "fen": board.fen()}
            self.tell("spelled", view | {"for": message.get("for")})

    def _look(self, kind: str, work: Coroutine[Any, Any, None]) -> None:
        """Do the newest of a kind of look; an older one under way is given up."""
        old = self._looks.get(kind)
        if old is not None:
            old.cancel()

        async def looked() -> None:
            try:
                await work
            except UnusableInput as trouble:
                self.tell("trouble", {"why": trouble.what, "todo": trouble.todo, "serial": 0})

        self._looks[kind] = asyncio.create_task(looked())


def _text(message: dict[str, Any]) -> str:
    text = message.get("text")
    if not isinstance(text, str) or len(text) > MOST_TEXT:
        raise UnusableInput(f"a talk has {MOST_TEXT} characters at most", "Part it into several.")
    return _HALF.sub("\ufffd", text)


def _stored_view(stored: Stored) -> dict[str, Any]:
    return {"text": stored.text, "version": stored.version, "notes": list(stored.notes)}


def _renamed(told: Told) -> dict[str, Any]:
    """A view whose own ``what`` is a trouble's words, not the message's kind."""
    view = dict(told.view)
    if "what" in view:
        view["why"] = view.pop("what")
    return view


def _settled(found: Conflict, mine: str) -> dict[str, Any]:
    """Both texts brought together: the text where they don't clash, else its pieces."""
    pieces = merge(found.common if found.common is not None else "", mine, found.theirs.text)
    return {
        "theirs": found.theirs.text,
        "merged": merged(pieces),
        "pieces": [{"mine": p.mine, "theirs": p.theirs} if p.clash else {"both": p.mine} for p in pieces],
    }


async def live(socket: WebSocket) -> None:
    """``/live?talk=NAME``: the connection of a manuscript's page."""
    desk = desk_of(socket)
    try:
        page = Page(socket, desk, socket.query_params.get("talk", ""))
    except NoSuchTalk:
        await socket.close(1008, "there is no such talk")
        return
    with contextlib.suppress(WebSocketDisconnect):
        await page.run()


routes = [WebSocketRoute("/live", live)]

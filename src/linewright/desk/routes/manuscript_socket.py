"""The live connection of a manuscript's page: texts in, readings and evidence out, over one WebSocket.

One WebSocket rather than server-sent events: a browser opens six connections to a server at most, and fifty pages
may be open.

What the page asks stands in :mod:`linewright.desk.messages.from_manuscript`, with what answers it; what it is sent in
:mod:`linewright.desk.messages.to_manuscript`. Unasked come ``hello`` (the file as it is), ``disk`` (the file changed)
and ``job``.
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
from linewright.desk.hub import News
from linewright.desk.messages.evidence import EngineLook, Models, Quoted
from linewright.desk.messages.from_manuscript import (
    CheckText,
    CorrectPhrase,
    FindQuote,
    FromManuscript,
    ReadText,
    SaveText,
    SettlePlace,
    ShowEvidence,
    SpellMoves,
)
from linewright.desk.messages.to_manuscript import (
    ConflictPiece,
    DiskChanged,
    Hello,
    JobNews,
    Saved,
    Spelled,
    TextConflict,
    ToManuscript,
    Trouble,
)
from linewright.desk.processes.background_jobs import check_with_engine
from linewright.desk.processes.reading_process import Ask, Phrase, Read, ReadingNews
from linewright.desk.state import Desk, desk_of, next_text
from linewright.desk.views.evidence import board_of
from linewright.desk.views.spelling import Habit, spelled
from linewright.lesson.spoken import figurine
from linewright.settle.answers_file import answers_path
from linewright.support.errors import UnusableInput
from linewright.support.page_messages import RELOAD, from_json, to_json
from linewright.support.paths import VERDICTS_FILE

#: Characters of a talk's text: ten hours of it.
MOST_TEXT = 2_000_000
#: Characters of a phrase: fourteen seconds of speech have some 300.
MOST_PHRASE = 2_000
#: Moves spelled at once: a game's beginning.
MOST_SPELLED = 40
#: An unpaired surrogate: a browser's text may hold one, a UTF-8 file can't.
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
        self._out: asyncio.Queue[ToManuscript] = asyncio.Queue()
        self._looks: dict[str, asyncio.Task[None]] = {}

    async def run(self) -> None:
        """Serve the page until it is closed."""
        await self.socket.accept()
        self.desk.readings.open(self.page, self.heard)
        with self.desk.hub.listening() as queue:
            work = [asyncio.create_task(w) for w in (self._speak(), self._listen(), self._pass_on(queue))]
            try:
                self.hello()
                await asyncio.wait(work, return_when=asyncio.FIRST_COMPLETED)
            finally:
                for task in [*work, *self._looks.values()]:
                    task.cancel()
                self.desk.readings.close_page(self.page)
                self.desk.engine_room.forget(self.page)

    def send(self, message: ToManuscript) -> None:
        """Send something to the page."""
        self._out.put_nowait(message)

    def trouble(self, trouble: UnusableInput) -> None:
        """Say what could not be done."""
        self.send(Trouble(trouble.what, trouble.todo))

    def hello(self) -> None:
        """The file as it is; an empty text when there is none yet."""
        try:
            stored = self.desk.folder.load(self.name)
        except NoSuchTalk:
            stored = Stored(self.name, "", "")
        except UnusableInput as trouble:
            self.trouble(trouble)
            return
        self.version = stored.version
        self.send(Hello(stored.text, stored.version, tuple(stored.notes)))

    def heard(self, news: ReadingNews) -> None:
        """Pass on what was read."""
        if news.habit is not None:
            self.habit = news.habit
        self.send(news.message)

    # -- the connection ----------------------------------------------------------------------------------

    async def _speak(self) -> None:
        while True:
            await self.socket.send_text(to_json(await self._out.get()))

    async def _listen(self) -> None:
        with contextlib.suppress(WebSocketDisconnect):
            while True:
                try:
                    message: FromManuscript = from_json(await next_text(self.socket), FromManuscript)
                    await self.take(message)
                except UnusableInput as trouble:
                    self.trouble(trouble)

    async def _pass_on(self, queue: asyncio.Queue[News]) -> None:
        while True:
            news = await queue.get()
            if isinstance(news, JobNews):
                self.send(news)
            elif news.talk == self.name:
                await self._look_at_disk(news.file)

    async def _look_at_disk(self, file: str) -> None:
        """Tell the page that its file changed, unless it was the page's own saving; answers are read again."""
        if file != self.name:
            self.send(DiskChanged(answers=True))
            return
        try:
            stored = await asyncio.to_thread(self.desk.folder.load, self.name)
        except NoSuchTalk:
            stored = Stored(self.name, "", "")
        except UnusableInput:
            return
        if stored.version != self.version:
            self.send(DiskChanged(stored.text, stored.version, tuple(stored.notes)))

    # -- what a page asks --------------------------------------------------------------------------------

    async def take(self, message: FromManuscript) -> None:
        """Act on one message.

        :raises UnusableInput: when it can't be done.
        """
        match message:
            case ReadText():
                self.read(message)
            case SaveText():
                await self.save(message)
            case ShowEvidence(fen=fen, side=side):
                self._look("evidence", self.evidence(fen, side))
            case FindQuote(words=words):
                self._look("quote", self.quote(words))
            case SettlePlace():
                await self.settle(message)
            case SpellMoves():
                self.spell(message)
            case CheckText():
                self.check()
            case CorrectPhrase(number=number, words=words, fen=fen):
                self.desk.readings.correct(Phrase(self.page, number, words[:MOST_PHRASE], fen))

    def read(self, message: ReadText) -> None:
        """Read a text."""
        self.text = Read(self.page, message.serial, self.path, _storable(message.text))
        self.desk.readings.read(self.text)

    async def save(self, message: SaveText) -> None:
        """Save a text, or send the page both texts where the file was changed too."""
        text = _storable(message.text)
        saved = await asyncio.to_thread(self.desk.folder.save, self.name, text, message.base)
        if isinstance(saved, Stored):
            self.version = saved.version
            self.send(Saved(message.serial, saved.version))
            return
        self.send(await asyncio.to_thread(_conflict, message.serial, saved, text))

    async def evidence(self, fen: str, side: str) -> None:
        """What games and engine say of a position, the quickest first."""
        self.send(await self.desk.evidence.replies(fen))
        try:
            self.send(await self.desk.evidence.models(fen, side))
        except UnusableInput as trouble:
            self.send(Models(fen, trouble=str(trouble)))
        try:
            look = await self.desk.engine_room.look(self.page, fen)
        except UnusableInput as trouble:
            self.send(EngineLook(fen, trouble=str(trouble)))
            return
        if look is not None:
            self.send(look)

    async def quote(self, words: str) -> None:
        """The games that words may mean."""
        try:
            self.send(await self.desk.evidence.quoted(words))
        except UnusableInput as trouble:
            self.send(Quoted(trouble=str(trouble)))

    def check(self) -> None:
        """Start the engine on the text read last."""
        if self.text is None:
            return
        desk, file = self.desk, self.path
        text, verdicts = self.text.text, desk.home / VERDICTS_FILE
        desk.jobs.start("check", self.name, check_with_engine, text, file, desk.base, verdicts, desk.engine)

    async def settle(self, message: SettlePlace) -> None:
        """Look at the doubtful place at a word of the text read last, or settle it."""
        if self.text is None:
            return
        if message.answer is not None:
            await asyncio.to_thread(self._keep_answers)
        self.desk.readings.ask(Ask(self.text, message.first, message.answer))

    def _keep_answers(self) -> None:
        """Keep the answers file as it is before a change, so that it can be taken back."""
        file = answers_path(self.path)
        with contextlib.suppress(OSError):
            data = file.read_bytes() if file.exists() else b""
            self.desk.folder.versions.keep(f"{self.name}.answers", data, "settled")

    def spell(self, message: SpellMoves) -> None:
        """Moves in order as the trainer writes them, from a position."""
        board = board_of(message.fen)
        words: list[str] = []
        fig = ""
        for uci in message.moves[:MOST_SPELLED]:
            try:
                move = board.parse_uci(uci)
            except ValueError:
                raise UnusableInput(f"{uci:.20} can't be played here", RELOAD) from None
            words.append(spelled(board, move, self.habit))
            fig = figurine(board.san(move))
            board.push(move)
        if words:
            self.send(Spelled(tuple(words), self.habit.notation, fig, board.fen()))

    def _look(self, kind: str, work: Coroutine[Any, Any, None]) -> None:
        """Do the newest of a kind of look; an older one under way is given up."""
        old = self._looks.get(kind)
        if old is not None:
            old.cancel()

        async def looked() -> None:
            try:
                await work
            except UnusableInput as trouble:
                self.trouble(trouble)

        self._looks[kind] = asyncio.create_task(looked())


def _storable(text: str) -> str:
    """A page's text as a file can hold it.

    :raises UnusableInput: when it is too long.
    """
    if len(text) > MOST_TEXT:
        raise UnusableInput(f"a talk has {MOST_TEXT} characters at most", "Part it into several.")
    return _HALF.sub("\ufffd", text)


def _conflict(serial: int, found: Conflict, mine: str) -> TextConflict:
    """Both texts brought together: the text where they don't clash, else its pieces."""
    pieces = merge(found.common if found.common is not None else "", mine, found.theirs.text)
    shown = (ConflictPiece(None, p.mine, p.theirs) if p.clash else ConflictPiece(p.mine) for p in pieces)
    return TextConflict(serial, found.theirs.version, found.theirs.text, merged(pieces), tuple(shown))


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

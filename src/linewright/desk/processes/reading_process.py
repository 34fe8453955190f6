"""The process that reads: one for the whole desk, so that no page ever waits for a reading.

It takes :class:`Read` and :class:`Ask` from one end of a pipe and gives :class:`ReadingNews` back. Of several texts
of one page only the newest is read; a reading that is overtaken stops at once, and what it had done is not done again.
"""

from __future__ import annotations

import contextlib
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from linewright.claims.check import notes
from linewright.desk.files.offsets import Offsets
from linewright.desk.games import GamesAt
from linewright.desk.messages.readings import (
    Corrected,
    Findings,
    MapDrawn,
    Peek,
    QuestionAsked,
    Settled,
    WalkRead,
)
from linewright.desk.messages.to_manuscript import Trouble
from linewright.desk.views.phrase_correction import corrected_phrase
from linewright.desk.views.reading_view import (
    findings_shown,
    map_shown,
    peek_shown,
    places_shown,
    question_shown,
    walk_shown,
)
from linewright.desk.views.spelling import Habit, habit_of
from linewright.desk.views.uncovered_replies import uncovered_replies
from linewright.lesson.walk import Walk
from linewright.reading.incremental import GrowingReader
from linewright.settle.machine import take
from linewright.settle.questions import questions
from linewright.settle.session import CannotBe
from linewright.settle.word_candidates import TalkScan
from linewright.stage.going_back import announced_return
from linewright.support.errors import UnusableInput
from linewright.workflow.check_lesson import find_by_memory
from linewright.workflow.read_lesson import LoadedTalk, load_lesson_text
from linewright.workflow.settle_lesson import open_session

#: Pages whose searches are remembered: a talk of 900 words takes some 70 MB. Others are read from their start.
MOST_PAGES = 6
#: Seconds without a new text after which findings, questions and the map are made: they take about a second for a
#: long talk, and are of no use to someone who is typing.
REST = 0.35
#: Seconds that one page's reading may take before another page's waiting one has its turn.
TURN = 0.4


#: What the process sends to pages.
ReadingMessage = Peek | WalkRead | Findings | MapDrawn | QuestionAsked | Settled | Corrected | Trouble


@dataclass(frozen=True, slots=True)
class Read:
    """Read a page's text.

    :param page: names the page; :attr:`path` the talk's file, whose answers count.
    :param serial: goes up with each text of a page, and comes back with what is sent about it.
    :param whole: the walk itself is wanted too. Taking in a long one holds up the desk for a tenth of a second, so
        pages, which show its view only, go without it.
    """

    page: str
    serial: int
    path: Path
    text: str
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Ask:
    """Look at a doubtful place of a page's text, or settle it.

    :param first: the word that the place begins at.
    :param answer: as :mod:`linewright.settle.machine` takes it; None only to look.
    """

    read: Read
    first: int
    answer: Any = None


@dataclass(frozen=True, slots=True)
class Phrase:
    """Correct a dictated phrase.

    :param number: comes back with it.
    :param fen: the position on the board when it was said.
    """

    page: str
    number: int
    words: str
    fen: str

    @property
    def serial(self) -> int:
        return 0


@dataclass(frozen=True, slots=True)
class Forget:
    """A page was closed."""

    page: str


@dataclass(frozen=True, slots=True)
class ReadingNews:
    """What comes back.

    :param message: for the page.
    :param habit: with a walk, how the trainer writes moves.
    :param walk: with a walk, the walk itself where it was asked for.
    """

    page: str
    message: ReadingMessage
    habit: Habit | None = None
    walk: Walk | None = None


@dataclass(frozen=True, slots=True)
class _Unjudged:
    """A walk that is to be judged when nothing else is to be done."""

    job: Read
    walk: Walk
    lesson: LoadedTalk
    offsets: Offsets
    scan: TalkScan


@dataclass(slots=True)
class _Page:
    """What is remembered of a page."""

    reader: GrowingReader
    games_stamp: object


class _Room:
    """The process's own state."""

    def __init__(self, pipe: Connection, base: Path, verdicts: Path) -> None:
        self.pipe = pipe
        self.games = GamesAt(base)
        self.verdicts = verdicts
        self.waiting: OrderedDict[str, Read | Ask | Phrase] = OrderedDict()
        self.judging: OrderedDict[str, _Unjudged] = OrderedDict()
        self.pages: OrderedDict[str, _Page] = OrderedDict()
        self.closed: set[str] = set()

    def take_in(self, wait: bool) -> None:
        """Take what the pipe holds; of one page's readings only the newest stays.

        :param wait: when nothing is to be done, wait for something; when only judging is, for a moment.
        """
        while self.pipe.poll(None if wait and not self.waiting and not self.judging else self._rest(wait)):
            message = self.pipe.recv()
            if message is None:
                raise EOFError
            if isinstance(message, Forget):
                self.pages.pop(message.page, None)
                self.waiting.pop(message.page, None)
                self.judging.pop(message.page, None)
                self.closed.add(message.page)
            elif isinstance(message, Ask):
                self.waiting[f"{message.read.page}?"] = message
            elif isinstance(message, Phrase):
                self.waiting[f"{message.page}!{message.number}"] = message
            else:
                self.waiting[message.page] = message
                self.judging.pop(message.page, None)

    def _rest(self, wait: bool) -> float:
        return REST if wait and not self.waiting else 0.0

    def run(self) -> None:
        while True:
            self.take_in(wait=True)
            if not self.waiting:
                _, walk = self.judging.popitem(last=False)
                self.guarded(walk.job, partial(self.judge, walk))
                continue
            _, job = self.waiting.popitem(last=False)
            if isinstance(job, Read):
                self.guarded(job, partial(self.read, job))
            elif isinstance(job, Phrase):
                self.guarded(job, partial(self.correct, job))
            else:
                self.guarded(job.read, partial(self.ask, job))

    def guarded(self, job: Read | Phrase, work: Callable[[], None]) -> None:
        """Do something for a page, whose troubles are reported to it and end nothing."""
        try:
            work()
        except UnusableInput as trouble:
            self.send(job.page, Trouble(trouble.what, trouble.todo, job.serial))
        except (EOFError, BrokenPipeError):
            raise
        except Exception as error:  # one odd talk must not end the others' readings
            what = f"this text can't be read: {type(error).__name__}: {error}"
            self.send(job.page, Trouble(what, "Please report it with the text.", job.serial))

    def send(self, page: str, message: ReadingMessage) -> None:
        self.pipe.send(ReadingNews(page, message))

    # -- reading -----------------------------------------------------------------------------------------

    def reader(self, page: str) -> GrowingReader:
        """The page's reader; a new one when the games changed."""
        base = self.games.base()
        kept = self.pages.get(page)
        if kept is None or kept.games_stamp != self.games.stamp:
            kept = self.pages[page] = _Page(GrowingReader(base), self.games.stamp)
        self.pages.move_to_end(page)
        while len(self.pages) > MOST_PAGES:
            self.pages.popitem(last=False)
        return kept.reader

    def read(self, job: Read) -> None:
        if not job.text.strip():
            self.send(job.page, Trouble("", "", job.serial))
            return
        lesson = load_lesson_text(job.text, job.path)
        talk, kept = lesson.talk, lesson.kept
        offsets = Offsets(talk, job.text)
        began = time.monotonic()

        def overtaken() -> bool:
            self.take_in(wait=False)
            if job.page in self.waiting or job.page in self.closed:
                return True
            return bool(self.waiting) and time.monotonic() - began > TURN

        def peeked(early: Walk, until: int) -> None:
            self.send(job.page, peek_shown(job.serial, early, until, offsets))

        walk = self.reader(job.page).read(talk, kept.answers, overtaken, peeked)
        if walk is None:
            if job.page in self.closed:
                self.pages.pop(job.page, None)
            else:
                self.waiting.setdefault(job.page, job)
            return
        scan = TalkScan(talk, self.games.base())
        back = announced_return(walk, scan)
        said = [*kept.troubles, *kept.unfit(walk), *notes(walk)]
        message = walk_shown(job.serial, walk, offsets, [back] if back else [], said)
        self.pipe.send(ReadingNews(job.page, message, habit_of(walk), walk if job.whole else None))
        self.judging[job.page] = _Unjudged(job, walk, lesson, offsets, scan)

    def judge(self, read: _Unjudged) -> None:
        """Findings, open questions and the map, unless a newer text came meanwhile."""
        job, walk, offsets, scan = read.job, read.walk, read.offsets, read.scan

        def newer() -> bool:
            self.take_in(wait=False)
            return job.page in self.waiting or job.page in self.closed

        base = self.games.base()
        found = find_by_memory(walk, base, self.verdicts)
        if newer():
            return
        asked = places_shown(questions(walk, scan, read.lesson.kept.answers), offsets)
        self.send(job.page, Findings(job.serial, findings_shown(found, offsets), asked))
        left = uncovered_replies(walk, base, newer)
        if left is not None:
            self.send(job.page, map_shown(job.serial, walk, left))

    def correct(self, phrase: Phrase) -> None:
        """Send a phrase as it should read."""
        words = corrected_phrase(phrase.words, phrase.fen, self.games.base())
        self.send(phrase.page, Corrected(phrase.number, words))

    # -- settling ----------------------------------------------------------------------------------------

    def ask(self, job: Ask) -> None:
        """Send a place's question, or take its answer and read again."""
        read = job.read
        lesson = load_lesson_text(read.text, read.path)
        session = open_session(read.path, lesson, self.games.base(), self.reader(read.page))
        try:
            question = session.turn_to(job.first)
            if job.answer is None:
                offsets = Offsets(lesson.talk, read.text)
                self.send(read.page, question_shown(read.serial, session, question, offsets))
                return
            take(session, job.answer)
        except CannotBe as why:
            self.send(read.page, QuestionAsked(read.serial, error=str(why)))
            return
        self.send(read.page, Settled(read.serial, session.doubtful()))
        self.waiting.setdefault(read.page, read)


def reading_process(pipe: Connection, base: Path, verdicts: Path) -> None:
    """The process's main function; ends when the pipe is closed, or None comes through it."""
    with contextlib.suppress(EOFError, BrokenPipeError, KeyboardInterrupt):
        _Room(pipe, base, verdicts).run()

"""What a lesson is made into: each part by its name, made from the walk as bytes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property
from pathlib import Path
from typing import Any

from linewright.captions.corrected import CorrectedCaptions
from linewright.lesson.finding import Finding
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.walk import Walk
from linewright.publish.description import description, epd_text
from linewright.publish.film.shots import Staged, said_cues
from linewright.publish.games_shown import GameEvidence, LessonGames, Signs, gather
from linewright.publish.handout.book import Depth, Section, book
from linewright.publish.page.lesson_page import Recording, lesson_page
from linewright.publish.recording_chapters import chapters, chapters_webvtt
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.timing import RATE, length, timed
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.support.slug import slug_of


class OutputPart(StrEnum):
    """What can be made, as ``--only`` names it."""

    PAGE = "page"
    PGN = "pgn"
    HANDOUT = "handout"
    EPD = "epd"
    CAPTIONS = "captions"
    CHAPTERS = "chapters"
    DESCRIPTION = "description"
    FILM = "film"


#: Made unless something else is asked for.
USUAL = frozenset({OutputPart.PAGE, OutputPart.PGN})
#: Everything that takes seconds.
ALL = frozenset(OutputPart) - {OutputPart.FILM}


@dataclass(frozen=True, slots=True)
class Filming:
    """How the film is made.

    :param tall: upright, for phones.
    :param burnt: captions in the picture.
    :param rate: words a minute of a typed talk.
    :param staged: what stood on the stage while the talk was given; None where there is no run.
    """

    tall: bool = False
    burnt: bool = False
    rate: float = RATE
    staged: Staged | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """What is wanted of a lesson, and with what it is made.

    :param parts: what to make.
    :param games: the games base, for scores and model games; None leaves them out.
    :param signs: whoever knows the positions' signs; None leaves them out.
    :param level: how deep the hand-out goes.
    :param doubts: show findings and unsure places on the page: the trainer's copy, not the pupils'.
    :param recording: the talk's recording: the page plays it from beside it, the film has its sound.
    :param day: when the talk was last written to; None leaves it out.
    """

    parts: frozenset[OutputPart] = USUAL
    theme: Theme = PLAIN
    games: LessonGames | None = None
    signs: Signs | None = None
    level: Depth = Depth.CLUB
    captions: CorrectedCaptions | None = None
    doubts: bool = True
    recording: Path | None = None
    filming: Filming = Filming()
    progress: Callable[[float], None] | None = None
    day: date | None = None


@dataclass(frozen=True)
class Making:
    """A lesson in the making: what several parts need is found once."""

    walk: Walk
    findings: Sequence[Finding]
    order: Order

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        return book(self.walk, self.order.level)

    @cached_property
    def evidence(self) -> GameEvidence:
        return gather(self.walk, self.sections, self.order.games, self.order.signs, self.findings)


def lesson_files(walk: Walk, findings: Sequence[Finding], order: Order) -> dict[str, bytes]:
    """The contents of the lesson's files by what follows the lesson's name: ``.html``, ``.pgn`` …"""
    making = Making(walk, findings, order)
    found: dict[str, bytes] = {}
    for part, make in MAKERS.items():
        if part in order.parts:
            found |= make(making)
    return found


Maker = Callable[[Making], Mapping[str, bytes]]


#: Suffixes of recordings with a picture.
VIDEO = frozenset({".mp4", ".mkv", ".webm", ".mov", ".avi", ".m4v"})


def _page(making: Making) -> Mapping[str, bytes]:
    order = making.order
    beside, recording = {}, None
    if order.recording is not None:
        suffix = order.recording.suffix.lower()
        # Its own name, so that a film of the same talk does not take its place.
        beside = {f".recording{suffix}": _bytes(order.recording)}
        recording = Recording(f"{slug_of(making.walk.title)}.recording{suffix}", suffix in VIDEO)
    page = lesson_page(
        making.walk,
        making.findings,
        doubts=order.doubts,
        models=making.evidence.models,
        theme=order.theme,
        recording=recording,
        day=order.day,
    )
    return {".html": page.encode("utf-8", "replace")} | beside


def _pgn(making: Making) -> Mapping[str, bytes]:
    return {".pgn": walk_to_pgn(making.walk, making.findings, record=True).encode("utf-8", "replace")}


def _handout(making: Making) -> Mapping[str, bytes]:
    from linewright.publish.handout.handout import handout_pdf  # the typesetter is loaded only when it is needed

    order = making.order
    return {".pdf": handout_pdf(making.walk, making.findings, making.evidence, order.theme, order.level)}


def book_chapter(walk: Walk, findings: Sequence[Finding], order: Order) -> dict[str, Any]:
    """A lesson's hand-out as a chapter of a course's book, in JSON values."""
    from linewright.publish.handout.handout import handout_data

    making = Making(walk, findings, order)
    return handout_data(walk, findings, making.evidence, order.theme, order.level)


def _epd(making: Making) -> Mapping[str, bytes]:
    return {".epd": epd_text(making.walk).encode()}


def _captions(making: Making) -> Mapping[str, bytes]:
    corrected = making.order.captions
    return {suffix: text.encode() for suffix, text in (corrected.files if corrected else {}).items()}


def _chapters(making: Making) -> Mapping[str, bytes]:
    """Only a recording has chapters with times."""
    found = chapters(making.walk, making.findings, making.order.theme)
    return {".chapters.vtt": chapters_webvtt(found, length(making.walk)).encode()} if found else {}


def _description(making: Making) -> Mapping[str, bytes]:
    text = description(making.walk, making.findings, making.evidence.models, making.order.theme)
    return {".description.txt": text.encode()}


def _film(making: Making) -> Mapping[str, bytes]:
    extra("av", "film")
    from linewright.publish.film.encoding import film_mp4  # as with the typesetter

    order, how = making.order, making.order.filming
    walk = timed(making.walk, how.rate)
    cues = (order.captions.cues if order.captions else said_cues(walk)) if how.burnt else ()
    made = film_mp4(walk, order.theme, how.tall, cues, order.recording, order.progress, how.staged)
    return {f"{'.tall' if how.tall else ''}.mp4": made}


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise UnusableInput(
            f"{path}: the recording can't be read: {error.strerror or error}", "Check the name and the folder."
        ) from None


MAKERS: Mapping[OutputPart, Maker] = {
    OutputPart.PAGE: _page,
    OutputPart.PGN: _pgn,
    OutputPart.HANDOUT: _handout,
    OutputPart.EPD: _epd,
    OutputPart.CAPTIONS: _captions,
    OutputPart.CHAPTERS: _chapters,
    OutputPart.DESCRIPTION: _description,
    OutputPart.FILM: _film,
}

"""What a lesson is made into: each part by its name, made from the walk as bytes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from linewright.lesson.finding import Finding
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.walk import Walk
from linewright.publish.book import Level, Section, book
from linewright.publish.captions import Mended
from linewright.publish.chapters import chapters, chapters_webvtt
from linewright.publish.description import description, epd_text
from linewright.publish.games_shown import Evidence, Games, Signs, gather
from linewright.publish.page import Recording, lesson_page
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.timing import length


class Part(StrEnum):
    """What can be made, as ``--only`` names it."""

    PAGE = "page"
    PGN = "pgn"
    HANDOUT = "handout"
    EPD = "epd"
    CAPTIONS = "captions"
    CHAPTERS = "chapters"
    DESCRIPTION = "description"


#: Made unless something else is asked for.
USUAL = frozenset({Part.PAGE, Part.PGN})
ALL = frozenset(Part)


@dataclass(frozen=True, slots=True)
class Order:
    """What is wanted of a lesson, and with what it is made.

    :param parts: what to make.
    :param games: the games base, for scores and model games; None leaves them out.
    :param signs: whoever knows the positions' signs; None leaves them out.
    :param level: how deep the hand-out goes.
    :param doubts: show findings and unsure places on the page: the trainer's copy, not the pupils'.
    :param recording: what the page plays, already named as it will lie beside it.
    """

    parts: frozenset[Part] = USUAL
    theme: Theme = PLAIN
    games: Games | None = None
    signs: Signs | None = None
    level: Level = Level.CLUB
    captions: Mended | None = None
    doubts: bool = True
    recording: Recording | None = None


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
    def evidence(self) -> Evidence:
        return gather(self.walk, self.sections, self.order.games, self.order.signs)


def lesson_files(walk: Walk, findings: Sequence[Finding], order: Order) -> dict[str, bytes]:
    """The contents of the lesson's files by what follows the lesson's name: ``.html``, ``.pgn`` …"""
    making = Making(walk, findings, order)
    found: dict[str, bytes] = {}
    for part, make in MAKERS.items():
        if part in order.parts:
            found |= make(making)
    return found


Maker = Callable[[Making], Mapping[str, bytes]]


def _page(making: Making) -> Mapping[str, bytes]:
    order = making.order
    page = lesson_page(
        making.walk,
        making.findings,
        doubts=order.doubts,
        models=making.evidence.models,
        theme=order.theme,
        recording=order.recording,
    )
    return {".html": page.encode()}


def _pgn(making: Making) -> Mapping[str, bytes]:
    return {".pgn": walk_to_pgn(making.walk, making.findings, record=True).encode("utf-8", "replace")}


def _handout(making: Making) -> Mapping[str, bytes]:
    from linewright.publish.handout import handout_pdf  # the typesetter is loaded only when it is needed

    order = making.order
    return {".pdf": handout_pdf(making.walk, making.findings, making.evidence, order.theme, order.level)}


def _epd(making: Making) -> Mapping[str, bytes]:
    return {".epd": epd_text(making.walk).encode()}


def _captions(making: Making) -> Mapping[str, bytes]:
    mended = making.order.captions
    return {suffix: text.encode() for suffix, text in (mended.files if mended else {}).items()}


def _chapters(making: Making) -> Mapping[str, bytes]:
    """Only a recording has chapters with times."""
    found = chapters(making.walk, making.findings, making.order.theme)
    return {".chapters.vtt": chapters_webvtt(found, length(making.walk)).encode()} if found else {}


def _description(making: Making) -> Mapping[str, bytes]:
    text = description(making.walk, making.findings, making.evidence.models, making.order.theme)
    return {".description.txt": text.encode()}


MAKERS: Mapping[Part, Maker] = {
    Part.PAGE: _page,
    Part.PGN: _pgn,
    Part.HANDOUT: _handout,
    Part.EPD: _epd,
    Part.CAPTIONS: _captions,
    Part.CHAPTERS: _chapters,
    Part.DESCRIPTION: _description,
}

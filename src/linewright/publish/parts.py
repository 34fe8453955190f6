"""What a lesson is made into: each part by its name, made from the walk as bytes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from linewright.lesson.finding import Finding
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.walk import Walk
from linewright.publish.book import Level
from linewright.publish.captions import Mended
from linewright.publish.games_shown import Games, Signs
from linewright.publish.page import lesson_page
from linewright.publish.theme import PLAIN, Theme


class Part(StrEnum):
    """What can be made, as ``--only`` names it."""

    PAGE = "page"
    PGN = "pgn"
    HANDOUT = "handout"
    CAPTIONS = "captions"


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
    """

    parts: frozenset[Part] = USUAL
    theme: Theme = PLAIN
    games: Games | None = None
    signs: Signs | None = None
    level: Level = Level.CLUB
    captions: Mended | None = None


def lesson_files(walk: Walk, findings: Sequence[Finding], order: Order) -> dict[str, bytes]:
    """The contents of the lesson's files by what follows the lesson's name: ``.html``, ``.pgn`` …"""
    found: dict[str, bytes] = {}
    for part, make in MAKERS.items():
        if part in order.parts:
            found |= make(walk, findings, order)
    return found


Maker = Callable[[Walk, Sequence[Finding], Order], Mapping[str, bytes]]


def _page(walk: Walk, findings: Sequence[Finding], order: Order) -> Mapping[str, bytes]:
    return {".html": lesson_page(walk, findings).encode()}


def _pgn(walk: Walk, findings: Sequence[Finding], order: Order) -> Mapping[str, bytes]:
    return {".pgn": walk_to_pgn(walk, findings).encode()}


def _handout(walk: Walk, findings: Sequence[Finding], order: Order) -> Mapping[str, bytes]:
    from linewright.publish.handout import handout_pdf  # the typesetter is loaded only when it is needed

    return {".pdf": handout_pdf(walk, findings, order.games, order.signs, order.theme, order.level)}


def _captions(walk: Walk, findings: Sequence[Finding], order: Order) -> Mapping[str, bytes]:
    return {suffix: text.encode() for suffix, text in (order.captions.files if order.captions else {}).items()}


MAKERS: Mapping[Part, Maker] = {
    Part.PAGE: _page,
    Part.PGN: _pgn,
    Part.HANDOUT: _handout,
    Part.CAPTIONS: _captions,
}

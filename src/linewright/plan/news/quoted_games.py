"""Whether the base holds a fuller record of a game that a talk quotes: more moves, the date, the event."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from linewright.games.api import GameTags, like_names
from linewright.lesson.finding import GameRef

#: What tags say for what isn't known (PGN standard, 8.1.1).
_UNKNOWN: Final = "?.- "


def named_game(white: str, black: str, event: str, date: str) -> str:
    """A game for a sentence: players, event, date as far as they are known."""
    when = date.removesuffix(".??.??").removesuffix(".??").strip(_UNKNOWN)
    where = " ".join(filter(None, (event.strip(_UNKNOWN), when)))
    return f"{white or '?'} – {black or '?'}" + (f", {where}" if where else "")


def fuller(game: GameRef, others: Iterable[GameTags]) -> GameTags | None:
    """The fullest of some games that are the same as ``game`` and say more of it; None where none does.

    :param others: games that come to the position where ``game`` ends.
    """
    known = _known(game.event, game.site, game.round, game.date, len(game.moves), game.white, game.black)
    found: list[tuple[tuple[int, ...], GameTags]] = []
    for one in others:
        if one.id == game.id or not like_names(one.white, game.white) or not like_names(one.black, game.black):
            continue
        if one.year and game.year and one.year != game.year:
            continue
        says = _known(one.event, one.site, one.round, one.date, one.plies, one.white, one.black)
        if says != known and all(mine >= theirs for mine, theirs in zip(says, known, strict=True)):
            found.append((says, one))
    return max(found, key=lambda row: (row[0], -row[1].id))[1] if found else None


def _known(event: str, site: str, turn: str, date: str, plies: int, white: str, black: str) -> tuple[int, ...]:
    """How much is known of a game, part by part: the place (by event or site), round, date, moves, names."""
    place = bool(event.strip(_UNKNOWN) or site.strip(_UNKNOWN))
    digits = sum(letter.isdigit() for letter in date)
    return int(place), int(bool(turn.strip(_UNKNOWN))), digits, plies, len(white), len(black)

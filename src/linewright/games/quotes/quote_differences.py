"""Saying where a telling and the game that it means part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from linewright.games.names.name_lookup import may_be, plain
from linewright.games.names.name_similarity import likeness
from linewright.games.query.table_reads import Played
from linewright.games.quotes.alignment import CHANGE, EXTRA, SAME, SKIP, SWAP, AlignedStep
from linewright.games.quotes.model import Parting, PartingKind
from linewright.games.quotes.quote_parser import ToldGame, ToldMove

U16 = npt.NDArray[np.uint16]

#: Moves left out that are named; more are counted.
_NAMED: Final = 4


def partings(
    told: ToldGame, game: Played, moves: Sequence[str], tokens: U16, steps: Sequence[AlignedStep]
) -> tuple[Parting, ...]:
    """All places where they part, tags first, then moves in the order of the game, then its end.

    :param moves: of the game, in SAN; ``tokens`` alike (:func:`linewright.games.quotes.alignment.tokens_of`).
    """
    return (*_tags(told, game), *_moves(told, moves, tokens, steps), *_end(told, game, steps))


def _tags(told: ToldGame, game: Played) -> Iterator[Parting]:
    yield from _names(told.players, game)
    if told.year is not None and game.year is not None and told.year != game.year:
        yield _parting(
            "year", str(told.year), str(game.year), None, f"you said {told.year}, it was played in {game.year}"
        )
    if told.event and game.event:
        name = plain(f"{game.event} {game.site}")
        if not any(word in name for word in plain(told.event).split() if len(word) > 2):
            yield _parting("event", told.event, game.event, None, f"you said “{told.event}”, it was {game.event}")


def _names(players: Sequence[str], game: Played) -> Iterator[Parting]:
    names = (game.white, game.black)
    if not players or not all(names):
        return
    like = [likeness(name, names) for name in players[:2]]
    straight = like[0][0] + (like[1][1] if len(like) > 1 else 0)
    crossed = like[0][1] + (like[1][0] if len(like) > 1 else 0)
    order = names if straight >= crossed else names[::-1]
    for said, name in zip(players, order, strict=False):
        if not may_be(said, name):
            yield _parting("name", said, name, None, f"you said “{said}”, the player is {name}")
    if crossed > straight and len(players) > 1:
        words = f"you named {players[0]} first, White was {game.white}"
        yield _parting("colours", players[0], game.white, None, words)


def _moves(told: ToldGame, moves: Sequence[str], tokens: U16, steps: Sequence[AlignedStep]) -> Iterator[Parting]:
    skipped: list[int] = []
    at = min((ply for step in steps for ply in step.played), default=0)
    for step in steps:
        if step.how != SKIP and skipped:
            yield _left_out(skipped, moves)
            skipped = []
        if step.how == SKIP:
            skipped += step.played
        elif step.how == EXTRA:
            said = _told(told.moves[step.told[0]], at)
            yield _parting("unplayed", said, "", at, f"you said {said}, which the game does not have there")
        elif step.how == SWAP:
            one, other = (told.moves[place] for place in step.told)
            said = f"{_told(one, step.played[0])} {_bare(other)}"
            played = f"{_label(step.played[0])}{moves[step.played[0]]} {moves[step.played[1]]}"
            yield _parting("order", said, played, step.played[0], f"you said {said}, the game had {played}")
        else:
            found = _one(told.moves[step.told[0]], step, moves, tokens)
            if found:
                yield found
        at = step.played[-1] + 1 if step.played else at
    if skipped:
        yield _left_out(skipped, moves)


def _one(move: ToldMove, step: AlignedStep, moves: Sequence[str], tokens: U16) -> Parting | None:
    (ply,) = step.played
    said, played = _told(move, ply), f"{_label(ply)}{moves[ply]}"
    kind: PartingKind = "move"
    if step.how == SAME:
        took = bool(tokens[ply] & 512)
        if move.takes is None or move.takes == took:
            return None
        kind = "capture"
    elif step.how != CHANGE:
        return None
    return _parting(kind, said, played, ply, f"you said {said}, the game had {played}")


def _left_out(plies: Sequence[int], moves: Sequence[str]) -> Parting:
    named = " ".join(
        (_label(ply) if ply % 2 == 0 or not place else "") + moves[ply] for place, ply in enumerate(plies[:_NAMED])
    )
    more = f" and {len(plies) - _NAMED} more" if len(plies) > _NAMED else ""
    return _parting("left out", "", named, plies[0], f"left out: {named}{more}")


def _end(told: ToldGame, game: Played, steps: Sequence[AlignedStep]) -> Iterator[Parting]:
    if told.ending is None:
        return
    if told.result is not None and game.result != "*" and told.result != game.result:
        words = f"you said “{told.ending}”, the game ended {game.result}"
        yield _parting("result", told.ending, game.result, None, words)
    elif "resign" in told.ending.lower() and game.result == "1/2-1/2":
        yield _parting("result", told.ending, game.result, None, f"you said “{told.ending}”, the game was drawn")
    last = max((ply for step in steps if step.how in (SAME, CHANGE, SWAP) for ply in step.played), default=None)
    if last is not None and last + 1 < game.plies:
        number = (game.plies + 1) // 2
        words = f"you said “{told.ending}”, the game went on to move {number}"
        yield _parting("end", told.ending, f"move {number}", last + 1, words)


def _parting(kind: PartingKind, told: str, played: str, ply: int | None, words: str) -> Parting:
    return Parting(kind, told, played, ply, words)


def _label(ply: int) -> str:
    """``23.`` or ``23...``."""
    return f"{ply // 2 + 1}." if ply % 2 == 0 else f"{ply // 2 + 1}..."


def _bare(move: ToldMove) -> str:
    """The words without the number that may stick to them."""
    return move.words.rstrip(",;:. ")


def _told(move: ToldMove, ply: int) -> str:
    """The told move with the number it was told with, else with that of the place it was laid beside."""
    return _label(ply if move.ply is None else move.ply) + _bare(move)

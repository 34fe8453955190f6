"""Where a description and the game that it means differ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from linewright.games.names.name_lookup import may_be, plain
from linewright.games.names.name_similarity import likeness
from linewright.games.quotes.alignment import CHANGE, EXTRA, SAME, SKIP, SWAP, AlignedStep
from linewright.games.quotes.quote_parser import DescribedGame, DescribedMove
from linewright.games.quotes.quote_values import DifferenceKind, QuoteDifference
from linewright.games.values import GameTags

U16 = npt.NDArray[np.uint16]

#: Moves left out that are named; more are counted.
_NAMED: Final = 4


def find_differences(
    described: DescribedGame, game: GameTags, moves: Sequence[str], tokens: U16, steps: Sequence[AlignedStep]
) -> tuple[QuoteDifference, ...]:
    """All places where they part, tags first, then moves in the order of the game, then its end.

    :param moves: of the game, in SAN; ``tokens`` alike (:func:`linewright.games.quotes.alignment.tokens_of`).
    """
    return (*_tags(described, game), *_moves(described, moves, tokens, steps), *_end(described, game, steps))


def _tags(described: DescribedGame, game: GameTags) -> Iterator[QuoteDifference]:
    yield from _names(described.players, game)
    if described.year is not None and game.year is not None and described.year != game.year:
        yield _difference(
            "year",
            str(described.year),
            str(game.year),
            None,
            f"you said {described.year}, it was played in {game.year}",
        )
    if described.event and game.event:
        name = plain(f"{game.event} {game.site}")
        if not any(word in name for word in plain(described.event).split() if len(word) > 2):
            yield _difference(
                "event", described.event, game.event, None, f"you said “{described.event}”, it was {game.event}"
            )


def _names(players: Sequence[str], game: GameTags) -> Iterator[QuoteDifference]:
    names = (game.white, game.black)
    if not players or not all(names):
        return
    like = [likeness(name, names) for name in players[:2]]
    straight = like[0][0] + (like[1][1] if len(like) > 1 else 0)
    crossed = like[0][1] + (like[1][0] if len(like) > 1 else 0)
    order = names if straight >= crossed else names[::-1]
    for said, name in zip(players, order, strict=False):
        if not may_be(said, name):
            yield _difference("name", said, name, None, f"you said “{said}”, the player is {name}")
    if crossed > straight and len(players) > 1:
        words = f"you named {players[0]} first, White was {game.white}"
        yield _difference("colours", players[0], game.white, None, words)


def _moves(
    described: DescribedGame, moves: Sequence[str], tokens: U16, steps: Sequence[AlignedStep]
) -> Iterator[QuoteDifference]:
    skipped: list[int] = []
    at = min((ply for step in steps for ply in step.played), default=0)
    for step in steps:
        if step.how != SKIP and skipped:
            yield _left_out(skipped, moves)
            skipped = []
        if step.how == SKIP:
            skipped += step.played
        elif step.how == EXTRA:
            said = _numbered(described.moves[step.described[0]], at)
            yield _difference("unplayed", said, "", at, f"you said {said}, which the game does not have there")
        elif step.how == SWAP:
            one, other = (described.moves[place] for place in step.described)
            said = f"{_numbered(one, step.played[0])} {_bare(other)}"
            played = f"{_label(step.played[0])}{moves[step.played[0]]} {moves[step.played[1]]}"
            yield _difference("order", said, played, step.played[0], f"you said {said}, the game had {played}")
        else:
            found = _one(described.moves[step.described[0]], step, moves, tokens)
            if found:
                yield found
        at = step.played[-1] + 1 if step.played else at
    if skipped:
        yield _left_out(skipped, moves)


def _one(move: DescribedMove, step: AlignedStep, moves: Sequence[str], tokens: U16) -> QuoteDifference | None:
    (ply,) = step.played
    said, played = _numbered(move, ply), f"{_label(ply)}{moves[ply]}"
    kind: DifferenceKind = "move"
    if step.how == SAME:
        took = bool(tokens[ply] & 512)
        if move.takes is None or move.takes == took:
            return None
        kind = "capture"
    elif step.how != CHANGE:
        return None
    return _difference(kind, said, played, ply, f"you said {said}, the game had {played}")


def _left_out(plies: Sequence[int], moves: Sequence[str]) -> QuoteDifference:
    named = " ".join(
        (_label(ply) if ply % 2 == 0 or not place else "") + moves[ply] for place, ply in enumerate(plies[:_NAMED])
    )
    more = f" and {len(plies) - _NAMED} more" if len(plies) > _NAMED else ""
    return _difference("left out", "", named, plies[0], f"left out: {named}{more}")


def _end(described: DescribedGame, game: GameTags, steps: Sequence[AlignedStep]) -> Iterator[QuoteDifference]:
    if described.ending is None:
        return
    if described.result is not None and game.result != "*" and described.result != game.result:
        words = f"you said “{described.ending}”, the game ended {game.result}"
        yield _difference("result", described.ending, game.result, None, words)
    elif "resign" in described.ending.lower() and game.result == "1/2-1/2":
        yield _difference(
            "result", described.ending, game.result, None, f"you said “{described.ending}”, the game was drawn"
        )
    last = max((ply for step in steps if step.how in (SAME, CHANGE, SWAP) for ply in step.played), default=None)
    if last is not None and last + 1 < game.plies:
        number = (game.plies + 1) // 2
        words = f"you said “{described.ending}”, the game went on to move {number}"
        yield _difference("end", described.ending, f"move {number}", last + 1, words)


def _difference(kind: DifferenceKind, described: str, played: str, ply: int | None, words: str) -> QuoteDifference:
    return QuoteDifference(kind, described, played, ply, words)


def _label(ply: int) -> str:
    """``23.`` or ``23...``."""
    return f"{ply // 2 + 1}." if ply % 2 == 0 else f"{ply // 2 + 1}..."


def _bare(move: DescribedMove) -> str:
    """The words without the number that may stick to them."""
    return move.words.rstrip(",;:. ")


def _numbered(move: DescribedMove, ply: int) -> str:
    """The described move with the number it was given, else with that of the place it was laid beside."""
    return _label(ply if move.ply is None else move.ply) + _bare(move)

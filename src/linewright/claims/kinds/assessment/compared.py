"""Claims that one move is played more often than another, decided by the games base."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind, Verdict
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import either, listed

#: Fewer games prove little, and a move that nobody plays may be another than the one meant.
FEW_GAMES: Final = 20
#: Two moves within this part of the more frequent one's games are played alike: nobody counts finer from memory.
ALIKE: Final = 0.1

_OFTEN: Final = listed("often popular common frequent frequently commonly usual fashionable played seen chosen tried")
_MORE: Final = either(
    rf"more {_OFTEN}", "oftener", "commoner", "(?:two|three|four|several) times (?:more|as often|as much)",
    "(?:twice|three times) as often", "(?:far |much )?more",
)  # fmt: skip
_LESS: Final = either(rf"less {_OFTEN}", "rarer", "more rarely", "more seldom", rf"not (?:as|so) {_OFTEN}")
_COMPARED: Final = re.compile(
    rf"\b(?:(?P<more>{_MORE})|(?P<less>{_LESS}))(?: \w+){{0,2}}? (?:than|as)\b"
    r"|\b(?P<alike>(?:just |exactly |about )?as (?:often|popular|common|frequent|frequently) as)\b"
    rf"|\b(?P<equally>(?:equally|just as|exactly as) {_OFTEN})\b(?! as)"
    r"|\b(?P<preferred>preferred)(?: \w+){0,2}? (?:to|over)\b"
)
#: "More" alone compares games only where the words speak of playing.
_PLAYED: Final = re.compile(
    r"\b(?:play|plays|played|see|seen|chosen|choose|meet|met|games|often|popular|common|tried|rarer|oftener|commoner)\b"
)


@dataclass(frozen=True, slots=True)
class Compared:
    """That the moves of ``one`` are played more often than those of ``other``.

    :param one: UCI of the moves that the first words fit, not empty; ``other``: of those after "than".
    :param alike: as often, rather than more often.
    :param denied: the claim is that it is not so.
    """

    one: tuple[str, ...]
    other: tuple[str, ...]
    alike: bool = False
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[Compared]]:
    """The comparisons of a sentence in which both moves are named."""
    if sentence.asked:
        return
    for match in _COMPARED.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        before = _moves(sentence, clause[0], trigger[0])
        after = _moves(sentence, trigger[1], min(len(sentence.tokens), clause[1] + 1))
        if match["equally"] and len(before) > 1:
            before, after = before[:-1], before[-1:]
        own = " ".join(token.text for token in sentence.tokens[slice(*clause)])
        if not before or not after or not _PLAYED.search(own):
            continue
        said_as = mood(scene, sentence, clause, trigger)
        now = scene.step_at(sentence.tokens[trigger[0]].first)
        for step in (now, scene.last_move(now)):
            if step is not None and (fits := _fit(before[-1], after[0], scene.board(step))):
                one, other = fits[::-1] if match["less"] else fits
                about = Compared(one, other, bool(match["alike"] or match["equally"]), said_as.negated)
                yield Found(about, clause[0], max(clause[1], after[0].last), step, said_as)
                break


def _moves(sentence: Sentence, first: int, last: int) -> tuple[Mention, ...]:
    """The moves named between two tokens; "the pin on g5" names a place."""
    found = mentions(sentence.tokens, first, last)
    return tuple(m for m in found if not m.first or sentence.tokens[m.first - 1].text not in ("on", "at"))


def _fit(one: Mention, other: Mention, board: chess.Board) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """The moves that each of two mentions can mean, if both can mean some and none is meant by both."""
    fits = [tuple(move.uci() for move in mention.fits(board)) for mention in (one, other)]
    return (fits[0], fits[1]) if all(fits) and not {*fits[0]} & {*fits[1]} else None


def decide(claim: Compared, facts: Facts) -> Ruling:
    """Compare the games."""
    if facts.replies is None:
        return undecided(facts.why_none)
    played = {reply.uci: reply.games for reply in facts.replies.replies}
    one, other = (sum(played.get(move, 0) for move in moves) for moves in (claim.one, claim.other))
    names = [" or ".join(facts.board.san(chess.Move.from_uci(m)) for m in moves) for moves in (claim.one, claim.other)]
    told = f"of {facts.replies.total:,} games{facts.where} {names[0]} was played in {one:,}, {names[1]} in {other:,}"
    if one + other < FEW_GAMES or not one or not other:
        return undecided(f"{told}: that proves little")
    alike = abs(one - other) <= ALIKE * max(one, other)
    if claim.alike:
        ruling = holds(told) if alike else fails(told)
    elif alike:
        return undecided(f"{told}: nearly alike")
    else:
        ruling = holds(told) if one > other else fails(told)
    return negated(ruling) if claim.denied and ruling.verdict is not Verdict.UNDECIDED else ruling


COMPARED = ClaimKind(Kind.FREQUENCY, find, decide, asks_base=True)

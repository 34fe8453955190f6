"""Claims that one move is played more often than another, decided by the games base."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.occurrences import Occurrence, occurrences
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import Count, Number, Options, why
from linewright.language.wordings import word_set
from linewright.lesson.finding import Kind, Verdict

#: Fewer games prove little, and a move that nobody plays may be another than the one meant.
FEW_GAMES: Final = 20
#: Two moves within this part of the more frequent one's games are played alike: nobody counts finer from memory.
ALIKE: Final = 0.1


@dataclass(frozen=True, slots=True)
class ComparisonClaim:
    """That the moves of ``one`` are played more often than those of ``other``.

    :param one: UCI of the moves that the first words fit, not empty; ``other``: of those after "than".
    :param alike: as often, rather than more often.
    :param denied: the claim is that it is not so.
    """

    one: tuple[str, ...]
    other: tuple[str, ...]
    alike: bool = False
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[ComparisonClaim]]:
    """The comparisons of a sentence in which both moves are named."""
    if sentence.asked:
        return
    for said in occurrences("comparison", sentence, scene):
        clause, trigger = said.clause, said.trigger
        before = _moves(said, clause[0], trigger[0])
        after = _moves(said, trigger[1], min(len(sentence.tokens), clause[1] + 1))
        how = said.value("how")
        if how == "equally" and len(before) > 1:
            before, after = before[:-1], before[-1:]
        own = " ".join(token.text for token in sentence.tokens[slice(*clause)])
        if not before or not after or not said.hint("played", own):
            continue
        for step in (said.step, scene.last_move(said.step)):
            if step is not None and (fits := _fit(before[-1], after[0], scene.board(step))):
                one, other = fits[::-1] if how == "less" else fits
                about = ComparisonClaim(one, other, how in ("alike", "equally"), said.mood.negated)
                yield Found(about, clause[0], max(clause[1], after[0].last), step, said.mood)
                break


def _moves(said: Occurrence, first: int, last: int) -> tuple[Mention, ...]:
    """The moves named between two tokens, but for those that name a place."""
    tokens, place = said.sentence.tokens, word_set("claims/comparison", "place", said.scene.language)
    return tuple(
        m
        for m in mentions(tokens, first, last, said.scene.language)
        if not m.first or tokens[m.first - 1].text not in place
    )


def _fit(one: Mention, other: Mention, board: chess.Board) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """The moves that each of two mentions can mean, if both can mean some and none is meant by both."""
    fits = [tuple(move.uci() for move in mention.fits(board)) for mention in (one, other)]
    return (fits[0], fits[1]) if all(fits) and not {*fits[0]} & {*fits[1]} else None


def decide(claim: ComparisonClaim, facts: Facts) -> Ruling:
    """Compare the games."""
    if facts.replies is None:
        return undecided(facts.why_none)
    played = {reply.uci: reply.games for reply in facts.replies.replies}
    one, other = (sum(played.get(move, 0) for move in moves) for moves in (claim.one, claim.other))
    evidence = why(
        "frequency.compared",
        total=Count(facts.replies.total, "game"),
        where=facts.where,
        one=_names(claim.one, facts.board),
        one_games=Number(one),
        other=_names(claim.other, facts.board),
        other_games=Number(other),
    )
    if one + other < FEW_GAMES or not one or not other:
        return undecided(why("frequency.compared_few", evidence=evidence))
    alike = abs(one - other) <= ALIKE * max(one, other)
    if claim.alike:
        ruling = holds(evidence) if alike else fails(evidence)
    elif alike:
        return undecided(why("frequency.compared_alike", evidence=evidence))
    else:
        ruling = holds(evidence) if one > other else fails(evidence)
    return negated(ruling) if claim.denied and ruling.verdict is not Verdict.UNDECIDED else ruling


def _names(moves: tuple[str, ...], board: chess.Board) -> Options:
    return Options(tuple(board.san(chess.Move.from_uci(move)) for move in moves))


COMPARISON = ClaimKind(Kind.FREQUENCY, find, decide, asks_base=True)

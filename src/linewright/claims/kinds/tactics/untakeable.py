"""Claims that something can't be taken: the capture is tried, and what answers it is the evidence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.mates import QUIET_MOVES, mate_in
from linewright.board.tactics.threats import answer_to
from linewright.claims.claim_kind import PLAIN, ClaimKind, Facts, Found
from linewright.claims.kinds.tactics.winning import what_a_move_does
from linewright.claims.occurrences import Occurrence, occurrences
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.men import Man, color_of, kind_named
from linewright.claims.sentence.named_moves import TAKING, Mention, file_of, mentions
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.model import EngineVerdict
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.evidence import Evidence, together, why
from linewright.language.wordings import word_set
from linewright.lesson.finding import Kind

#: Pawns that a capture must cost, by an engine's scores before and after it, for "he can't take" to hold …
COSTS: Final = 1.0
#: … and a capture that costs less than this is as good as any move: then the words are false.
FREE: Final = 0.3
#: Captures looked at; more would mean that the words name none.
MOST: Final = 4

#: How many words after "take" may say what is taken ("the e pawn").
_TAKEN: Final = 3


@dataclass(frozen=True, slots=True)
class UntakeableClaim:
    """That a capture can't be played, or is punished.

    :param moves: the captures meant, as UCI.
    :param mate: it is said to be punished by mate.
    """

    moves: tuple[str, ...]
    mate: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[UntakeableClaim]]:
    """The claims of a sentence that something can't be taken; those whose capture can't be read are left out."""
    for said in occurrences("untakeable", sentence, scene):
        board = scene.board(said.step)
        moves = tuple(_captures_of(said, board) if said.form.name == "immune" else _captures_by(said, board))
        if 0 < len(moves) <= MOST:
            first, last = said.trigger
            about = UntakeableClaim(tuple(move.uci() for move in moves), bool(said.value("mate")))
            yield Found(about, first, max(last, said.clause[1]), said.step, PLAIN)


def _captures_by(said: Occurrence, board: chess.Board) -> Iterable[chess.Move]:
    """The captures of the side to move that the words may mean."""
    sentence, scene = said.sentence, said.scene
    take = sentence.token_range(*said.heard.span("take"))[0]
    color = color_of(said.value("who"), take, scene, sentence)
    if color is not None and color != board.turn:
        return ()
    texts = [token.text for token in sentence.tokens]
    end = min(len(texts), take + 1 + TAKING)
    stops = word_set("claims/untakeable", "stop", scene.language)
    stop = next((i for i in range(take + 1, end) if texts[i] in stops), end)
    named = (mention for mention in mentions(sentence.tokens, take, stop, scene.language) if mention.capture)
    mention = next(named, Mention(take, take + 1, capture=True))
    # "Take the pawn": the man taken is named, not the one that takes.
    if taken := said.hint("taken", " ".join(texts[take + 1 : min(end, take + 1 + _TAKEN)])):
        man = Man(kind_named(taken.value("man"), scene.language), mention.to, file_of(taken.value("file")))
        return [move for move in board.legal_moves if move.to_square in man.squares(board)]
    return [move for move in mention.fits(board) if board.is_capture(move)]


def _captures_of(said: Occurrence, board: chess.Board) -> Iterable[chess.Move]:
    """The legal captures of the man that is said to be immune."""
    meant = said.man().squares(board)
    return (move for move in board.legal_moves if move.to_square in meant)


def after(claim: UntakeableClaim, board: chess.Board) -> Iterator[chess.Board]:
    """The positions that the captures lead to."""
    for uci in claim.moves:
        played = board.copy(stack=False)
        played.push_uci(uci)
        yield played


def decide(claim: UntakeableClaim, facts: Facts) -> Ruling:
    """Holds when every capture meant is answered by mate or by winning more than it took, seen at once or by the
    engine; fails when the engine finds the one capture meant as good as anything; else open."""
    captures = [
        (chess.Move.from_uci(uci), facts.judged(played), played)
        for uci, played in zip(claim.moves, after(claim, facts.board), strict=True)
    ]
    answers = [(facts.board.san(move), _answer(claim, facts, move, played)) for move, _, played in captures]
    if all(answer for _, answer in answers):
        return holds(together(_answered(san, answer) for san, answer in answers))
    costs = [_cost(facts.assessed, verdict, facts.board.turn) for _, verdict, _ in captures]
    judged = together(
        why("untakeable.judged", move=facts.board.san(move), score=cite_verdict(verdict))
        for move, verdict, _ in captures
        if verdict is not None
    )
    known = [cost for cost in costs if cost is not None]
    if len(known) == len(costs) and min(known) >= COSTS and not claim.mate:
        return holds(judged)
    if len(known) == len(costs) == 1 and known[0] < FREE:
        return fails(why("untakeable.as_good", evidence=judged))
    return undecided(judged or together(_answered(san, answer) for san, answer in answers))


def _answered(san: str, answer: Evidence | None) -> Evidence:
    if answer is None:
        return why("untakeable.unanswered", move=san)
    return why("untakeable.answered", move=san, answer=answer)


def _answer(claim: UntakeableClaim, facts: Facts, move: chess.Move, played: chess.Board) -> Evidence | None:
    """What answers a capture."""
    if claim.mate:
        search = mate_in(played, QUIET_MOVES)
        if search.mate is None:
            return None
        return why("untakeable.mate", line=played.variation_san(list(search.mate.line)))
    reply = answer_to(facts.board, move)
    return None if reply is None else what_a_move_does(played, reply.san, reply.aim, reply.targets)


def _cost(before: EngineVerdict | None, played: EngineVerdict | None, turn: chess.Color) -> float | None:
    """Pawns that the capture costs the side to move, by two verdicts; None without them or where mates are near."""
    if before is None or played is None or before.best is None or played.best is None:
        return None
    here, there = before.best.score.pawns, played.best.score.pawns
    if here is None or there is None:
        return None
    return (here - there) if turn else (there - here)


UNTAKEABLE = ClaimKind(Kind.TACTIC, find, decide, asks_engine=True, also=after)

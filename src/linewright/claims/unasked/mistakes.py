"""Moves that the talk praises and that lose, and lines shown as fine that are refuted."""

from __future__ import annotations

from collections.abc import Iterator

import chess

from linewright.claims.engine_questions import Verdicts
from linewright.claims.sentence.mood import mood
from linewright.claims.unasked.scope import Scope
from linewright.claims.unasked.scores import good_moves, loss, pawns, score_after
from linewright.engine.model import EngineVerdict
from linewright.engine.signs import CLEAR, SLIGHT, WINNING
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.evidence import why
from linewright.language.wordings import wording
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import MoveStep, Node, Said

#: PGN's glyphs of praise (PGN standard, 10: $1, $3).
_PRAISING_NAGS = frozenset({1, 3})
#: Tokens looked at behind and before a move.
_NEAR = 8
#: Pawns that a praised move must cost before it is spoken of: trainers' taste and engines' differ by less.
COSTS = 1.0
#: Pawns that a move shown as fine must cost: the exchange for nothing, at the least.
REFUTED = 1.5
#: At most so many refutations are shown.
FEW = 3


def praised(scope: Scope) -> tuple[Node, ...]:
    """The nodes of the lesson's own part whose move the talk praises, by glyph or by words."""
    return tuple(node for node in scope.own if _praise(scope, node) is not None)


def praised_mistakes(scope: Scope, verdicts: Verdicts) -> Iterator[Finding]:
    """One finding for each praised move after which the engine sees its side clearly worse for it."""
    for node in scope.own:
        said = _praise(scope, node)
        if said is None:
            continue
        judged = _cost(scope, node, verdicts)
        if judged is None:
            continue
        cost, before, after, turn = judged
        stands = pawns(after) if turn else -pawns(after)
        best = chess.Move.from_uci(node.uci) in good_moves(before, SLIGHT)
        if cost >= COSTS and stands <= -CLEAR and not best:
            parent = scope.nodes[node.parent or 0]
            reason = why(
                "unasked.praised",
                verdict=cite_verdict(after, scope.named(node)),
                move=_best_move(parent, before),
                score=score_after(before),
            )
            yield Finding(Kind.PRAISE, Verdict.FAILS, said, node.fen, reason, (node.step or 0) + 1)


def refutations(scope: Scope, verdicts: Verdicts) -> Iterator[Finding]:
    """One finding for each move that is shown without a bad word, and that throws away what its side had, so that it
    stands worse, by a reply which the talk neither plays nor names; the costliest ``FEW``."""
    found: list[tuple[float, Finding]] = []
    for node in scope.own:
        judged = _cost(scope, node, verdicts)
        if judged is None or scope.condemned(node) or _praise(scope, node) is not None:
            continue
        cost, before, after, turn = judged
        had, stands = (pawns(before), pawns(after)) if turn else (-pawns(before), -pawns(after))
        if cost < REFUTED or had <= -WINNING or stands > -SLIGHT or after.best is None:
            continue
        # a reply that is shown and leaves the side worse too says enough
        replies = good_moves(after, max(SLIGHT, -stands - SLIGHT))
        step = scope.step(node)
        if step is None or any(r.uci() in scope.shown_from(node) or not scope.silent(node, r) for r in replies):
            continue
        board = scope.board(node)
        reason = why(
            "unasked.refuted",
            verdict=cite_verdict(after, scope.named(node)),
            move=numbered(node.fen, board.san(replies[0])),
        )
        found.append(
            (cost, Finding(Kind.REFUTATION, Verdict.UNDECIDED, step.said, node.fen, reason, (node.step or 0) + 1))
        )
    yield from (finding for _, finding in sorted(found, key=lambda f: -f[0])[:FEW])


def _cost(
    scope: Scope, node: Node, verdicts: Verdicts
) -> tuple[float, EngineVerdict, EngineVerdict, chess.Color] | None:
    """What a node's move costs in pawns, with the verdicts before and after it and who moved."""
    if node.parent is None:
        return None
    board = scope.board(scope.nodes[node.parent])
    before, after = verdicts.of(board), verdicts.of(scope.board(node))
    if before is None or after is None or before.best is None:
        return None
    return loss(board.turn, before, after), before, after, board.turn


def _best_move(parent: Node, before: EngineVerdict) -> str:
    """The engine's move, numbered."""
    board = chess.Board(parent.fen)
    assert before.best is not None
    best = chess.Move.from_uci(before.best.moves[0])
    return numbered(parent.fen, board.san(best))


def _praise(scope: Scope, node: Node) -> Said | None:
    """The words that praise a node's move; the move's own where a glyph does."""
    step = scope.step(node)
    if step is None or step.said.first == step.said.last:
        return None
    if step.nag in _PRAISING_NAGS:
        return step.said
    return _praising_words(scope, step)


def _praising_words(scope: Scope, step: MoveStep) -> Said | None:
    scene = scope.scene
    said = wording("claims/unasked", scene.language)
    for sentence in scene.sentences:
        tokens = sentence.tokens
        if not tokens[0].first < step.said.last <= tokens[-1].last:
            continue
        low = next((i for i, t in enumerate(tokens) if t.last > step.said.first), len(tokens))
        high = next((i for i, t in enumerate(tokens) if t.first >= step.said.last), len(tokens))
        behind = " ".join(t.text for t in tokens[high : high + _NEAR])
        before = " ".join(t.text for t in tokens[max(0, low - _NEAR) : low])
        for name, text, at in (("praise behind", behind, high), ("praise before", before, max(0, low - _NEAR))):
            praise = said.hint(name, text)
            if praise is None:
                continue
            first = at + text[: praise.start].count(" ")
            last = first + praise.text.strip().count(" ") + 1
            said_as = mood(scene, sentence, scene.clause(sentence, (first, last)), (first, last))
            if not (said_as.unreal or said_as.negated or said_as.vague):
                return scene.said(sentence, min(first, low), max(last, high))
    return None

"""Replies that the talk passes over in silence: far more common than those it shows, or stronger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.claims.claim_kind import CountedReplies, CountedReply
from linewright.claims.counted_games import CountedGames
from linewright.claims.engine_questions import Verdicts
from linewright.claims.unasked.scope import Scope
from linewright.claims.unasked.scores import good_moves, loss, score_after
from linewright.engine.signs import CLEAR, SLIGHT
from linewright.engine.verdict_evidence import cite_verdict
from linewright.games.api import wilson_interval
from linewright.language.evidence import Count, Evidence, Percent, Value, why
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Node

#: Games from which on the base tells anything: fewer may all be one player's.
LEAST_GAMES = 20
#: A reply that at least so many of a pupil's opponents choose has to be mentioned: one in five comes along in the first
#: month. The lower end of the share's interval counts, so that few games prove nothing (95 %, Wilson).
COMMON = 0.2
#: Far more common: this many times as often as the most common reply that is mentioned, and surely more often than it.
FAR = 2.0
#: Pawns by which every reply shown must be worse for the missed one to weigh as much as one that all opponents play.
SURELY_MISSED = 4.0
#: At most so many of them are shown: a talk of a few minutes can't take up more.
FEW = 5


@dataclass(frozen=True, slots=True)
class _Missed:
    node: Node
    worth: float
    reason: Evidence


def missing_replies(scope: Scope, games: CountedGames, verdicts: Verdicts) -> Iterator[Finding]:
    """One finding for each position where the talk shows replies, but neither plays nor names the one that most
    opponents choose or that the engine prefers by more than ``CLEAR`` pawns; the weightiest ``FEW``."""
    side = scope.scene.side
    missed: list[_Missed] = []
    for node in scope.own:
        board = scope.board(node)
        if not node.children or side is board.turn or not scope.sure(node):
            continue
        found = _common(scope, node, games.replies(board), games.where) or _stronger(scope, node, verdicts)
        if found is not None:
            missed.append(found)
    for one in sorted(missed, key=lambda m: (-m.worth, m.node.id))[:FEW]:
        yield _finding(scope, one)


def _common(scope: Scope, node: Node, replies: CountedReplies | None, where: Evidence) -> _Missed | None:
    """The reply that far more games go on with than with any that is mentioned."""
    if replies is None or replies.total < LEAST_GAMES:
        return None
    board = scope.board(node)
    shown = scope.shown_from(node)
    most_shown = max((r for r in replies.replies if r.uci in shown), key=lambda r: r.games, default=None)
    often, at_most = (
        (most_shown.share, wilson_interval(most_shown.games, replies.total)[1]) if most_shown else (0.0, 0.0)
    )
    for reply in replies.replies:
        surely = wilson_interval(reply.games, replies.total)[0]
        if surely < COMMON or surely <= at_most or reply.share < FAR * often or reply.uci in shown:
            continue
        if scope.silent(node, chess.Move.from_uci(reply.uci)):
            return _Missed(node, reply.share, _common_reason(board.fen(), reply, most_shown, replies.total, where))
    return None


def _common_reason(fen: str, reply: CountedReply, shown: CountedReply | None, of: int, where: Evidence) -> Evidence:
    values: dict[str, Value] = {
        "move": numbered(fen, reply.san),
        "share": Percent(reply.share),
        "games": Count(of, "game"),
        "where": where,
    }
    if shown is None:
        return why("unasked.common_only", **values)
    share = Percent(shown.share)
    return why("unasked.common", other=numbered(fen, shown.san), other_share=share, **values)


def _stronger(scope: Scope, node: Node, verdicts: Verdicts) -> _Missed | None:
    """The engine's reply, where every one mentioned is worse by ``CLEAR`` pawns or more and none is called bad."""
    board = scope.board(node)
    verdict = verdicts.of(board)
    if verdict is None or verdict.best is None:
        return None
    as_good = good_moves(verdict, SLIGHT)
    if any(move.uci() in scope.shown_from(node) or not scope.silent(node, move) for move in as_good):
        return None
    children = [scope.nodes[child] for child in node.children]
    if any(scope.condemned(child) for child in children):
        return None
    after = [(child, verdicts.of(scope.board(child))) for child in children]
    losses = [(loss(board.turn, verdict, judged), child, judged) for child, judged in after if judged is not None]
    if not losses or len(losses) < len(children):
        return None
    least, child, judged = min(losses, key=lambda found: found[0])
    if least < CLEAR:
        return None
    reason = why(
        "unasked.stronger",
        verdict=cite_verdict(verdict),
        move=numbered(board.fen(), board.san(as_good[0])),
        score=score_after(judged),
        other=scope.named(child),
    )
    return _Missed(node, min(1.0, least / SURELY_MISSED), reason)


def _finding(scope: Scope, missed: _Missed) -> Finding:
    child = scope.step(scope.nodes[missed.node.children[0]])
    assert child is not None  # a child was played by a step
    done = scope.nodes[missed.node.children[0]].step or 0
    return Finding(Kind.REPLY, Verdict.UNDECIDED, child.said, missed.node.fen, missed.reason, done)

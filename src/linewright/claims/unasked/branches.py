"""Transpositions that the talk doesn't speak of: into a branch shown before, or into another named opening."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import chess

from linewright.claims.counted_games import CountedGames
from linewright.claims.sentence.talk_scene import position_key
from linewright.claims.unasked.scope import Scope
from linewright.language.evidence import NOTHING, Evidence, Number, why
from linewright.language.wordings import word_set
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.opening import transposed_to
from linewright.lesson.walk import SURE, MoveStep, Node

#: At most so many are shown.
FEW = 3


def unnoticed_transpositions(scope: Scope, games: CountedGames) -> Iterator[Finding]:
    """One finding for each branch that comes, by other moves, to a position which the talk has shown before or which
    bears another opening's name, and says nothing of it; the first ``FEW``."""
    first: dict[str, int] = {}
    shown = 0
    for node in scope.nodes:
        known = first.setdefault(position_key(node.fen), node.id)
        step = scope.step(node)
        if step is None or not step.said.words or scope.scene.walk.certainties[node.id] < SURE:
            continue
        reason = (
            _shown_before(scope, node, step, known, first) if known != node.id else _other_opening(scope, games, node)
        )
        if not reason:
            continue
        yield Finding(Kind.BRANCH, Verdict.UNDECIDED, step.said, node.fen, reason, (node.step or 0) + 1)
        shown += 1
        if shown == FEW:
            return


def _shown_before(scope: Scope, node: Node, step: MoveStep, known: int, first: dict[str, int]) -> Evidence:
    """What to say where a node's position is that of the node ``known`` on another line; a repetition along one line
    is no branch, and where the two were together before this move, it has been said already."""
    parent = scope.nodes[node.parent or 0]
    together = first[position_key(parent.fen)] != parent.id
    if together or known in (0, *scope.scene.walk.line(node.id)) or scope.says_around("known already", step):
        return NOTHING
    return why("unasked.shown_before", move=scope.named(node), line=scope.scene.line_text(known))


def _other_opening(scope: Scope, games: CountedGames, node: Node) -> Evidence:
    """What to say where a move of the lesson's own part leads into another named opening, whose name the talk doesn't
    speak, and more games come there by the other opening's moves."""
    if node.ply <= scope.first_ply or scope.nodes[0].fen != chess.STARTING_FEN:
        return NOTHING
    line = [scope.nodes[at] for at in scope.scene.walk.line(node.id)]
    road = transposed_to([chess.STARTING_FEN, *(n.fen for n in line)], [n.uci for n in line])
    if road is None or _spoken(scope, road.opening.name):
        return NOTHING
    theirs, here = _games_by(games, road.moves), _games_by(games, [n.uci for n in line])
    if theirs is None or here is None or theirs <= here:
        return NOTHING
    moves = chess.Board().variation_san([chess.Move.from_uci(uci) for uci in road.moves])
    return why(
        "unasked.other_opening",
        move=scope.named(node),
        opening=road.opening.text,
        where=games.where,
        line=moves,
        theirs=Number(theirs),
        here=Number(here),
    )


def _games_by(games: CountedGames, moves: Sequence[str]) -> int | None:
    """How many games play the last of these moves from the position before it; None where that isn't known."""
    board = chess.Board()
    for uci in moves[:-1]:
        board.push_uci(uci)
    replies = games.replies(board)
    return next((r.games for r in replies.replies if r.uci == moves[-1]), 0) if replies else None


def _spoken(scope: Scope, name: str) -> bool:
    """Whether the talk speaks one of the telling words of an opening's name anywhere."""
    words = {word for sentence in scope.scene.sentences for word in re.findall(r"\w+", sentence.text.lower())}
    common = word_set("claims/unasked", "common_in_names", scope.scene.language)
    telling = [word for word in re.findall(r"\w+", name.lower()) if word not in common]
    return any(word in words for word in telling)

"""Quoted games that the talk leaves just before their finish."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import chess

from linewright.claims.unasked.scope import Scope
from linewright.language.evidence import why
from linewright.lesson.finding import Finding, GameRef, Kind, Verdict
from linewright.lesson.spoken import numbered

#: Half-moves that a game may go on after the talk leaves it: six moves are said in half a minute.
NEAR = 12
#: At most so many are shown.
FEW = 2


def unshown_finishes(scope: Scope, found: Sequence[Finding]) -> Iterator[Finding]:
    """One finding for each quoted game that the talk follows beyond the opening's common part, and that is decided
    within ``NEAR`` half-moves of where the talk leaves it; the first ``FEW``.

    :param found: the check's findings; the quotes among them carry the base's games.
    """
    shown = 0
    done: set[int] = set()
    for finding in found:
        game = finding.game
        if finding.kind is not Kind.QUOTE or finding.verdict is not Verdict.HOLDS or game is None or game.id in done:
            continue
        done.add(game.id)
        ply = _followed(scope, game)
        if ply <= scope.first_ply or not 0 < len(game.moves) - ply <= NEAR or game.result not in ("1-0", "0-1"):
            continue
        reason = why("unasked.finish", moves=_rest(game, ply), result=game.result)
        yield Finding(Kind.FINISH, Verdict.UNDECIDED, finding.said, finding.before, reason, finding.step, game=game)
        shown += 1
        if shown == FEW:
            return


def _followed(scope: Scope, game: GameRef) -> int:
    """Half-moves of the game that the talk's tree shows, from the start on."""
    node, ply = scope.nodes[0], 0
    if node.fen != chess.STARTING_FEN:
        return 0
    for uci in game.moves:
        child = next((scope.nodes[c] for c in node.children if scope.nodes[c].uci == uci), None)
        if child is None:
            break
        node, ply = child, ply + 1
    return ply


def _rest(game: GameRef, ply: int) -> str:
    """The game's moves from a half-move on, numbered: ``17...Nxf2 18.Kxf2 Qh4+``."""
    board = chess.Board()
    for uci in game.moves[:ply]:
        board.push_uci(uci)
    parts: list[str] = []
    for uci in game.moves[ply:]:
        move = chess.Move.from_uci(uci)
        san = board.san(move)
        parts.append(numbered(board.fen(), san) if board.turn or not parts else san)
        board.push(move)
    return " ".join(parts)

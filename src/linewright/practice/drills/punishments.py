"""How a wrong move is punished: by what the talk shows, an engine, the games, or what the board shows at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

import chess

from linewright.board.tactics.exchange import exchange, value_at
from linewright.engine.model import EngineTrouble, EngineVerdict
from linewright.engine.signs import expected
from linewright.engine.verdict_evidence import cite_verdict
from linewright.lesson.spoken import written
from linewright.lesson.walk import Node, Walk
from linewright.practice.drills.drill import Accepted, Source, Standing, Wrong, key_of
from linewright.practice.drills.taught_moves import ENOUGH_GAMES, DrillGames, TaughtMoves, figures

#: Half-moves shown of a punishment: the blow, the defence, the second blow.
SHOWN = 3
#: Expected score (0-1) that a move must cost by the engine to be called wrong against the games: half a pawn or so near
#: equality.
COSTS = 0.06
#: Points of material (pawn 1) that a reply must win to be shown as a punishment by the board alone.
WINS = 1
#: Expected score from which on the games call a reply to a wrong move good, at the lower end of its interval.
GOOD = 0.5
#: Moves of the games whose best answers are looked up in one position, most played first.
LOOKED_UP = 6


class Judge(Protocol):
    """The part of an engine session that is asked (:class:`linewright.engine.session.Engine`)."""

    def verdicts(self, positions: Sequence[chess.Board | str]) -> list[EngineVerdict | EngineTrouble]: ...


def punished(
    walk: Walk, taught: TaughtMoves, board: chess.Board, accepted: Sequence[Accepted], games: DrillGames | None
) -> tuple[Wrong, ...]:
    """Wrong moves of a position whose punishment the talk, the games or the board shows; each once, in that order."""
    key = key_of(board.fen())
    fine = {move.uci for move in accepted}
    found: dict[str, Wrong] = {}
    for source in (_by_talk(walk, taught, key), _by_games(board, games), _by_board(board)):
        for wrong in source:
            if wrong.uci not in fine:
                found.setdefault(wrong.uci, wrong)
    return tuple(found.values())


def _by_talk(walk: Walk, taught: TaughtMoves, key: str) -> Iterator[Wrong]:
    """Mistakes that the talk shows, with what it plays against them."""
    for node in taught.wrong(key):
        line = list(_first_line(walk, node))
        if line:
            yield Wrong(node.uci, node.san, tuple(n.san for n in line[:SHOWN]), Source.TALK)


def _first_line(walk: Walk, node: Node) -> Iterator[Node]:
    while node.children:
        node = walk.nodes[node.children[0]]
        yield node


def _by_games(board: chess.Board, games: DrillGames | None) -> Iterator[Wrong]:
    """Moves played in games, with the reply that scored best against them."""
    replies = games.replies(board) if games is not None else None
    for reply in replies.replies[:LOOKED_UP] if replies else ():
        after = board.copy(stack=False)
        after.push_uci(reply.uci)
        answers = games.replies(after) if games is not None else None
        good = [a for a in answers.replies if a.scored >= ENOUGH_GAMES and a.low > GOOD] if answers else []
        if good:
            best = max(good, key=lambda a: a.low)
            yield Wrong(reply.uci, reply.san, (best.san,), Source.GAMES, figures(best))


def _by_board(board: chess.Board) -> Iterator[Wrong]:
    """Moves that lose at once: to mate, or material in one square's exchange."""
    for move in board.legal_moves:
        won = value_at(board, move.to_square) if board.is_capture(move) and not board.is_en_passant(move) else 0
        won += board.is_en_passant(move)
        after = board.copy(stack=False)
        san = after.san(move)
        after.push(move)
        reply = _blow(after, won)
        if reply is not None:
            answer, why = reply
            yield Wrong(move.uci(), san, (after.san(answer),), Source.BOARD, why)


def _blow(after: chess.Board, won: int) -> tuple[chess.Move, str] | None:
    """The reply that mates, else the one that wins most; None where nothing is lost at once.

    :param won: points that the move before took.
    """
    best: tuple[int, chess.Move] | None = None
    for reply in after.legal_moves:
        if after.gives_check(reply):
            mated = after.copy(stack=False)
            mated.push(reply)
            if mated.is_checkmate():
                return reply, "mate"
        if not after.is_capture(reply):
            continue
        gain = exchange(after, reply) - won
        if gain >= WINS and (best is None or gain > best[0]):
            best = gain, reply
    if best is None:
        return None
    gain, reply = best
    return reply, f"wins {gain} point{'s' if gain != 1 else ''} of material"


def judged(
    board: chess.Board, accepted: Sequence[Accepted], wrong: Sequence[Wrong], tried: Iterable[str], judge: Judge
) -> tuple[tuple[Accepted, ...], tuple[Wrong, ...]]:
    """Accepted and wrong moves after an engine was asked about moves that are neither taught nor called mistakes.

    All of them get the engine's line against them. One that the games show equally good stays accepted unless it costs
    ``COSTS`` or more against the best taught move. What the talk shows stays as it is shown.

    :param tried: moves, in UCI, worth asking about.
    """
    settled = {move.uci for move in accepted if move.standing is Standing.TAUGHT}
    settled |= {move.uci for move in wrong if move.source is Source.TALK}
    taught = [move.uci for move in accepted if move.standing is Standing.TAUGHT]
    asked = [*taught, *dict.fromkeys(uci for uci in tried if uci not in settled)]
    boards = [_after(board, uci) for uci in asked]
    found = dict(zip(asked, judge.verdicts(boards), strict=True))
    scores = {uci: _for(board.turn, v) for uci, v in found.items() if isinstance(v, EngineVerdict)}
    if not any(uci in scores for uci in taught):
        return tuple(accepted), tuple(wrong)
    bar = max(scores[uci] for uci in taught if uci in scores)
    fine, bad = {m.uci: m for m in accepted}, {m.uci: m for m in wrong}
    for uci, after in zip(asked, boards, strict=True):
        verdict = found[uci]
        if uci in settled or not isinstance(verdict, EngineVerdict):
            continue
        san, cost = board.san(chess.Move.from_uci(uci)), bar - scores[uci]
        if uci in fine and cost < COSTS:
            continue
        if verdict.best is not None:
            fine.pop(uci, None)
            line = tuple(san for _, san in written(after.fen(), verdict.best.moves[:SHOWN]))
            why = str(cite_verdict(verdict)) if cost >= COSTS else f"{cite_verdict(verdict)}, playable"
            bad[uci] = Wrong(uci, san, line, Source.ENGINE, why)
    return tuple(fine.values()), tuple(bad.values())


def _after(board: chess.Board, uci: str) -> chess.Board:
    after = board.copy(stack=False)
    after.push_uci(uci)
    return after


def _for(side: chess.Color, verdict: EngineVerdict) -> float:
    """A verdict's expected score (0-1) as ``side`` sees it."""
    white = expected(verdict)
    return white if side == chess.WHITE else 1 - white

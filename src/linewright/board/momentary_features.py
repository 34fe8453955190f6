"""What is on the board at this moment, in words: tactics, threats and mates."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import chess

from linewright.board.feature import Feature, Topic
from linewright.board.naming import listed, man_name, side_name
from linewright.board.tactics import attacks
from linewright.board.tactics import motifs as tactics
from linewright.board.tactics.mates import mate_in
from linewright.board.tactics.threats import Aim, Threat, threats

_SIDES: Final = (chess.WHITE, chess.BLACK)
#: How many threats, and how many chances, are named: a trainer names the main one or two. Our choice.
MOST_THREATS: Final = 3


def tactics_features(board: chess.Board) -> Iterator[Feature]:
    """Hanging men, pins, skewers, forks, discovered attacks, trapped pieces and overloaded defenders."""
    for color in _SIDES:
        for loss in attacks.hanging(board, color):
            words = f"{man_name(board, loss.square)} hangs: taking it wins {_points(loss.points)}"
            yield Feature(Topic.TACTICS, "hanging", color, (loss.square,), words)
        for pin in attacks.pins(board, color):
            name = "absolute pin" if pin.absolute else "relative pin"
            by = man_name(board, pin.attacker)
            words = f"{man_name(board, pin.front)} is pinned to {_its(board, pin.behind)} by {by}"
            yield Feature(Topic.TACTICS, name, color, (pin.front, pin.behind, pin.attacker), words)
        for line in attacks.skewers(board, color):
            words = (
                f"{man_name(board, line.attacker)} skewers {man_name(board, line.front)} and {_its(board, line.behind)}"
            )
            yield Feature(Topic.TACTICS, "skewer", color, (line.front, line.behind, line.attacker), words)
        for trap in tactics.trapped(board, color):
            words = f"{man_name(board, trap.square)} is trapped"
            yield Feature(Topic.TACTICS, "trapped", color, (trap.square,), words)
        for overload in tactics.overloads(board, color):
            held = listed(man_name(board, s) for s in overload.duties)
            words = f"{man_name(board, overload.defender)} is overloaded: it alone holds {held}"
            yield Feature(Topic.TACTICS, "overloaded", color, (overload.defender, *overload.duties), words)
        yield from _attacks_of(board, color)


def _attacks_of(board: chess.Board, color: chess.Color) -> Iterator[Feature]:
    for fork in tactics.forks(board, color):
        targets = listed(man_name(board, s) for s in fork.targets)
        words = f"{man_name(board, fork.by)} forks {targets}"
        yield Feature(Topic.TACTICS, "fork", color, (fork.by, *fork.targets), words)
    for found in tactics.discoveries(board, color):
        name = "discovered check" if found.check else "discovered attack"
        words = (
            f"{man_name(board, found.front)} can step aside with a {name}"
            f" on {man_name(board, found.target)} by {man_name(board, found.slider)}"
        )
        yield Feature(Topic.TACTICS, name, color, (found.front, found.slider, found.target), words)


def threats_features(board: chess.Board) -> Iterator[Feature]:
    """What the side not to move threatens, and what the side to move can do at once."""
    for threat in threats(board, not board.turn)[:MOST_THREATS]:
        words = f"{side_name(threat.color)} threatens {threat.san}, {_aim(board, threat)}"
        yield Feature(Topic.THREATS, "threat", threat.color, _seen(threat), words)
    for threat in threats(board, board.turn)[:MOST_THREATS]:
        words = f"{side_name(threat.color)} can play {threat.san}, {_aim(board, threat)}"
        yield Feature(Topic.THREATS, "chance", threat.color, _seen(threat), words)


def mate_features(board: chess.Board, most: int) -> Iterator[Feature]:
    """A forced mate of the side to move, in at most ``most`` moves, where there is one."""
    found = mate_in(board, most).mate
    if found is not None:
        words = f"{side_name(board.turn)} mates in {found.moves}: {board.variation_san(found.line)}"
        first = found.line[0]
        yield Feature(Topic.THREATS, "mate", board.turn, (first.from_square, first.to_square), words)


def _seen(threat: Threat) -> attacks.Squares:
    return (threat.move.from_square, threat.move.to_square)


def _aim(board: chess.Board, threat: Threat) -> str:
    if threat.aim is Aim.MATE:
        return "mate"
    targets = listed(man_name(board, s) for s in threat.targets)
    if threat.aim is Aim.FORK:
        return f"forking {targets}"
    return f"winning {_points(threat.points)}" + ("" if threat.move.promotion else f" on {_square(threat)}")


def _square(threat: Threat) -> str:
    return chess.square_name(threat.targets[0])


def _its(board: chess.Board, square: chess.Square) -> str:
    """``the queen on d8``: the side is named by the man before it."""
    kind = board.piece_type_at(square)
    return f"the {chess.piece_name(kind)} on {chess.square_name(square)}" if kind else chess.square_name(square)


def _points(points: int) -> str:
    return "a pawn" if points == 1 else f"{points} points"

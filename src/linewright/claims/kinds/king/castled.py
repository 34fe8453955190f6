"""Claims that a side has castled, or that a king still stands in the centre."""

from __future__ import annotations

from dataclasses import dataclass

import chess

from linewright.board.castling import looks_castled
from linewright.board.king_safety import in_centre
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import BOTH, Reach, Ruling, Side, fails, for_side, holds, negated, ruled, undecided
from linewright.claims.sentence.talk_scene import Scene
from linewright.language.evidence import Row, Term, Value, why
from linewright.lesson.finding import Kind, Verdict


@dataclass(frozen=True, slots=True)
class CastledClaim:
    """That a side has castled, or that its king stands in the centre.

    :param done: the colours that have castled along the line, with their wings; None in ``known`` …
    :param opposite: it is said that the two sides have castled on different wings.
    :param narrated: "White castled": more likely a move that wasn't read than a claim.
    :param known: … whether the line starts at the start of the game, so that it shows who has.
    """

    side: Side
    centre: bool = False
    wing: str = ""
    done: tuple[tuple[chess.Color, str], ...] = ()
    known: bool = True
    denied: bool = False
    opposite: bool = False
    narrated: bool = False


def _build(said: Occurrence) -> CastledClaim | None:
    done, known = castlings(said.scene, said.step)
    if said.form.name == "opposite":
        return CastledClaim(BOTH, False, "", done, known, said.mood.negated, True)
    nobody = bool(said.value("neither"))
    side = BOTH if nobody or said.value("both") else said.side_named("side")
    if side is None:
        return None
    denied = nobody or bool(said.value("denied"))
    return CastledClaim(
        side,
        said.form.name == "centre",
        said.value("wing"),
        done,
        known,
        denied,
        narrated=said.hint("narrated", said.heard.text) is not None,
    )


def castlings(scene: Scene, steps: int) -> tuple[tuple[tuple[chess.Color, str], ...], bool]:
    """Who has castled where along the line to the board after ``steps`` steps, and whether the line shows all."""
    board = chess.Board(scene.walk.start)
    whole = board.fen() == chess.STARTING_FEN
    done = []
    for node in scene.walk.line(scene.walk.node_after(steps)):
        move = chess.Move.from_uci(scene.walk.nodes[node].uci)
        if board.is_castling(move):
            done.append((board.turn, "kingside" if board.is_kingside_castling(move) else "queenside"))
        board.push(move)
    return tuple(done), whole


def decide(claim: CastledClaim, facts: Facts) -> Ruling | None:
    """Castled: by the line's moves; a castling told in the past that the line doesn't show is no claim.

    In the centre: as ``board/king_safety.py`` has it; else by how it looks."""
    if claim.opposite:
        ruling = _opposite(claim)
        return negated(ruling) if claim.denied else ruling
    rule = _in_centre if claim.centre else _castled

    def one(color: chess.Color) -> Ruling:
        ruling = rule(claim, facts.board, color)
        return negated(ruling) if claim.denied else ruling

    if claim.side.reach is Reach.UNCLEAR:
        return undecided(for_side(claim.side, one).evidence)
    ruling = for_side(claim.side, one)
    missing = ruling.verdict is Verdict.FAILS and not claim.centre
    return None if missing and claim.narrated else ruling


def _opposite(claim: CastledClaim) -> Ruling:
    """Different wings; while only one side has castled the words may look ahead."""
    castled = Row(
        tuple(why("castled.castled_on", side=color_term(color), wing=Term(wing)) for color, wing in claim.done),
        ", ",
        none="nobody",
    )
    if len(claim.done) < 2:
        return undecided(why("castled.so_far", castled=castled))
    return ruled(claim.done[0][1] != claim.done[1][1], why("castled.castled", castled=castled))


def _castled(claim: CastledClaim, board: chess.Board, color: chess.Color) -> Ruling:
    wings = [wing for who, wing in claim.done if who is color]
    where = _king(board, color)
    if not claim.known and looks_castled(board, color):
        evidence = why("castled.looks_castled", **where)
        return undecided(evidence) if claim.wing else holds(evidence)
    if not claim.known:
        return undecided(why("castled.looks_uncastled", **where))
    if not wings:
        return fails(why("castled.not_castled", **where))
    evidence = why("castled.has_castled", side=color_term(color), wing=Term(wings[0]))
    return ruled(claim.wing in ("", wings[0]), evidence)


def _in_centre(claim: CastledClaim, board: chess.Board, color: chess.Color) -> Ruling:
    where = _king(board, color)
    if in_centre(board, color):
        return holds(why("castled.king_on", **where))
    if any(who is color for who, _ in claim.done):
        return fails(why("castled.king_castled", **where))
    return undecided(why("castled.king_on", **where))


def _king(board: chess.Board, color: chess.Color) -> dict[str, Value]:
    """A king as evidence places it: ``white king on e1``."""
    king = board.king(color)
    return {"side": color_term(color), "square": chess.square_name(king) if king is not None else "-"}


CASTLED = ClaimKind(Kind.KING, finder("castled", _build), decide)

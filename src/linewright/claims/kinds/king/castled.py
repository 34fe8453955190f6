"""Claims that a side has castled, or that a king still stands in the centre."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.castling import looks_castled
from linewright.board.king_safety import in_centre
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import BOTH, Reach, Ruling, Side, color_name, for_side, holds, negated, ruled, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import party, resolved
from linewright.claims.sentence.words import Sentence

_WHO = r"(?P<who>white|black|we|i|he|they|both(?: sides| players| kings)?|neither(?: side| player| king)?|nobody"
_WHO += r"|white's|black's|we've|i've|he's|they've|everybody)"
_CASTLED = re.compile(
    rf"\b{_WHO} (?:has |have |is |are |hasn't |haven't |isn't |has not |have not |had )?(?:now |both |already |"
    rf"just |still |not |"
    r"never |even |safely |long since )*castled\b(?! (?:into|position|by hand|on opposite|to opposite|"
    r"opposite))(?: (?P<wing>kingside|"
    r"queenside|short|long))?"
)
_CENTRE = re.compile(
    r"\b(?P<who>white|black|white's|black's|our|my|his|their|both|the white|the black) kings? (?:is |are |has been |"
    r"stays |remains |"
    r"stands |sits )?(?:still |now |stuck |caught |left |stranded |not )*in the (?:centre|middle)\b(?! of)"
)
#: "They've castled on opposite sides", "with opposite-side castling".
_OPPOSITE = re.compile(
    r"\bcastled (?:on |to )?opposite (?:sides|wings)\b|\bopposite (?:side )?castling\b"
    r"|\bkings (?:are |stand |sit |now )*on (?:opposite|different) (?:sides|wings|flanks)\b"
)


@dataclass(frozen=True, slots=True)
class CastledClaim:
    """That a side has castled, or that its king stands in the centre.

    :param done: the colours that have castled along the line, with their wings (``k``, ``q``); None in ``known`` …
    :param opposite: it is said that the two sides have castled on different wings.
    :param known: … whether the line starts at the start of the game, so that it tells.
    """

    side: Side
    centre: bool = False
    wing: str = ""
    done: tuple[tuple[chess.Color, str], ...] = ()
    known: bool = True
    denied: bool = False
    opposite: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[CastledClaim]]:
    """The claims of a sentence that a side has castled or has its king in the centre."""
    for match in _OPPOSITE.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        said_as = mood(scene, sentence, clause, trigger)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        done, known = castlings(scene, step)
        yield Found(CastledClaim(BOTH, False, "", done, known, said_as.negated, True), *clause, step, said_as)
    for pattern in (_CASTLED, _CENTRE):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            said_as = mood(scene, sentence, clause, trigger)
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            who = match["who"].removeprefix("the ").split()[0]
            nobody = who in ("neither", "nobody")
            if who in ("both", "neither", "nobody", "everybody"):
                side = BOTH
            else:
                named = party(who)
                if named is None:
                    continue
                side = resolved(scene, sentence, trigger[0], named)
            denied = nobody or bool(re.search(r"n't\b|\bnot\b|\bnever\b", match[0]))
            wing = {"kingside": "k", "short": "k", "queenside": "q", "long": "q"}.get(
                match.groupdict().get("wing") or "", ""
            )
            done, known = castlings(scene, step)
            yield Found(CastledClaim(side, pattern is _CENTRE, wing, done, known, denied), *clause, step, said_as)


def castlings(scene: Scene, steps: int) -> tuple[tuple[tuple[chess.Color, str], ...], bool]:
    """Who has castled where along the line to the board after ``steps`` steps, and whether the line tells all."""
    board = chess.Board(scene.walk.start)
    whole = board.fen() == chess.STARTING_FEN
    done = []
    for node in scene.walk.line(scene.walk.node_after(steps)):
        move = chess.Move.from_uci(scene.walk.nodes[node].uci)
        if board.is_castling(move):
            done.append((board.turn, "k" if board.is_kingside_castling(move) else "q"))
        board.push(move)
    return tuple(done), whole


def decide(claim: CastledClaim, facts: Facts) -> Ruling:
    """Castled: by the line's moves. In the centre: as ``board/king_safety.py`` has it; else by how it looks."""
    if claim.opposite:
        ruling = _opposite(claim)
        return negated(ruling) if claim.denied else ruling
    rule = _in_centre if claim.centre else _castled

    def one(color: chess.Color) -> Ruling:
        ruling = rule(claim, facts.board, color)
        return negated(ruling) if claim.denied else ruling

    if claim.side.reach is Reach.UNCLEAR:
        return undecided(f"{for_side(claim.side, one).evidence}")
    return for_side(claim.side, one)


def _opposite(claim: CastledClaim) -> Ruling:
    """Different wings; while only one side has castled the words may look ahead."""
    told = ", ".join(f"{color_name(c)} {'kingside' if wing == 'k' else 'queenside'}" for c, wing in claim.done)
    if len(claim.done) < 2:
        return undecided(f"castled so far: {told or 'nobody'}")
    return ruled(claim.done[0][1] != claim.done[1][1], f"castled: {told}")


def _castled(claim: CastledClaim, board: chess.Board, color: chess.Color) -> Ruling:
    wings = [wing for who, wing in claim.done if who is color]
    king = board.king(color)
    where = chess.square_name(king) if king is not None else "no square"
    if not claim.known:
        looks = looks_castled(board, color)
        told = f"{color_name(color)} king on {where}: it looks {'castled' if looks else 'uncastled'}"
        return holds(told) if looks and not claim.wing else undecided(told)
    if not wings:
        return ruled(False, f"{color_name(color)} has not castled, king on {where}")
    told = f"{color_name(color)} has castled {'kingside' if wings[0] == 'k' else 'queenside'}"
    return ruled(claim.wing in ("", wings[0]), told)


def _in_centre(claim: CastledClaim, board: chess.Board, color: chess.Color) -> Ruling:
    king = board.king(color)
    told = f"{color_name(color)} king on {chess.square_name(king) if king is not None else '-'}"
    if in_centre(board, color):
        return holds(told)
    castled = any(who is color for who, _ in claim.done)
    return ruled(False, f"{told}, castled") if castled else undecided(told)


CASTLED = ClaimKind(Kind.KING, find, decide)

"""Claims about material: pawns and pieces up or down, the exchange, level material, the two bishops."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.board.material import balance, bishop_pair, material, opposite_bishops
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import (
    Ruling,
    Side,
    color_name,
    fails,
    for_side,
    holds,
    negated,
    ruled,
    undecided,
)
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import party, resolved, side_of
from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import number
from linewright.language.patterns import either, listed, phrase


class Unit(StrEnum):
    PAWN = "pawn"
    PIECE = "piece"
    EXCHANGE = "exchange"
    ROOK = "rook"
    QUEEN = "queen"


@dataclass(frozen=True, slots=True)
class Ahead:
    """That a side is so much ahead of the other: each unit with its number, negative when behind."""

    side: Side
    amounts: tuple[tuple[Unit, int], ...]
    denied: bool = False


@dataclass(frozen=True, slots=True)
class Level:
    """That material is level."""

    denied: bool = False


@dataclass(frozen=True, slots=True)
class Bishops:
    """That a side has the two bishops (the other has not), or, ``opposite``, that the bishops are opposite."""

    side: Side
    opposite: bool = False
    denied: bool = False


@dataclass(frozen=True, slots=True)
class Queens:
    """That the queens have gone; ``denied``, that they are still there."""

    denied: bool = False


@dataclass(frozen=True, slots=True)
class Gone:
    """That the bishops of one colour of square have gone, both of them."""

    light: bool
    denied: bool = False


@dataclass(frozen=True, slots=True)
class Pawns:
    """That each side has so many pawns."""

    count: int
    denied: bool = False


MaterialClaim = Ahead | Level | Bishops | Queens | Gone | Pawns

_COUNT = either(
    listed("a an one the two three four five 2 3 4 5"),
    f"an? {listed('clear whole full solid good healthy extra clean')}",
)
_THING = either("pawns?", listed("piece pieces exchange quality rook queen knight bishop"), "minor piece")
_AMOUNT = rf"{_COUNT} {_THING}(?: (?:and|in) {_COUNT} {_THING})?"
#: "We're a pawn now" is how a recogniser hears "a pawn down".
_UP = "up|ahead|to the good|more|down|behind|short|light|less|to the bad|now(?=$| for| and| but)"
_AHEAD = re.compile(
    rf"\b(?P<amount1>{_AMOUNT}) (?P<way1>{_UP})\b"
    rf"|^(?P<amount5>{_THING}(?: and {_COUNT} {_THING})?) (?P<way5>up|down|ahead|behind)\b"
    rf"|\b(?P<way2>up|down) (?P<amount2>{_AMOUNT})\b"
    rf"|\b(?P<done>won|lost|picked up|pocketed|dropped) (?P<amount4>an? (?:\w+ )?(?:pawn|piece)|the exchange|(?:two|"
    rf"three|four) pawns)"
    r"\b(?! back| (?:move|structure|chain|ending|race|majority|up|for)s?\b)"
    rf"|\b(?P<amount3>(?:an|one|two|the) extra {_THING})\b"
    r"|\b(?P<pawns>one|two|three|four|1|2|3|4) pawns for (?:the|a) (?P<piece>piece|bishop|knight|exchange|rook)\b"
    r"|\ba pawn for the (?P<piece2>exchange)\b"
    r"|\ba (?P<piece3>piece|bishop|knight|rook) for (?P<pawns3>a|one|two|three|four) pawns?\b"
)
_LEVEL = phrase(
    r"(?:material(?:'s)?|the material (?:balance|count)|the pieces and pawns)(?: \w+){0,4}? "
    r"(?:level|equal|even|balanced|the same|in balance)",
    f"{listed('equal level even')} material",
    "nobody (?:is|has won|has lost) (?:a pawn|material)",
)
_BISHOPS = re.compile(
    r"\b(?P<pair>(?:the )?two bishops|the bishops|(?:the |a )?bishops? pair|(?:the )?pair of bishops|both bishops)\b"
    r"(?! (?:are|is|on|have|point|of|to|off|come))"
    r"|\b(?P<opposite>opposite(?: colour(?:ed)?)? bishops?(?: ending| endgame)?|"
    r"bishops (?:are )?of (?:the )?opposite colours?)\b"
)
#: "White has given up the bishop pair": it is gone.
_GIVEN_UP = re.compile(
    r"\b(?:given up|gives? up|gave up|giving up|lost|loses|lacks?|without|part(?:ed|s) with|surrender(?:ed|s)|"
    r"conced(?:ed|es)|"
    r"taken|takes|killed|broken|breaks|removed|against)(?: \w+)?$"
)
_ON_A_WING = re.compile(r" (?:on (?:the |his |our |my )?)?(?:queenside|kingside)\b")
_SMALL = listed("one two three four five six seven eight 1 2 3 4 5 6 7 8")
_EACH = re.compile(
    rf"\b(?P<count1>{_SMALL}) pawns each\b|\b(?:each(?: side| player)?|both(?: sides| players)?|we each|"
    rf"they each) (?:still )?"
    rf"(?:has|have|got|have got|has got) (?:still )?(?P<count2>{_SMALL}) pawns\b(?! (?:on|against))"
)
_QUEENS = re.compile(
    r"\b(?:(?:the |both )?queens (?:are |have )?(?:now |already |long )*(?:been )?(?:off(?: the board)?|gone|"
    r"exchanged|swapped|traded)"
    r"(?! off if)|(?:no|without) queens(?: on the board)?|(?P<on>(?:the |both )?queens (?:are |stay |remain |"
    r"still )+on(?: the board)?"
    r"(?! [a-h][1-8]))|queenless (?:middlegame|position|ending|endgame))\b"
)
_GONE = re.compile(
    r"\b(?P<light>light|white|dark|black)(?: squared?)? bishops (?:are |have |were )?"
    r"(?:now |already |long |both )*(?:been )?(?:off(?: the board)?|gone|exchanged|swapped|traded)\b"
)
_OWNS = phrase(
    listed(
        "has have had having got get gets keep keeps with left leaves gives gave enjoys owns possesses we've i've "
        "they've"
    ),
    listed("you've he's white's black's hold holds retain retains obtain obtains"),
)
#: "Puts a pawn up the board": movement, not material.
_MOVING = re.compile(
    r"\b(?:put|push|move|bring|throw|march|send|tak|win|mov|tear|sacrific)(?:s|es|e|ting|ing|ning)?(?: \w+){0,2}$"
)
#: What stands right before an amount that somebody is ahead by ("where" is a misheard "we're").
_IS_OR_HAS = re.compile(
    rf"(?:\b{listed('is are am has have got with stays remains being gets still now just where')}"
    rf"|\b{listed('clearly simply effectively actually')}"
    r"|n't|\b(?:not|already|even|only|comes out|ends? up)|'s|'re|'m|'ve)$"
)


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[MaterialClaim]]:
    """The material claims of a sentence."""
    for pattern, make in (
        (_AHEAD, _ahead),
        (_LEVEL, _level),
        (_BISHOPS, _bishops),
        (_QUEENS, _queens),
        (_GONE, _gone),
        (_EACH, _each),
    ):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
            said_as = mood(scene, sentence, clause, trigger)
            denied = said_as.negated or bool(re.search(r"\bnot\b|n't\b|no longer", match[0]))
            about = make(match, side_of(scene, sentence, clause, trigger), denied, before)
            if about is None:
                continue
            if match.groupdict().get("done"):
                # "White has won a pawn", but not "white won a pawn" in some other game.
                if not _HAS.search(before):
                    continue
            elif isinstance(about, Ahead) and not _owned(before):
                about = _owner_elsewhere(about, sentence, scene, clause, trigger)
                if about is None:
                    continue
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            yield Found(about, *clause, step, said_as)


#: What makes "won a pawn" a claim of the board.
_HAS = re.compile(r"\b(?:has|have|[a-z]+'ve|[a-z]+'s)(?: just| already| now| simply| actually| even)*$")


def _owned(before: str) -> bool:
    """Whether a verb of being or having leads up to the amount."""
    return bool(_IS_OR_HAS.search(before))


def _owner_elsewhere(
    about: Ahead, sentence: Sentence, scene: Scene, clause: tuple[int, int], trigger: tuple[int, int]
) -> Ahead | None:
    """ "White, a pawn up, …", "a pawn up for black": an owner right beside the amount; else no claim."""
    before = sentence.tokens[trigger[0] - 1] if trigger[0] else None
    if before is not None and (who := party(before.text)):
        return Ahead(resolved(scene, sentence, trigger[0] - 1, who), about.amounts, about.denied)
    if trigger[0] == clause[0] and scene.side is not None and _is_fragment(sentence, trigger):
        return Ahead(Side.of(scene.side), about.amounts, about.denied)
    tail = " ".join(token.text for token in sentence.tokens[trigger[1] : trigger[1] + 2])
    if re.match(r"for (?:white|black|us|me|him)\b", tail):
        return about
    return None


def _is_fragment(sentence: Sentence, trigger: tuple[int, int]) -> bool:
    """ "Pawn down, yep.", "Exchange and a pawn up": the speaker tells of himself without a verb."""
    last = sentence.tokens[trigger[1] - 1]
    return bool(last.after.strength and last.text in ("up", "down", "ahead", "behind")) and (
        not trigger[0] or bool(sentence.tokens[trigger[0] - 1].after.strength)
    )


def _ahead(match: re.Match[str], side: Side, denied: bool, before: str) -> MaterialClaim | None:
    groups = {re.sub(r"\d$", "", key): value for key, value in match.groupdict().items() if value}
    if _MOVING.search(before) or _ON_A_WING.match(match.string, match.end()):
        return None  # "An extra pawn on the kingside" is a majority there.
    if "piece" in groups:
        other = {"exchange": Unit.EXCHANGE, "rook": Unit.ROOK}.get(groups["piece"], Unit.PIECE)
        sign = -1 if match.groupdict()["piece3"] else 1
        return Ahead(side, ((Unit.PAWN, sign * (number(groups.get("pawns", "one")) or 1)), (other, -sign)), denied)
    way = groups.get("way", "up")
    if groups.get("done") in ("lost", "dropped"):
        way = "down"
    sign = -1 if way in ("down", "behind", "short", "light", "less", "to the bad", "now") else 1
    amounts = []
    for part in groups["amount"].replace(" in ", " and ").split(" and "):
        *count, thing = part.replace("clear ", "").replace("whole ", "").split()
        unit = _unit(thing)
        if unit is None:
            return None
        amounts.append((unit, sign * ((number(count[0]) if count else 1) or 1)))
    if way == "now" and amounts[0][0] is not Unit.PAWN:
        return None
    return Ahead(side, tuple(amounts), denied)


def _unit(thing: str) -> Unit | None:
    if thing.startswith("pawn"):
        return Unit.PAWN
    if thing in ("exchange", "quality"):
        return Unit.EXCHANGE
    if thing in ("piece", "pieces", "knight", "bishop"):
        return Unit.PIECE
    return {"rook": Unit.ROOK, "queen": Unit.QUEEN}.get(thing)


def _level(match: re.Match[str], side: Side, denied: bool, before: str) -> MaterialClaim | None:
    return Level(denied)


def _each(match: re.Match[str], side: Side, denied: bool, before: str) -> MaterialClaim | None:
    return Pawns(number(match["count1"] or match["count2"]) or 0, denied)


def _queens(match: re.Match[str], side: Side, denied: bool, before: str) -> MaterialClaim | None:
    return Queens(denied != bool(match["on"]))


def _gone(match: re.Match[str], side: Side, denied: bool, before: str) -> MaterialClaim | None:
    return Gone(match["light"] in ("light", "white"), denied)


def _bishops(match: re.Match[str], side: Side, denied: bool, before: str) -> MaterialClaim | None:
    if match["opposite"]:
        return Bishops(side, True, denied)
    if _GIVEN_UP.search(before):
        return Bishops(side, False, not denied) if side.reach.name != "ANY" else None
    return Bishops(side, False, denied) if _OWNS.search(before) and side.reach.name != "ANY" else None


def decide(claim: MaterialClaim, facts: Facts) -> Ruling:
    """Count the pieces."""
    board = facts.board
    if isinstance(claim, Level):
        ruling = _decide_level(board)
    elif isinstance(claim, Pawns):
        white, black = material(board, chess.WHITE).pawns, material(board, chess.BLACK).pawns
        ruling = ruled(white == black == claim.count, f"{_plural(white, 'pawn')} against {_plural(black, 'pawn')}")
    elif isinstance(claim, Queens):
        places = " ".join(map(chess.square_name, chess.scan_forward(board.queens)))
        one = bool(board.queens) and not (
            board.queens & board.occupied_co[True] and board.queens & board.occupied_co[False]
        )
        if one:
            return undecided(f"only one side has a queen: {places}")
        ruling = ruled(not board.queens, f"queens on {places}" if places else "no queens on the board")
    elif isinstance(claim, Gone):
        kind = "light" if claim.light else "dark"
        left = chess.SquareSet(board.bishops & (chess.BB_LIGHT_SQUARES if claim.light else chess.BB_DARK_SQUARES))
        places = " ".join(map(chess.square_name, left))
        ruling = ruled(not left, f"{kind}-squared bishops on {places}" if left else f"no {kind}-squared bishops left")
    elif isinstance(claim, Bishops):
        ruling = _decide_bishops(claim, board)
    else:
        ruling = for_side(claim.side, lambda color: _decide_ahead(claim, board, color))
    return negated(ruling) if claim.denied else ruling


def _decide_ahead(claim: Ahead, board: chess.Board, color: chess.Color) -> Ruling:
    """Exactly the amounts said: holds. Nothing like it: fails. The amount said with more beside it: undecided."""
    has = balance(board, color)
    told = told_balance(board, color)
    wanted = {"queens": 0, "rooks": 0, "minors": 0, "pawns": 0}
    for unit, count in claim.amounts:
        if unit is Unit.EXCHANGE:
            wanted["rooks"] += count
            wanted["minors"] -= count
        else:
            name = {Unit.PAWN: "pawns", Unit.PIECE: "minors", Unit.ROOK: "rooks", Unit.QUEEN: "queens"}[unit]
            wanted[name] += count
    got = {"queens": has.queens, "rooks": has.rooks, "minors": has.minors, "pawns": has.pawns}
    if got == wanted:
        return holds(told)
    pieces_agree = all(got[name] == wanted[name] for name in ("queens", "rooks", "minors"))
    if pieces_agree and not any(unit is Unit.PAWN for unit, _ in claim.amounts):
        return holds(told)
    points = 9 * wanted["queens"] + 5 * wanted["rooks"] + 3 * wanted["minors"] + wanted["pawns"]
    if has.points == points or (not pieces_agree and got["pawns"] == wanted["pawns"] and wanted["pawns"]):
        return undecided(told)
    return fails(told)


def _decide_level(board: chess.Board) -> Ruling:
    has = balance(board, chess.WHITE)
    told = told_balance(board, chess.WHITE)
    if (has.queens, has.rooks, has.minors, has.pawns) == (0, 0, 0, 0):
        return holds(told)
    return undecided(f"{told}: level only by the usual point count") if has.points == 0 else fails(told)


def _decide_bishops(claim: Bishops, board: chess.Board) -> Ruling:
    if claim.opposite:
        names = {
            c: " ".join(chess.square_name(s) for s in board.pieces(chess.BISHOP, c)) or "none" for c in (True, False)
        }
        return ruled(opposite_bishops(board), f"bishops: white {names[True]}, black {names[False]}")
    return for_side(claim.side, lambda color: _decide_pair(board, color))


def _decide_pair(board: chess.Board, color: chess.Color) -> Ruling:
    told = ", ".join(f"{color_name(c)} has {_pieces(board, c)}" for c in (color, not color))
    if not bishop_pair(board, color):
        return fails(told)
    return undecided(f"{told}: both have two bishops") if bishop_pair(board, not color) else holds(told)


def _pieces(board: chess.Board, color: chess.Color) -> str:
    has = material(board, color)
    return f"{_plural(has.bishops, 'bishop')} and {_plural(has.knights, 'knight')}"


def _plural(count: int, thing: str) -> str:
    return f"{count or 'no'} {thing}{'' if count == 1 else 's'}"


def told_balance(board: chess.Board, color: chess.Color) -> str:
    """E.g. "white has a pawn more: 7 pawns against 6", "pieces and pawns are level"."""
    has = balance(board, color)
    parts = [
        f"{_plural(abs(count), thing)} {'more' if count > 0 else 'less'}"
        for count, thing in (
            (has.queens, "queen"),
            (has.rooks, "rook"),
            (has.minors, "minor piece"),
            (has.pawns, "pawn"),
        )
        if count
    ]
    own, other = material(board, color), material(board, not color)
    if not parts:
        return f"pieces and pawns are level ({_plural(own.pawns, 'pawn')} each)"
    return f"{color_name(color)} has {', '.join(parts)} (pawns {own.pawns} against {other.pawns})"


MATERIAL = ClaimKind(Kind.MATERIAL, find, decide)

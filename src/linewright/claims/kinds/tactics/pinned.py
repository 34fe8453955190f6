"""Claims that a man is pinned."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.tactics.attacks import Pin, men, pins
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import mood_of
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, color_name, fails, holds, negated, undecided
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import listed

_KINDS = {name: kind for kind, name in enumerate(chess.PIECE_NAMES) if name}
_MAN = listed("pawn knight bishop rook queen")
_WHOSE = listed("the a his her its our my their your own white's black's")
_BEHIND = rf"(?: (?:to|against|on) (?:{_WHOSE} )*(?P<behind>{listed('king queen rook bishop')}))?"
_PINNED = re.compile(
    rf"\b(?:(?P<file>[a-h]) )?(?P<man>{_MAN})(?:'s)?(?: (?:on )?(?P<square>[a-h][1-8]))? ?"
    r"(?:is |are |has been |gets |remains )?(?P<denied>not |no longer |isn't |aren't |never )?(?:now |still |also |"
    r"already |thereby |thus |awkwardly |firmly |badly |annoyingly |absolutely |well and truly )*"
    rf"(?:pinned(?: down)?|(?:stuck |caught )?in an? (?:\w+ )?pin|in pin){_BEHIND}\b"
)
#: "The bishop pins the knight (to the king)", "pinning it" names no man and is left.
_PINS = re.compile(
    rf"\b(?:pins|pinning) (?:down )?(?:{_WHOSE} )?(?:(?P<file>[a-h]) )?(?P<man>{_MAN})(?: on (?P<square>[a-h][1-8]))?"
    rf"(?P<denied>){_BEHIND}(?! and)"
)


@dataclass(frozen=True, slots=True)
class PinClaim:
    """That a man is pinned.

    :param man: its kind.
    :param square: where it stands, when said.
    :param file: the file it stands on, when said ("the c pawn").
    :param behind: the kind of the man it is pinned to, when said.
    :param denied: it is said not to be pinned.
    """

    man: chess.PieceType
    square: chess.Square | None = None
    file: int | None = None
    behind: chess.PieceType | None = None
    denied: bool = False

    def names(self, board: chess.Board, square: chess.Square) -> bool:
        """Whether the claim may speak of the man on that square."""
        return (
            board.piece_type_at(square) == self.man
            and self.square in (None, square)
            and self.file in (None, chess.square_file(square))
        )


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[PinClaim]]:
    """The claims of a sentence that a man is pinned."""
    for match in (*_PINNED.finditer(sentence.text), *_PINS.finditer(sentence.text)):
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        said_as = mood_of(scene, sentence, clause, trigger, step)
        square, file, behind = match["square"], match["file"], match["behind"]
        about = PinClaim(
            _KINDS[match["man"]],
            chess.parse_square(square) if square else None,
            chess.FILE_NAMES.index(file) if file else None,
            _KINDS[behind] if behind else None,
            said_as.negated != bool(match["denied"]),
        )
        yield Found(about, *clause, step, said_as)


def decide(claim: PinClaim, facts: Facts) -> Ruling:
    """Look for the pin (:func:`linewright.board.tactics.attacks.pins`).

    It fails only where no man of the named kind and place is so much as attacked along a line: trainers also call
    pinned what stands before a mere square or a man worth no more, which the rule doesn't count.
    """
    ruling = _seen(claim, facts.board)
    return negated(ruling) if claim.denied else ruling


def _seen(claim: PinClaim, board: chess.Board) -> Ruling:
    meant = [pin for color in chess.COLORS for pin in pins(board, color) if claim.names(board, pin.front)]
    fitting = [pin for pin in meant if claim.behind in (None, board.piece_type_at(pin.behind))]
    if fitting:
        return holds("; ".join(_told(board, pin) for pin in fitting))
    if meant:
        return undecided("; ".join(_told(board, pin) for pin in meant))
    named = [square for color in chess.COLORS for square in men(board, color) if claim.names(board, square)]
    man = chess.piece_name(claim.man)
    if not named:
        return undecided(f"no such {man} on the board at this moment")
    places = ", ".join(chess.square_name(square) for square in named)
    if claim.behind is not None and not any(_before(board, square, claim.behind) for square in named):
        return fails(f"{man} on {places}: on no line before the {chess.piece_name(claim.behind)}")
    if any(_on_a_line(board, square) for square in named):
        return undecided(f"{man} on {places}: attacked along a line, but nothing dearer stands behind it")
    return fails(f"{man} on {places}: no bishop, rook or queen attacks it")


def _on_a_line(board: chess.Board, square: chess.Square) -> bool:
    color = board.color_at(square)
    sliders = board.bishops | board.rooks | board.queens
    return color is not None and bool(board.attackers_mask(not color, square) & sliders)


def _before(board: chess.Board, square: chess.Square, behind: chess.PieceType) -> bool:
    """Whether an enemy bishop, rook or queen attacks the man and the next man on that line is of the kind, and its
    own side's."""
    color = bool(board.color_at(square))
    sliders = (board.bishops | board.rooks | board.queens) & board.attackers_mask(not color, square)
    without = board.copy(stack=False)
    without.remove_piece_at(square)
    beyond = (
        hit
        for slider in chess.scan_forward(sliders)
        for hit in without.attacks(slider) & board.pieces(behind, color)
        if chess.BB_SQUARES[square] & chess.between(slider, hit)
    )
    return next(beyond, None) is not None


def _told(board: chess.Board, pin: Pin) -> str:
    color = bool(board.color_at(pin.front))
    front, behind, attacker = (
        f"{chess.piece_name(board.piece_type_at(square) or chess.PAWN)} on {chess.square_name(square)}"
        for square in (pin.front, pin.behind, pin.attacker)
    )
    return f"the {attacker} pins {color_name(color)}'s {front} to the {behind}"


PINNED = ClaimKind(Kind.TACTIC, find, decide)

"""A phrase: a run of words that describes a move, as said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linewright.reading.phrases.move_effects import Deed


@dataclass(frozen=True, slots=True, eq=False)
class Phrase:
    """A move as it was said: what is left open may be anything. Compared by identity: it is one place in a talk.

    :param first: index of the first token.
    :param last: index after the last token.
    :param kind: the pattern: ``piece square to takes castles check agent san``, or for plain words ``plain
        mover`` (the piece that moves is said), ``plain brought`` (as an object), ``plain it``, ``plain side``.
    :param piece: ``"N"`` … ``"P"``, or ``""`` when not said.
    :param to: square name, or ``""``.
    :param from_file: file letter, or ``""``.
    :param from_rank: rank digit, or ``""``.
    :param takes: a capture was said.
    :param victim: the piece said to be taken, or ``""``.
    :param castles: ``"K"``, ``"Q"``, ``"?"`` (castling, side not said), or ``""``.
    :param number: the move number written with it and whether it is White's move.
    :param cost: how far the words are from a plain statement of the move, in nats.
    :param past: said in the past tense: it names a position, unless the talk gives its moves so.
    :param on: a square with "on" before it ("a knight on d5"): a place rather than a move.
    :param put: a verb of putting stands before it ("puts a rook on c1").
    :param other: "the other knight".
    :param deed: what the move does, when it is described in plain words.
    """

    first: int
    last: int
    kind: str
    piece: str = ""
    to: str = ""
    from_file: str = ""
    from_rank: str = ""
    takes: bool = False
    victim: str = ""
    castles: str = ""
    promotion: str = ""
    check: bool = False
    mate: bool = False
    number: tuple[int, bool] | None = None
    nag: int | None = None
    cost: float = 0.0
    past: bool = False
    on: bool = False
    put: bool = False
    other: bool = False
    written: bool = False
    deed: Deed | None = None

    @property
    def named(self) -> str:
        """Piece and square in short, e.g. ``Nf3``, ``d4``, ``x``; for messages."""
        origin = self.from_file + self.from_rank
        piece = "" if self.piece == "P" else self.piece
        if self.castles:
            return "castling"
        return f"{piece}{origin}{'x' if self.takes else ''}{self.to}" or "a check"


def chief(phrases: Sequence[Phrase]) -> Phrase:
    """The phrase that best accounts for the words from a token on: long, but not far-fetched."""
    return min(phrases, key=lambda p: p.cost - (p.last - p.first))

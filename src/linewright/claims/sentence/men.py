"""Men named in a claim ("his knight on c3", "the e pawn", "a piece"), matched to the squares of a position."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import chess

from linewright.claims.sentence.named_moves import piece_kinds
from linewright.claims.sentence.owners import party, resolved
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import Evidence, ManOn, Men, Term, why
from linewright.language.wordings import Heard

KINDS: Final = {name: kind for kind, name in enumerate(chess.PIECE_NAMES) if name}
_ANY_PIECE: Final = (chess.KNIGHT, chess.BISHOP, chess.ROOK, chess.QUEEN)


@dataclass(frozen=True, slots=True)
class Man:
    """A man as it was named.

    :param kind: None for "a piece".
    :param square: where it stands, when said.
    :param file: the file it stands on, when said.
    :param color: whose it is, when that is known.
    """

    kind: chess.PieceType | None = None
    square: chess.Square | None = None
    file: int | None = None
    color: chess.Color | None = None

    def squares(self, board: chess.Board) -> tuple[chess.Square, ...]:
        """The men on the board that may be meant."""
        return tuple(square for square in chess.scan_forward(board.occupied) if self._fits(board, square))

    def _fits(self, board: chess.Board, square: chess.Square) -> bool:
        kind = board.piece_type_at(square)
        return (
            (kind == self.kind if self.kind else kind in _ANY_PIECE)
            and self.square in (None, square)
            and self.file in (None, chess.square_file(square))
            and self.color in (None, board.color_at(square))
        )

    def term(self) -> Evidence:
        """The man as evidence names it: ``knight on c3``, ``piece``."""
        name = Term(chess.piece_name(self.kind) if self.kind else "piece")
        if self.square is None:
            return why("terms.term", term=name)
        return why("terms.man_on", man=name, square=chess.square_name(self.square))

    def __str__(self) -> str:
        name = chess.piece_name(self.kind) if self.kind else "piece"
        return f"{name} on {chess.square_name(self.square)}" if self.square is not None else name


def kind_named(word: str, code: str) -> chess.PieceType | None:
    """The kind of man that a word of a language names, or a template's value by its English name; None for "piece"."""
    return KINDS.get(word) or piece_kinds(code).get(word)


def man_of(heard: Heard, prefix: str, scene: Scene, sentence: Sentence) -> Man:
    """The man that ``{man}`` of a template has caught."""
    where = heard.value(f"{prefix}at") or heard.value(f"{prefix}on")
    file = heard.value(f"{prefix}file")
    at = sentence.token_range(*heard.span(f"{prefix}man"))[0]
    return Man(
        kind_named(heard.value(f"{prefix}man"), scene.language),
        chess.parse_square(where) if where else None,
        chess.FILE_NAMES.index(file) if file else None,
        color_of(heard.value(f"{prefix}who"), at, scene, sentence),
    )


def color_of(word: str, at: int, scene: Scene, sentence: Sentence) -> chess.Color | None:
    """The colour that an owner's word names ("his"), or None."""
    who = party(word, scene.language) if word else None
    return resolved(scene, sentence, at, who).color if who else None


def man_on(board: chess.Board, square: chess.Square) -> ManOn:
    """The man on a square as evidence names it; the bare square when it is empty."""
    kind = board.piece_type_at(square)
    return ManOn(chess.piece_name(kind) if kind else "", chess.square_name(square))


def man_standing_on(board: chess.Board, square: chess.Square) -> Evidence:
    """The man on a square as evidence names it at length: ``knight on c3``."""
    return Man(board.piece_type_at(square), square).term()


def men_on(board: chess.Board, squares: Iterable[chess.Square]) -> Men:
    """The men on squares as evidence names them."""
    return Men(tuple(man_on(board, square) for square in squares))

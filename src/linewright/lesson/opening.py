"""Opening names and ECO codes, from the offline catalogue of ``ocn-chess`` (data CC BY 4.0)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import chess
from ocn import Catalog, Row, fen_key

from linewright.lesson.walk import Opening, Walk

#: Abbreviations in the catalogue's names.
SPELT = {
    "BDG": "Blackmar-Diemer Gambit",
    "KIA": "King's Indian Attack",
    "KID": "King's Indian",
    "QGA": "Queen's Gambit Accepted",
    "QGD": "Queen's Gambit Declined",
    "QID": "Queen's Indian",
}

#: Codes of entries (by the catalogue's own keys) whose range in version 1.2.1 also holds codes of other move
#: orders: D70-D79 are the Grünfeld without 3.Nc3, D90 begins with 4.Nf3 (common practice).
CORRECTED = {"E.Gru": "D80", "E.Gru.Thr": "D90"}


def name_opening(walk: Walk) -> Opening | None:
    """Name and ECO code of the deepest catalogued position on the walk's first line.

    The first line follows each node's first child, i.e. what was said first. None when the catalogue knows
    none of its positions.
    """
    line = [0]
    while children := walk.nodes[line[-1]].children:
        line.append(children[0])
    found = (opening_at(walk.nodes[node].fen) for node in reversed(line))
    return next((opening for opening in found if opening), None)


def lesson_opening(walk: Walk) -> Opening | None:
    """The opening that a walk was read with, else the one that its first line reaches."""
    return walk.opening or name_opening(walk)


def names_by_node(walk: Walk) -> list[str]:
    """For each node the opening (:attr:`Opening.text`) that its line has reached so far, ``""`` for none."""
    names: list[str] = []
    for node in walk.nodes:
        opening = opening_at(node.fen)
        inherited = names[node.parent] if node.parent is not None else ""
        names.append(opening.text if opening else inherited)
    return names


def opening_at(fen: str) -> Opening | None:
    """Name and ECO code of exactly this position, however it was reached.

    None for a position that the catalogue does not hold, and for a FEN that it cannot read.
    """
    try:
        rows = catalogue().by_fen_key(fen_key(fen))
    except ValueError:
        return None
    coded = [(row, code) for row in rows if (code := eco_code(row))]
    if not coded:
        return None
    # Several names for one position: the catalogue marks all but one as transposing to another entry.
    row, code = min(coded, key=lambda pair: pair[0].transposes_to is not None)
    return Opening(code, full_name(row))


@dataclass(frozen=True, slots=True)
class OtherRoad:
    """The move order by which the catalogue reaches a position.

    :param opening: the family that the position belongs to, with the position's code.
    :param moves: the catalogue's moves to it as UCI, from the start position.
    """

    opening: Opening
    moves: tuple[str, ...]


def transposed_to(fens: Sequence[str], moves: Sequence[str]) -> OtherRoad | None:
    """The opening into which the last move of a line transposes: one that the line has touched nowhere before, and
    to which the catalogue comes by other moves, the last one from another position. None where nothing of the kind
    happens.

    :param fens: the line's positions, from the start position on; one more than moves.
    :param moves: its moves as UCI, at least one.
    """
    row = _row_at(fens[-1])
    if row is None or row.moves_uci == tuple(moves) or not row.moves_uci:
        return None
    family = _family(row)
    if family is None or any(_family(other) == family for other in map(_row_at, fens[:-1]) if other is not None):
        return None
    board = chess.Board()
    for uci in row.moves_uci[:-1]:
        board.push_uci(uci)
    if fen_key(board.fen()) == fen_key(fens[-2]):
        return None
    return OtherRoad(Opening(eco_code(row), full_name(family)), row.moves_uci)


def _row_at(fen: str) -> Row | None:
    try:
        rows = catalogue().by_fen_key(fen_key(fen))
    except ValueError:
        return None
    return min(rows, key=lambda row: row.transposes_to is not None, default=None)


def _family(row: Row) -> Row | None:
    """The named opening that an entry belongs to: its oldest ancestor."""
    return next((entry for entry in (*catalogue().parents(row.ocn1), row) if entry.moves_uci), None)


def eco_code(row: Row) -> str:
    """The entry's ECO code: the lowest of its range, else its nearest named ancestor's; ``""`` without one.

    The code that begins a range stands for the position that begins it, as B90 does for B90-B99 (common
    practice).
    """
    for entry in (row, *reversed(catalogue().parents(row.ocn1))):
        if entry.ocn1 in CORRECTED:
            return CORRECTED[entry.ocn1]
        if entry.eco:
            return str(min(entry.eco))
    return ""


def full_name(row: Row) -> str:
    """The catalogue's name with its abbreviations spelt out, as a page prints it."""
    return re.sub(r"[A-Z]{3}", lambda short: SPELT.get(short[0], short[0]), row.canonical_name)


@cache
def catalogue() -> Catalog:
    """The catalogue, read once (about 0.1 s) when the first position is asked for."""
    return Catalog.load()

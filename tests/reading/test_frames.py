"""Frames: how trainers lead a move in. Whatever stands before a move, its true reading is offered and reachable."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import chess
import pytest

from tests.reading.oracle import Forced, Lost, Move, lost_moves
from tests.support import plain_talk

SHARED = Path(__file__).parents[3] / "shared" / "talks"

#: Verb and preposition before a move, with and without the side: "answers with", "shocked everybody by".
FRAMES = (
    "{side} plays {move}",
    "{side} answers with {move}",
    "{side} replies with {move}",
    "{side} goes {move}",
    "{side} goes for {move}",
    "{side} continues with {move}",
    "{side} surprises us by {move}",
    "{side} chooses {move}",
    "and now {move} by {side}",
    "{side} meets that with {move}",
    "then comes {move}",
    "I like {move}",
    "{side} puts {move}",
    "what about {move}",
    "the point is {move}",
)
#: A position, the side that follows the frame, and two moves in a row as words.
LINES = (
    (
        *("e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3 a6 Bg5 e6 f4", "b5", "Bxf6"),
        *(("b5", "b5,"), ("bishop takes", "bishop takes on f6")),
    ),
    (
        *("e4 e5", "Ne2", "Nf6"),
        *(("the knight to e2", "knight e2", "the knight from g1 to e2"), ("knight f6", "the knight to f6")),
    ),
    (
        *("e4 e5 Nf3 Nc6 d4", "exd4", "Nxd4"),
        *(("takes", "pawn takes", "e takes d4"), ("knight takes", "takes", "the knight takes back")),
    ),
    (
        *("d4 d5 c4 e6 Nc3 Nf6 cxd5", "exd5", "Bg5"),
        *(("pawn takes", "e takes d5", "takes back"), ("bishop g5", "his bishop to g5")),
    ),
    (
        *("e4 e5 Nf3 Nc6 Bc4 Bc5", "O-O", "Nf6"),
        *(("castles", "castles kingside", "castles short"), ("knight to f6", "knight f6")),
    ),
    (
        *("e4 c6 d4 d5 exd5 cxd5 c4 Nf6 Nc3 e6 Nf3 Bb4 cxd5", "Nxd5", "Bd2"),
        *(("the knight takes", "knight takes d5"), ("bishop d2",)),
    ),
)


def lost(start: chess.Board, text: str, first: tuple[str, str], then: tuple[str, str]) -> list[Lost]:
    """The moves of two phrases (SAN, words) in a text that can't be read."""
    forced = Forced(plain_talk(text))
    board, words, moves, at = start.copy(), [t.text for t in forced.tokens], [], 0
    for san, said in (first, then):
        wanted = [t.text for t in Forced(plain_talk(said)).tokens]
        at = next(i for i in range(at, len(words)) if words[i : i + len(wanted)] == wanted)
        before, move = board.fen(), board.parse_san(san)
        board.push(move)
        moves.append(Move(before, move.uci(), at, at + len(wanted), said))
        at += len(wanted)
    return forced.lost(moves)


@pytest.mark.parametrize("frame", FRAMES)
@pytest.mark.parametrize("line", LINES, ids=lambda line: line[1] if isinstance(line, tuple) else str(line))
@pytest.mark.parametrize("joint", [", ", " and ", ". Then "])
def test_the_true_reading_is_offered_and_reachable(frame: str, line: Any, joint: str) -> None:
    played, one, two, ones, twos = line
    board = chess.Board()
    for san in played.split():
        board.push_san(san)
    sides = ("White", "he") if board.turn else ("Black", "she")
    for side, words, more in itertools.product(sides, ones, twos):
        text = frame.format(side=side, move=words) + joint + more + "."
        assert not lost(board, text, (one, words), (two, more)), text


@pytest.mark.parametrize("name", ["benoni", "panov", "scotch", "slav"])
def test_the_true_walk_of_the_given_talks_can_be_read(name: str) -> None:
    path = SHARED / f"{name}.txt"
    if not path.exists():
        pytest.skip("the given talks are not here")
    missing, total = lost_moves(path)
    assert not missing, f"{len(missing)} of {total}: {missing}"

"""Games to test the base with: invented ones, made on the fly, and the PGN standard's own."""

from __future__ import annotations

import random
from pathlib import Path

import chess
import pytest
import zstandard

from tests.support import SHARED

MASTERS = SHARED / "games" / "masters.pgn.zst"
needs_masters = pytest.mark.skipif(not MASTERS.is_file(), reason="needs ../shared/games beside the project")

#: The sample game of the PGN standard (Edwards 1994, section 2.3), as it stands there.
STANDARD_SAMPLE = """\
[Event "F/S Return Match"]
[Site "Belgrade, Serbia JUG"]
[Date "1992.11.04"]
[Round "29"]
[White "Fischer, Robert J."]
[Black "Spassky, Boris V."]
[Result "1/2-1/2"]

1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. Ba4 Nf6 5. O-O Be7 6. Re1 b5 7. Bb3 d6 8. c3
O-O 9. h3 Nb8 10. d4 Nbd7 11. c4 c6 12. cxb5 axb5 13. Nc3 Bb7 14. Bg5 b4 15.
Nb1 h6 16. Bh4 c5 17. dxe5 Nxe4 18. Bxe7 Qxe7 19. exd6 Qf6 20. Nbd2 Nxd6 21.
Nc4 Nxc4 22. Bxc4 Nb6 23. Ne5 Rae8 24. Bxf7+ Rxf7 25. Nxf7 Rxe1+ 26. Qxe1 Kxf7
27. Qe3 Qg5 28. Qxg5 hxg5 29. b3 Ke6 30. a3 Kd6 31. axb4 cxb4 32. Ra5 Nd5 33.
f3 Bc8 34. Kf2 Bf5 35. Ra7 g6 36. Ra6+ Kc5 37. Ke1 Nf4 38. g3 Nxh3 39. Kd2 Kb5
40. Rd6 Kc5 41. Ra6 Nf2 42. g4 Bd3 43. Re6 1/2-1/2
"""


def pgn(moves: str, result: str = "*", **tags: str) -> str:
    """A game in PGN; ``tags`` beside the defaults of an invented game."""
    named = {"Event": "Club evening", "White": "Amber, Ada", "Black": "Birch, Bo", "Date": "2020.01.01"}
    named = {**named, "Result": result, **tags}
    lines = [f'[{name} "{value}"]' for name, value in named.items()]
    return "\n".join(lines) + f"\n\n{moves} {named['Result']}\n\n"


def moves_to(line: str) -> chess.Board:
    """The position after moves in SAN."""
    board = chess.Board()
    for san in line.split():
        board.push_san(san)
    return board


def random_game(seed: int, most: int = 120) -> list[chess.Move]:
    """A legal game of random moves that likes captures, castling, double steps and promotions."""
    chance = random.Random(seed)
    board = chess.Board()
    while len(board.move_stack) < most and not board.is_game_over():
        moves = list(board.legal_moves)
        telling = [m for m in moves if m.promotion or board.is_castling(m) or board.is_en_passant(m)]
        captures = [m for m in moves if board.is_capture(m)]
        pool = telling or (captures if captures and chance.random() < 0.3 else moves)
        board.push(chance.choice(pool))
    return list(board.move_stack)


def movetext(moves: list[chess.Move]) -> str:
    return chess.Board().variation_san(moves) if moves else ""


def first_masters(path: Path, count: int) -> Path:
    """The first games of the shared collection, as plain PGN in ``path``."""
    with MASTERS.open("rb") as packed, zstandard.ZstdDecompressor().stream_reader(packed) as stream:
        data = stream.read(count * 1000)
    games = data.split(b"\n[Event ")[:count]
    assert len(games) == count
    path.write_bytes(b"\n[Event ".join(games) + b"\n")
    return path

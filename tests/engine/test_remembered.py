"""Signs from remembered verdicts."""

from __future__ import annotations

from pathlib import Path

import chess

from linewright.engine import EngineVerdict, Line, Score, VerdictMemory
from linewright.engine.remembered_signs import remembered_signs


def test_signs_are_remembered_by_position_and_looking_makes_no_file(tmp_path: Path) -> None:
    path = tmp_path / "verdicts.sqlite"
    with remembered_signs(path) as signs:
        assert signs is None
    assert not path.exists()
    board = chess.Board()
    with VerdictMemory.open(path) as memory:
        memory.remember(
            EngineVerdict(board.epd(), (Line(Score(centipawns=450), None, ("e2e4",)),), "Scripted", 1000, 9), 32, 1
        )
    with remembered_signs(path) as signs:
        assert signs is not None
        assert signs.sign(board.fen()) == "+−"
        board.push_san("e4")
        assert signs.sign(board.fen()) is None

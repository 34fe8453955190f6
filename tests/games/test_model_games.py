"""Games worth showing: the formula's parts against what one counts on the board."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import chess
import pytest

from linewright.games.api import GameFilter, GamesBase, add_games
from linewright.games.report.model_games import (
    DECISIVENESS,
    LEAST,
    SETTLED,
    SHORTNESS,
    STRENGTH,
    STRUCTURE,
    TYPICALITY,
)
from tests.games.games import first_masters, moves_to, needs_masters, pgn

LINE = "d4 d5 c4 e6 Nc3 Nf6"


@pytest.fixture(scope="module")
def masters(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GamesBase]:
    folder = tmp_path_factory.mktemp("models")
    add_games(folder / "b.duckdb", [first_masters(folder / "m.pgn", 1200)])
    with GamesBase.open(folder / "b.duckdb") as base:
        yield base


def pawns(board: chess.Board) -> tuple[int, int]:
    return int(board.pieces(chess.PAWN, True)), int(board.pieces(chess.PAWN, False))


@needs_masters
def test_the_parts_are_what_one_counts(masters: GamesBase) -> None:
    position = moves_to(LINE)
    models = masters.model_games(position, 500)
    assert len(models) == masters.list_games(position, "newest", 500)[0] > 30
    assert [m.merits.total for m in models] == sorted((m.merits.total for m in models), reverse=True)
    boards: dict[int, list[chess.Board]] = {}
    for model in models:
        board = chess.Board()
        boards[model.game.id] = [board.copy()]
        for packed in masters.loaded.packed.of(model.game.id):
            board.push(chess.Move(packed & 63, packed >> 6 & 63, (packed >> 12) or None))
            boards[model.game.id].append(board.copy(stack=False))
    later = [
        pawns(boards[m.game.id][m.game.reached + SETTLED])
        for m in models
        if len(boards[m.game.id]) > m.game.reached + SETTLED
    ]
    most = max(later.count(skeleton) for skeleton in later)
    commonest = {skeleton for skeleton in later if later.count(skeleton) == most}
    counted = {
        skeleton: [sum(pawns(b) == skeleton for b in boards[m.game.id][m.game.reached + 1 :]) for m in models]
        for skeleton in commonest
    }
    assert [m.stood for m in models] in counted.values()
    for model in models[:20]:
        merits = model.merits
        parts = [merits.strength, merits.decisiveness, merits.shortness, merits.structure, merits.typicality]
        assert all(0 <= part <= 1 for part in parts)
        weights = (STRENGTH, DECISIVENESS, SHORTNESS, STRUCTURE, TYPICALITY)
        assert merits.total == pytest.approx(sum(w * p for w, p in zip(weights, parts, strict=True)))
        assert (merits.decisiveness == 0) == (
            model.game.result not in ("1-0", "0-1") or model.game.plies < 2 * LEAST - 1
        )
        # typicality by hand: shares of the next moves among games that began alike
        path = [m.game.following for m in models]
        shares = []
        for depth in range(len(model.game.following)):
            alike = [p for p in path if p[:depth] == model.game.following[:depth]]
            shares.append(sum(p[: depth + 1] == model.game.following[: depth + 1] for p in alike) / len(alike))
        assert merits.typicality * 12 >= sum(shares) - 1e-9


def test_weights_make_one() -> None:
    assert pytest.approx(1) == STRENGTH + DECISIVENESS + SHORTNESS + STRUCTURE + TYPICALITY


def test_the_lessons_side_and_the_reasons(tmp_path: Path) -> None:
    shuffle = " ".join(f"{n}. Kf1 Kf8 {n + 1}. Kg1 Kg8" for n in range(10, 22, 2))
    opening = "1. e4 e5 2. Nf3 Nf6 3. Nxe5 d6 4. Nf3 Nxe4 5. d4 d5 6. Bd3 Bd6 7. O-O O-O 8. Re1 Re8 9. Nbd2 Nf6"
    games = [
        pgn(f"{opening} {shuffle}", result, White=name, WhiteElo="2600", BlackElo="2700", Round=name)
        for name, result in (("Amber, A", "1-0"), ("Cedar, C", "0-1"), ("Dogwood, D", "1/2-1/2"))
    ]
    # a board where the shuffle is legal: the rooks have left f1 and f8
    (tmp_path / "g.pgn").write_text("\n".join(games))
    assert add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"]).added == 3
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        archive = base
        position = moves_to("e4 e5 Nf3 Nf6 Nxe5 d6")
        black = archive.model_games(position, 3, side="black")
        assert [m.game.white for m in black] == ["Cedar, C", "Amber, A", "Dogwood, D"]
        white = archive.model_games(position, 2, side="white")
        assert [m.game.white for m in white] == ["Amber, A", "Cedar, C"]
        assert "players rated 2650 on average; White wins in 21 moves" in white[0].why
        assert "stood for" in white[0].why
        assert archive.model_games(moves_to("a3"), 3) == ()
        assert len(archive.model_games(position, 9, GameFilter(result="1-0"))) == 1

"""Annotated games: what is stored is the main line, whole."""

from __future__ import annotations

import random
from pathlib import Path

import chess
import chess.pgn
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.api import pack_move
from linewright.games.ingest.columns import TableColumns
from linewright.games.ingest.game_validation import MOST_PLIES, ReadGames, read_games
from linewright.games.ingest.splitting import cut
from tests.games.games import movetext, pgn, random_game

#: Comments that look like everything else; braces can't stand in them (PGN standard 5).
comments = st.one_of(
    st.sampled_from(["1-0", "0-1 ( ) ;", "[Event \"x\"]", "\n\n[Event \"x\"]\n\n1. e4 *\n", "e5", "1. d4", "% x", "%"]),
    st.text(st.characters(codec="latin-1", exclude_characters="{}\x00"), max_size=20),
)  # fmt: skip


def read_text(text: str | bytes) -> ReadGames:
    data = text.encode("latin-1") if isinstance(text, str) else text
    pieces = [read_games("g.pgn", piece) for piece in cut(iter([data]))]
    return ReadGames(
        TableColumns.joined([piece.columns for piece in pieces]),
        np.concatenate([piece.lines for piece in pieces]),
        np.concatenate([piece.prints for piece in pieces]),
        np.concatenate([piece.plies for piece in pieces]),
        np.concatenate([piece.packed for piece in pieces]),
        tuple(skipped for piece in pieces for skipped in piece.skipped),
    )


def annotate(moves: list[chess.Move], chance: random.Random, remarks: list[str]) -> str:
    """The moves with comments, nested variations, NAGs, rest-of-line comments, escaped lines and line breaks."""
    board, parts = chess.Board(), []
    for move in moves:
        number = f"{board.fullmove_number}." if board.turn else f"{board.fullmove_number}..."
        parts.append(
            chance.choice([number + " ", number, number + "\n", number + "\n\n", number + "\r"])
            + board.san(move)
            + chance.choice(["", "!", "?!"])
        )
        others = [board.san(other) for other in list(board.legal_moves)[:3]]
        board.push(move)
        for remark in remarks:
            if chance.random() < 0.15:
                parts.append(
                    chance.choice(
                        [
                            f"{{{remark}}}",
                            f"({number} {others[0]} {{{remark}}} ({number} {others[-1]} $4) 1-0)",
                            ";" + remark.replace("\n", " ").replace("\r", " ") + "\n",
                            "$1",
                            "\n%" + remark.replace("\n", " ").replace("\r", " ") + "\n",
                        ]
                    )
                )
    return " ".join(parts).replace(" \n%", "\n%")


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.integers(0, 200), st.integers(0, 10**9)), min_size=1, max_size=3),
    st.lists(comments, min_size=1, max_size=4),
)
def test_only_the_main_line_is_read_and_all_of_it(seeds: list[tuple[int, int]], remarks: list[str]) -> None:
    games = [random_game(game, 30) for game, _ in seeds]
    text = "".join(
        pgn(annotate(moves, random.Random(seed), remarks), "1-0") for moves, (_, seed) in zip(games, seeds, strict=True)
    )
    read = read_text(text)
    assert not read.skipped
    assert read.plies.tolist() == [len(moves) for moves in games]
    assert read.packed.tolist() == [pack_move(move) for moves in games for move in moves]


def test_annotation_changes_no_duplicate() -> None:
    moves = random_game(3, 40)
    plain = read_text(pgn(movetext(moves), "1-0"))
    told = read_text(pgn(annotate(moves, random.Random(4), ["so", "it goes"]), "1-0"))
    assert plain.prints.tolist() == told.prints.tolist()


def test_a_game_longer_than_any_is_left_out() -> None:
    pairs = ["Nf3 Nf6 Ng1 Ng8"] * (MOST_PLIES // 4 + 1)
    (skipped,) = read_text(pgn(" ".join(pairs))).skipped
    assert f"more than {MOST_PLIES} half-moves" in skipped.reason


@pytest.mark.parametrize(
    "moves",
    [
        "1. e4 e5\n\n2. Nf3",
        "1. e4\r\re5 2. Nf3",
        "1. e4 (1. d4\n\nd5) 1... e5 2. Nf3",
        "1. e4 {so}{so} e5 ; so\r2. Nf3",
        "1. e4\n% 1-0\ne5 2. Nf3",
        "1. e4 ) e5 2. Nf3",
    ],
)
def test_nothing_but_the_result_ends_a_game(moves: str) -> None:
    """The compiled reader alone would stop at a blank line, and at a CR in a comment, without a word."""
    read = read_text(pgn(moves))
    assert (read.plies.tolist(), read.skipped) == ([3], ())


ILLEGAL = [
    ("1. e4 e5 2. Ke2 Ke7 3. Ke4", "3.Ke4 is not legal there", "two squares"),
    ("1. e4 d6 2. Bb5+ a6", "2...a6 is not legal there", "in check"),
    ("1. Nf3 a6 2. Nc3 a5 3. Nd4 a4 4. Nb5", "4.Nb5", "ambiguous"),
    ("1. e4 e5 2. O-O", "2.O-O is not legal there", "castling through pieces"),
    ("1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. 1/2", "4.1/2 is not a move", "half a result"),
    ("1. e4 e5 2. ♘f3", "2.~~~f3", "figurines are no PGN"),
]


@pytest.mark.parametrize(("moves", "reason", "why"), ILLEGAL)
def test_what_can_not_be_played_is_quoted(moves: str, reason: str, why: str) -> None:
    read = read_text(pgn(moves).encode())
    assert not len(read), why
    assert read.skipped[0].reason.startswith(reason)
    assert read.skipped[0].line == 1


def test_the_files_own_path_is_named(tmp_path: Path) -> None:
    (piece,) = [
        read_games(str(tmp_path / "x.pgn"), piece) for piece in cut(iter([pgn("1. e5").encode()])) if len(piece)
    ]
    assert piece.skipped[0].file == str(tmp_path / "x.pgn")

from __future__ import annotations

from pathlib import Path

import chess
import pytest

from linewright.games.api import GamesBase, add_games
from linewright.hear.priming import MANNER, MOVES, NAMES, about, find, prompt
from linewright.lesson.opening import full_name
from linewright.support.errors import UnusableInput

#: Characters that the recogniser keeps of what it is told: some 220 tokens; a token of chess is 2.5 characters.
KEPT = 220 * 2.5


@pytest.mark.parametrize(
    ("name", "opening"),
    [
        # Names as trainers say them, with or without accents, signs and the word "defence"; common practice.
        ("Caro-Kann", "Caro-Kann Defence"),
        ("caro kann", "Caro-Kann Defence"),
        ("Caro-Kann, Panov", "Caro-Kann, Panov-Botvinnik Attack"),
        ("grunfeld", "Grünfeld Defence"),
        ("King's Indian", "King's Indian Defence"),
        ("kings indian attack", "King's Indian Attack"),
        ("Slav", "Slav Defence"),
        ("Semi-Slav", "Semi-Slav"),
        ("Winawer", "French, Winawer"),
        ("Sicilian Najdorf", "Sicilian, Najdorf"),
        ("Najdorf", "Sicilian, Najdorf"),
        ("Spanish", "Ruy López"),
        ("Ruy Lopez", "Ruy López"),
        ("Scotch", "Scotch Game"),
        # ECO codes: each begins at the position that it is named for.
        ("B90", "Sicilian, Najdorf"),
        ("b10", "Caro-Kann Defence"),
    ],
)
def test_openings_are_found_by_what_they_are_called(name: str, opening: str) -> None:
    assert full_name(find(name)) == opening


@pytest.mark.parametrize("name", ["Carokan", "xyzzy", "", "  ", "Z99", "knight f3"])
def test_an_unknown_opening_is_told_in_one_line(name: str) -> None:
    with pytest.raises(UnusableInput) as caught:
        about(name, None)
    assert "\n" not in str(caught.value) and f"“{name}”" in str(caught.value)


def test_what_is_called_alike_is_offered() -> None:
    for name in ("Karo-Kan", "Carro", "carokann"):
        with pytest.raises(UnusableInput, match=r"Similar: .*Caro-Kann"):
            find(name)


def test_the_manner_of_speaking_holds_every_piece_and_verb() -> None:
    words = MANNER.lower().replace(",", "").replace(".", "").split()
    assert {"knight", "bishop", "rook", "queen", "king", "takes", "castles", "check"} <= set(words)
    squares = [word for word in words if len(word) == 2 and word in chess.SQUARE_NAMES]
    assert len({square[0] for square in squares}) >= 5


@pytest.mark.parametrize("name", ["Caro-Kann", "Modern Benoni", "Scotch", "Slav", "King's Indian", "Najdorf", "D85"])
def test_an_opening_is_told_by_names_and_spoken_moves(name: str) -> None:
    topic = about(name, None)
    assert topic.names[0] == full_name(find(name))
    assert len(topic.names) <= NAMES and len(set(topic.names)) == len(topic.names)
    assert 0 < len(topic.moves) <= MOVES and len(set(topic.moves)) == len(topic.moves)
    for move in topic.moves:
        assert not any(c.isupper() or c in "+#=x" for c in move), move
    told = prompt(topic)
    assert told.endswith(MANNER) and len(told) < KEPT


def test_the_base_says_what_is_usual(tmp_path: Path) -> None:
    # Invented games, all in one line that no catalogue calls usual.
    moves = "1. e4 c6 2. d4 d5 3. h4 h5 4. Na3 Nh6 5. Bd2 Bd7 6. Qe2 Qb6 7. O-O-O Na6 *"
    pgn = "\n".join(
        f'[Event "Invented"]\n[White "White {i}"]\n[Black "Black {i}"]\n[Date "2020.01.{i + 1:02}"]\n[Result "*"]\n\n'
        f"{moves}\n"
        for i in range(20)
    )
    (tmp_path / "games.pgn").write_text(pgn)
    add_games(tmp_path / "games.duckdb", [tmp_path / "games.pgn"])
    with GamesBase.open(tmp_path / "games.duckdb") as base:
        moves_told = about("Caro-Kann", base).moves
        assert {"h4", "knight a3", "bishop d2", "queen b6", "castles queenside"} <= set(moves_told)
        # An opening that no game of the base reached is told by the catalogue.
        assert about("Grünfeld", base) == about("Grünfeld", None)

"""Quoted games: reading what was told, laying it beside what was played, finding the game."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import chess
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.api import GamesBase, add_games, likeness, parse_description, sans, sound
from linewright.games.names.name_similarity import evidence
from linewright.games.quotes.alignment import LEFT_OUT, SWAPPED, UNPLAYED, align, arrays_of, common_moves
from linewright.games.quotes.quote_parser import DescribedGame, DescribedMove, written_move
from linewright.support.errors import UnusableInput
from tests.games.games import first_masters, moves_to, movetext, needs_masters, pgn, random_game

MOVES = [
    # written, piece, target, takes, origin file, origin rank
    ("Rd7", chess.ROOK, "d7", False, None, None),
    ("Rxd7+", chess.ROOK, "d7", True, None, None),
    ("exd5", chess.PAWN, "d5", True, 4, None),
    ("e8=Q#", chess.PAWN, "e8", False, None, None),
    ("R1e2!?", chess.ROOK, "e2", False, None, 0),
    ("Nbd7,", chess.KNIGHT, "d7", False, 1, None),
    ("O-O", chess.KING, "g1", False, None, None),
    ("0-0-0+", chess.KING, "c1", False, None, None),
    ("e2e4", 0, "e4", None, 4, 1),
]


@pytest.mark.parametrize(("text", "kind", "target", "takes", "file", "rank"), MOVES)
def test_moves_as_told(
    text: str, kind: int, target: str, takes: bool | None, file: int | None, rank: int | None
) -> None:
    move = written_move(text)
    assert move is not None
    assert (move.kind, chess.square_name(move.target), move.takes) == (kind, target, takes)
    assert (move.file, move.rank) == (file, rank)


@pytest.mark.parametrize("text", ["", "and", "Rd9", "e", "2016", "1-0", "Marlow"])
def test_what_is_no_move(text: str) -> None:
    assert written_move(text) is None


def test_a_telling_in_words() -> None:
    told = parse_description(
        "Marlow against Tessen, 2016, in Ivy Bay, 9.Nd4 Bd7 10.f3 ... knight takes d4, Black resigned"
    )
    assert told.players == ("Marlow", "Tessen")
    assert (told.year, told.event, told.result, told.ending) == (2016, "Ivy Bay", None, "resigned")
    assert [(m.words, m.ply) for m in told.moves] == [
        ("Nd4", 16),
        ("Bd7", 17),
        ("f3", 18),
        ("knight takes d4", None),
    ]
    assert told.moves[3].takes is True


@pytest.mark.parametrize(
    ("text", "players", "result"),
    [
        ("Marlow – Tessen 1-0", ("Marlow", "Tessen"), "1-0"),
        ("Marlow-Tessen, a draw", ("Marlow", "Tessen"), "1/2-1/2"),
        ("Ada Marlow vs. Bo van der Tessen 0-1 e4", ("Ada Marlow", "Bo van der Tessen"), "0-1"),
        ("Tessen beat Marlow and white won", ("Tessen", "Marlow"), "1-0"),
        ("Marlow's game with 1.e4", ("Marlow",), None),
        ("1.e4 e5 2.Nf3", (), None),
        ("Then Black castles", (), None),
    ],
)
def test_names_and_results_in_words(text: str, players: tuple[str, ...], result: str | None) -> None:
    told = parse_description(text)
    assert (told.players, told.result) == (players, result)


@given(st.text(max_size=80))
def test_any_words_are_a_telling(text: str) -> None:
    assert isinstance(parse_description(text), DescribedGame)


SQUARES = st.lists(st.integers(0, 5), max_size=150)


@settings(deadline=None)
@given(SQUARES, SQUARES)
def test_common_moves_are_the_longest_common_subsequence(played: list[int], told: list[int]) -> None:
    told = told[:64]  # longer tellings are counted in parts
    table = np.zeros((len(played) + 1, len(told) + 1), dtype=int)
    for i, a in enumerate(played):
        for j, b in enumerate(told):
            table[i + 1, j + 1] = table[i, j] + 1 if a == b else max(table[i, j + 1], table[i + 1, j])
    moves = [DescribedMove("", chess.KNIGHT, square) for square in told]
    tokens = np.array([(chess.KNIGHT - 1) << 6 | square for square in played], dtype=np.uint16)
    found = common_moves(tokens, np.array([0, len(played)]), moves)
    assert found[0] == table[-1, -1]


def tokens(squares: Sequence[int]) -> np.ndarray[tuple[int], np.dtype[np.uint16]]:
    return np.array([(chess.KNIGHT - 1) << 6 | square for square in squares], dtype=np.uint16)


def told(squares: Sequence[int]) -> list[DescribedMove]:
    return [DescribedMove("", chess.KNIGHT, square) for square in squares]


@settings(deadline=None)
@given(st.lists(st.integers(0, 63), min_size=3, max_size=40, unique=True), st.data())
def test_alignment_laws(squares: list[int], data: st.DataObject) -> None:
    played = tokens(squares)
    cost, steps = align(arrays_of(told(squares)), played, 0)
    assert cost == 0 and len(steps) == len(squares)
    place = data.draw(st.integers(0, len(squares) - 2))
    cost, _ = align(arrays_of(told(squares[:place] + squares[place + 1 :])), played, 0)
    assert cost == pytest.approx(LEFT_OUT)
    swapped = [*squares[:place], squares[place + 1], squares[place], *squares[place + 2 :]]
    cost, steps = align(arrays_of(told(swapped)), played, 0)
    assert cost == pytest.approx(SWAPPED)
    told_places = [t for step in steps for t in step.described]
    assert told_places == list(range(len(squares)))  # every told move is laid somewhere, in order
    cost, steps = align(arrays_of(told([*squares[: place + 1], *squares[place:]])), played, 0)
    assert cost <= UNPLAYED


NAMES = ("Amber, Ada", "Birch,B", "Tschernikow, Igor", "Cedarholm, C", "Fir, F")


@pytest.mark.parametrize(
    ("told_name", "name"),
    [
        ("Ambre", 0),
        ("Burch", 1),
        ("Chernikov", 2),
        ("Igor Chernikoff", 2),
        ("Sedarholm", 3),
        ("Zederholm", 3),
        ("Fir", 4),
    ],
)
def test_misheard_names(told_name: str, name: int) -> None:
    assert int(np.argmax(likeness(told_name, NAMES))) == name


def test_sounds() -> None:
    assert sound("tschernikow") == sound("chernikov") == sound("cernikov")
    assert sound("amber") != sound("birch")


def test_a_seldom_name_says_more_than_a_frequent_one() -> None:
    likenesses = np.array([1.0, 0.2, 1.0])
    seldom = evidence(likenesses, np.array([1, 900, 1]), 9, -3)
    often = evidence(likenesses, np.array([300, 900, 300]), 9, -3)
    assert seldom[0] > often[0] > 0 > seldom[1]
    assert seldom[1] == -3


@pytest.fixture(scope="module")
def invented(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GamesBase]:
    folder = tmp_path_factory.mktemp("quotes")
    games = [
        pgn(
            "1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. Bxc6 dxc6 5. O-O f6 6. d4 exd4 7. Nxd4 c5 8. Nb3 Qxd1 9. Rxd1 Bg4",
            "1/2-1/2",
            White="Marlow, Ida",
            Black="Tessen, Ole",
            Date="2016.04.02",
            Event="Ivy Bay Open",
        ),
        pgn("1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. Ba4 Nf6 5. O-O Be7", "1-0", White="Rowan,K", Black="Marlow, Ida"),
        *(pgn(movetext(random_game(seed)), White=f"Player {seed}", Black="Nobody, N") for seed in range(30)),
    ]
    (folder / "g.pgn").write_text("\n".join(games))
    add_games(folder / "b.duckdb", [folder / "g.pgn"])
    with GamesBase.open(folder / "b.duckdb") as base:
        yield base


def test_where_telling_and_game_part(invented: GamesBase) -> None:
    text = "Marlo against Tessin, 2015, 3.Bb5 a6 4.Bc6 dxc6 5.O-O f6 6.d4 Qd6 7.Nxd4 c5 8.Qxd1 Nb3, White resigned"
    answer = invented.find_quoted(parse_description(text))
    assert answer.fits
    found = answer.candidates[0]
    assert found.game.white == "Marlow, Ida" and found.likely > 0.9
    assert [parting.words for parting in found.differences] == [
        "you said “Marlo”, the player is Marlow, Ida",
        "you said “Tessin”, the player is Tessen, Ole",
        "you said 2015, it was played in 2016",
        "you said 4.Bc6, the game had 4.Bxc6",
        "you said 6...Qd6, the game had 6...exd4",
        "you said 8.Qxd1 Nb3, the game had 8.Nb3 Qxd1",
        "you said “resigned”, the game was drawn",
        "you said “resigned”, the game went on to move 9",
    ]


def test_the_position_of_the_talk_counts(invented: GamesBase) -> None:
    board = moves_to("e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6 O-O")
    told = DescribedGame(moves=tuple(m for m in map(written_move, ["f6", "Nxd4", "c5"]) if m), position=board)
    found = invented.find_quoted(told).candidates[0]
    assert (found.game.white, found.first, found.agreeing) == ("Marlow, Ida", 9, 3)
    assert [p.words for p in found.differences] == ["left out: 6.d4 exd4"]


def test_colours_told_the_other_way(invented: GamesBase) -> None:
    found = invented.find_quoted(parse_description("Marlow against Rowan, 4.Ba4 Nf6 5.O-O")).candidates[0]
    assert found.game.white == "Rowan,K"
    assert "colours" in {parting.kind for parting in found.differences}


def test_no_game_fits_and_the_nearest_are_given(invented: GamesBase) -> None:
    answer = invented.find_quoted(parse_description("Zyx against Qwv, 1.h4 g5 2.Ra3 Rh3 3.Rg3 Qh8 4.Kd8 Na1"))
    assert not answer.fits
    assert len(answer.candidates) == 3
    assert answer.candidates[0].distance > 3


def test_names_alone_find_a_game(invented: GamesBase) -> None:
    answer = invented.find_quoted(parse_description("Marlow Tessen 2016"))
    found = answer.candidates[0]
    assert (found.game.white, found.agreeing, found.first, found.distance) == ("Marlow, Ida", 0, None, 0)
    board = moves_to("e4 e5 Nf3 Nc6 Bb5 a6 Ba4")
    assert invented.find_quoted(parse_description("Marlow", board)).candidates[0].game.white == "Rowan,K"


def test_nothing_told_is_refused(invented: GamesBase) -> None:
    with pytest.raises(UnusableInput, match="too little"):
        invented.find_quoted(parse_description("it was a lovely game"))


@needs_masters
def test_real_games_are_found_again(tmp_path: Path) -> None:
    """A small run of what bench/bench_quotes.py measures on all games."""
    add_games(tmp_path / "b.duckdb", [first_masters(tmp_path / "m.pgn", 1500)])
    chance = random.Random(5)
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        archive = base
        long_enough = [n for n, plies in enumerate(archive.loaded.table.plies.tolist()) if plies > 40]
        right = 0
        for number in chance.sample(long_enough, 30):
            packed = archive.loaded.packed.of(number)
            moves = [m for san in sans(chess.Board(), packed)[12:34] if (m := written_move(san))]
            spoiled = [replace(m, target=chance.randrange(64)) if chance.random() < 0.2 else m for m in moves]
            answer = archive.find_quoted(DescribedGame(moves=tuple(spoiled)))
            right += archive.loaded.packed.of(answer.candidates[0].game.id) == packed and answer.fits
    assert right >= 28

"""What the base answers, against counting by hand."""

from __future__ import annotations

import io
import random
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import chess
import chess.pgn
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.api import GamesBase, add_games, position_key, wilson_interval
from linewright.games.index import schema
from linewright.support.errors import UnusableInput
from tests.games.games import first_masters, moves_to, movetext, needs_masters, pgn, random_game

#: Real games counted by hand, game by game, with the ``chess`` library.
MASTERS_COUNTED = 2000


@dataclass
class Tally:
    """A position counted the straightforward way."""

    through: set[int] = field(default_factory=set)
    ended: set[int] = field(default_factory=set)
    games: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))


class Counted(chess.pgn.BaseVisitor[bool]):
    """Counts the main lines of the games that ``chess.pgn`` reads."""

    def __init__(self) -> None:
        self.games: list[chess.pgn.Headers] = []
        self.tallies: dict[tuple[object, ...], Tally] = defaultdict(Tally)
        self.boards: dict[tuple[object, ...], chess.Board] = {}

    def begin_headers(self) -> chess.pgn.Headers:
        self.games.append(chess.pgn.Headers({}))
        return self.games[-1]

    def visit_header(self, tagname: str, tagvalue: str) -> None:
        self.games[-1][tagname] = tagvalue

    def begin_variation(self) -> chess.pgn.SkipType:
        return chess.pgn.SKIP

    def visit_move(self, board: chess.Board, move: chess.Move) -> None:
        key = same_position(board)
        self.tallies[key].through.add(len(self.games))
        self.tallies[key].games[move.uci()].add(len(self.games))
        if key not in self.boards:
            self.boards[key] = board.copy(stack=False)

    def visit_board(self, board: chess.Board) -> None:
        self.last = board

    def result(self) -> bool:
        self.tallies[same_position(self.last)].ended.add(len(self.games))
        return True


def same_position(board: chess.Board) -> tuple[object, ...]:
    """Equal for equal positions, without any hashing of the base's kind."""
    passing = board.ep_square if board.has_pseudo_legal_en_passant() else None
    pieces = (board.pawns, board.knights, board.bishops, board.rooks, board.queens, board.kings)
    return *pieces, board.occupied_co[chess.WHITE], board.turn, board.castling_rights, passing


def count_by_hand(path: Path) -> Counted:
    # The reference reader takes two blank lines between tags and moves for the end of a game; two of the
    # real games have them.
    text = io.StringIO(path.read_text(encoding="latin-1").replace("\n\n\n", "\n\n"))
    counted = Counted()
    while chess.pgn.read_game(text, Visitor=lambda: counted):
        pass
    return counted


def check_position(base: GamesBase, counted: Counted, key: tuple[object, ...]) -> None:
    board, tally = counted.boards[key], counted.tallies[key]
    answer = base.replies(board)
    assert answer.fen == board.fen()
    assert (answer.total, answer.ended) == (len(tally.through), len(tally.ended)), board.fen()
    assert {reply.uci: reply.games for reply in answer.replies} == {
        uci: len(games) for uci, games in tally.games.items()
    }
    assert base.moves_played([position_key(board)]) == {
        position_key(board): {reply.uci: reply.games for reply in answer.replies}
    }
    points = {"1-0": 1.0, "0-1": 0.0, "1/2-1/2": 0.5}
    for reply in answer.replies:
        headers = [counted.games[number - 1] for number in tally.games[reply.uci]]
        scores = [points[h["Result"]] for h in headers if h["Result"] in points]
        won = sum(scores) if board.turn == chess.WHITE else len(scores) - sum(scores)
        elo = "WhiteElo" if board.turn == chess.WHITE else "BlackElo"
        ratings = [int(h[elo]) for h in headers if h.get(elo, "?").isdigit()]
        years = [int(h["Date"][:4]) for h in headers if h["Date"][:4].isdigit()]
        assert reply.san == board.san(chess.Move.from_uci(reply.uci))
        assert reply.share == reply.games / answer.total
        assert reply.scored == len(scores)
        assert reply.score == (pytest.approx(won / len(scores)) if scores else 0.5)
        assert (reply.low, reply.high) == wilson_interval(won, len(scores))
        assert reply.mean_rating == (round(sum(ratings) / len(ratings)) if ratings else None)
        assert reply.last_year == (max(years) if years else None)
    order = [(-reply.games, reply.uci) for reply in answer.replies]
    assert order == sorted(order)


@needs_masters
def test_real_games_are_counted_as_by_hand(tmp_path: Path) -> None:
    path = first_masters(tmp_path / "m.pgn", MASTERS_COUNTED)
    counted = count_by_hand(path)
    assert add_games(tmp_path / "b.duckdb", [path]).added == len(counted.games) == MASTERS_COUNTED
    often = [key for key in counted.boards if len(counted.tallies[key].through) > 5]
    often.sort(key=lambda key: -len(counted.tallies[key].through))
    seldom = random.Random(1).sample(list(counted.boards), 400)
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        assert base.info().positions == len(counted.tallies)
        for key in (*often[:600], *seldom):
            check_position(base, counted, key)


@settings(deadline=None, max_examples=10)
@given(
    st.lists(
        st.tuples(st.integers(0, 10**6), st.sampled_from(["1-0", "0-1", "1/2-1/2", "*"])),
        min_size=1,
        max_size=8,
    )
)
def test_any_games_are_counted_as_by_hand(
    tmp_path_factory: pytest.TempPathFactory, games: list[tuple[int, str]]
) -> None:
    folder = tmp_path_factory.mktemp("law")
    path = folder / "g.pgn"
    texts = [
        pgn(
            movetext(random_game(seed % 50, 40)),
            result,
            Round=str(n),
            White=f"Player {n}",
            WhiteElo=str(2000 + n),
        )
        for n, (seed, result) in enumerate(games)
    ]
    path.write_text("".join(texts))
    counted = count_by_hand(path)
    assert add_games(folder / "b.duckdb", [path]).added == len(games)
    with GamesBase.open(folder / "b.duckdb") as base:
        for key in list(counted.boards)[:60]:
            check_position(base, counted, key)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GamesBase]:
    folder = tmp_path_factory.mktemp("base")
    games = [
        pgn(
            "1. d4 d5 2. c4 e6 3. Nc3",
            "1-0",
            White="Amber, Ada",
            WhiteElo="2100",
            BlackElo="2000",
            Date="2001.05.01",
        ),
        pgn(
            "1. c4 e6 2. d4 d5 3. Nc3",
            "0-1",
            White="Cedar, Cy",
            WhiteElo="2500",
            BlackElo="2400",
            Date="1999.??.??",
        ),
        pgn("1. d4 d5 2. c4 e6", "1/2-1/2", White="Dogwood, Di", Date="????.??.??"),
        pgn("1. d4 d5 2. c4 e6 3. Nf3", "*", White="Elm, Ed", WhiteElo="2600", Date="2001.06.01"),
        pgn("1. Nf3 Nf6 2. Ng1 Ng8 3. Nf3 Nf6 4. Ng1 Ng8 5. e4", "1-0", White="Fir, Flo"),
    ]
    (folder / "g.pgn").write_text("\n".join(games))
    add_games(folder / "b.duckdb", [folder / "g.pgn"])
    with GamesBase.open(folder / "b.duckdb") as opened:
        yield opened


def test_transpositions_count_together(base: GamesBase) -> None:
    replies = base.replies(moves_to("d4 d5 c4 e6"))
    assert (replies.total, replies.ended) == (3, 1)
    knight, other = replies.replies
    assert (knight.san, knight.games, knight.score, knight.mean_rating, knight.last_year) == (
        "Nc3",
        2,
        0.5,
        2300,
        2001,
    )
    assert (other.san, other.games, other.scored, other.score, other.low, other.high) == (
        "Nf3",
        1,
        0,
        0.5,
        0,
        1,
    )
    assert base.replies(moves_to("c4 e6 d4 d5")).replies == replies.replies


def test_the_score_is_the_movers(base: GamesBase) -> None:
    (reply,) = base.replies(moves_to("d4 d5 c4")).replies
    assert (reply.games, reply.scored, reply.score) == (3, 2, 0.25)


def test_a_game_that_repeats_the_position_counts_once(base: GamesBase) -> None:
    replies = base.replies(chess.Board())
    assert replies.total == 5
    assert Counter({reply.san: reply.games for reply in replies.replies}) == {
        "d4": 3,
        "c4": 1,
        "Nf3": 1,
        "e4": 1,
    }


def test_an_unknown_position_has_no_replies(base: GamesBase) -> None:
    board = moves_to("a3 a6")
    assert (base.replies(board).total, base.replies(board).replies) == (0, ())
    assert base.games(board, "newest", 3) == ()
    assert base.moves_played([position_key(board)]) == {}


def test_the_en_passant_square_matters_only_where_it_can_be_used(base: GamesBase) -> None:
    with_square = chess.Board("rnbqkbnr/pppppppp/8/8/3P4/8/PPP1PPPP/RNBQKBNR b KQkq d3 0 1")
    assert base.replies(with_square).total == 3


def test_games_newest_and_strongest_first(base: GamesBase) -> None:
    board = moves_to("d4 d5 c4 e6")
    assert [game.white for game in base.games(board, "newest", 9)] == [
        "Elm, Ed",
        "Amber, Ada",
        "Cedar, Cy",
        "Dogwood, Di",
    ]
    strongest = base.games(board, "strongest", 3)
    assert [game.white for game in strongest] == ["Cedar, Cy", "Amber, Ada", "Elm, Ed"]
    assert (strongest[0].reached, strongest[0].following, strongest[0].result) == (4, ("Nc3",), "0-1")


def test_a_whole_game_by_its_number(base: GamesBase) -> None:
    fir = next(game for game in base.games(chess.Board(), "newest", 9) if game.white == "Fir, Flo")
    assert base.moves(fir.id) == tuple("g1f3 g8f6 f3g1 f6g8 g1f3 g8f6 f3g1 f6g8 e2e4".split())
    assert base.moves(fir.id + 1000) == ()


def test_moves_played_answers_a_batch_at_once_and_again(base: GamesBase) -> None:
    keys = [position_key(moves_to(line)) for line in ("", "d4", "d4 d5 c4 e6 Nf3", "a3", "d4")]
    expected = {keys[0]: {"d2d4": 3, "c2c4": 1, "g1f3": 1, "e2e4": 1}, keys[1]: {"d7d5": 3}}
    answer = base.moves_played(keys)
    assert answer == expected
    answer[keys[0]]["d2d4"] = 999  # an answer is the asker's own
    assert base.moves_played(keys[::-1]) == expected
    assert base.moves_played([]) == {}


def test_info(base: GamesBase) -> None:
    info = base.info()
    assert (info.games, info.players, info.first_year, info.last_year, info.rated) == (5, 6, 1999, 2020, 2)
    assert info.size == info.path.stat().st_size
    ((source, games),) = info.sources
    assert (Path(source).name, games) == ("g.pgn", 5)


def test_what_is_no_base_is_refused_with_advice(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match=r"there is no games base at .*linewright base add"):
        GamesBase.open(tmp_path / "none.duckdb")
    (tmp_path / "b.duckdb").write_bytes(random.Random(3).randbytes(100_000))
    with pytest.raises(UnusableInput, match="not a readable games base"):
        GamesBase.open(tmp_path / "b.duckdb")
    with pytest.raises(UnusableInput):
        GamesBase.open(tmp_path)


def test_the_database_draws_no_bar_of_its_own(tmp_path: Path) -> None:
    for con in (schema.connect(tmp_path / "b.duckdb", read_only=False), schema.opened(":memory:", "64MB")):
        with con:
            assert con.execute("SELECT current_setting('enable_progress_bar')").fetchall() == [(False,)]

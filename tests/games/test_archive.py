"""Filtered and studied replies, against counting the games one by one with the ``chess`` library."""

from __future__ import annotations

import io
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import chess
import chess.pgn
import pytest
from scipy.stats import binomtest, norm

from linewright.games.api import GameFilter, GamesBase, Study, add_games
from linewright.support.errors import UnusableInput
from tests.games.games import first_masters, moves_to, needs_masters, pgn

#: Real games read one by one, and how many half-moves deep their positions are kept.
COUNTED, DEPTH = 2000, 40

#: The player of most of these games.
ALEKHINE = "Alekhine, Alexander"


@dataclass(frozen=True)
class Plain:
    """A game as ``chess.pgn`` reads it: tags, and the placement, moves and so on before each move."""

    tags: chess.pgn.Headers
    moves: list[chess.Move]
    positions: list[str]

    def number(self, tag: str) -> int:
        text = self.tags.get(tag, "")
        return int(text) if text.isdigit() else 0

    @property
    def year(self) -> int:
        return int(self.tags["Date"][:4]) if self.tags["Date"][:4].isdigit() else 0


def same(board: chess.Board) -> str:
    """Equal for the same position: FEN without clocks, the en-passant square only where it can be used."""
    return " ".join(board.fen(en_passant="xfen").split()[:4])


def read(path: Path) -> list[Plain]:
    text = io.StringIO(path.read_text(encoding="latin-1").replace("\n\n\n", "\n\n"))
    games = []
    while (game := chess.pgn.read_game(text)) is not None:
        board, positions = game.board(), []
        moves = list(game.mainline_moves())
        for move in moves[:DEPTH]:
            positions.append(same(board))
            board.push(move)
        games.append(Plain(game.headers, moves, [*positions, same(board)]))
    return games


@pytest.fixture(scope="module")
def masters(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[GamesBase, list[Plain]]]:
    folder = tmp_path_factory.mktemp("masters")
    path = first_masters(folder / "m.pgn", COUNTED)
    add_games(folder / "b.duckdb", [path])
    with GamesBase.open(folder / "b.duckdb") as base:
        yield base, read(path)


FILTERS: list[tuple[GameFilter, Callable[[Plain], bool]]] = [
    (GameFilter(), lambda g: True),
    (
        GameFilter(ratings=(2400, 2700)),
        lambda g: all(2400 <= g.number(t) <= 2700 for t in ("WhiteElo", "BlackElo")),
    ),
    (GameFilter(years=(None, 1920)), lambda g: 0 < g.year <= 1920),
    (GameFilter(result="0-1"), lambda g: g.tags["Result"] == "0-1"),
    (GameFilter(player="A Alekhine"), lambda g: ALEKHINE in (g.tags["White"], g.tags["Black"])),
    (GameFilter(player="Alekhine", colour="black"), lambda g: g.tags["Black"] == ALEKHINE),
    (
        GameFilter(player="Alexander Alekhine", outcome="lost"),
        lambda g: (
            (g.tags["White"] == ALEKHINE and g.tags["Result"] == "0-1")
            or (g.tags["Black"] == ALEKHINE and g.tags["Result"] == "1-0")
        ),
    ),
    (GameFilter(length=(None, 25)), lambda g: (len(g.moves) + 1) // 2 <= 25),
    (
        GameFilter(years=(1930, None), result="1-0", length=(30, 40)),
        lambda g: g.year >= 1930 and g.tags["Result"] == "1-0" and 30 <= (len(g.moves) + 1) // 2 <= 40,
    ),
]


@needs_masters
@pytest.mark.parametrize(("only", "meets"), FILTERS, ids=[f.in_words() or "all" for f, _ in FILTERS])
def test_filtered_replies_are_counted_as_by_hand(
    masters: tuple[GamesBase, list[Plain]], only: GameFilter, meets: Callable[[Plain], bool]
) -> None:
    archive, games = masters
    chosen = [game for game in games if meets(game)]
    assert 5 < len(chosen) <= COUNTED
    for line in ("", "e4", "d4 Nf6 c4", "e4 e5 Nf3 Nc6 Bb5", "d4 d5 c4 e6 Nc3 Nf6"):
        board = moves_to(line)
        here, expected = same(board), Counter[str]()
        for game in chosen:
            expected.update({m.uci() for m, at in zip(game.moves, game.positions, strict=False) if at == here})
        answer = archive.replies(board, only)
        assert {reply.uci: reply.games for reply in answer.replies} == expected, line


@needs_masters
def test_a_study_is_what_one_counts_by_hand(masters: tuple[GamesBase, list[Plain]]) -> None:
    archive, games = masters
    often = Counter(at for game in games for at in set(game.positions[4:16]))
    frequent = sorted(at for at, count in often.items() if count >= 60)
    for at in random.Random(4).sample(frequent, 12):
        board = chess.Board(at + " 0 1")
        check_study(archive.study(board), board, [game for game in games if at in game.positions])


def check_study(study: Study, board: chess.Board, through: list[Plain]) -> None:
    at = same(board)
    places = [game.positions.index(at) for game in through]
    white = board.turn == chess.WHITE
    points = {"1-0": 1.0, "1/2-1/2": 0.5, "0-1": 0.0}
    orders = Counter(tuple(m.uci() for m in g.moves[:n]) for g, n in zip(through, places, strict=True))
    assert study.orders_known == len(orders)
    assert [order.part.games for order in study.orders] == [n for _, n in orders.most_common(len(study.orders))]
    assert sum(a.part.games for a in study.arrivals) <= len(through) == study.arrivals[0].part.of
    for studied in study.replies:
        move = chess.Move.from_uci(studied.reply.uci)
        with_it = [g for g in through if (at, move) in zip(g.positions, g.moves, strict=False)]
        assert (studied.part.games, studied.part.of) == (len(with_it), study.total)
        interval = binomtest(len(with_it), study.total).proportion_ci(0.95, "wilson")
        assert (studied.part.low, studied.part.high) == pytest.approx((interval.low, interval.high), abs=1e-9)
        # ratings and results: the expectation as the mean of a library's normal curve
        rated = [g for g in with_it if g.number("WhiteElo") and g.number("BlackElo") and g.tags["Result"] in points]
        if rated:
            assert studied.expectation is not None
            sign = 1 if white else -1
            curve = [norm.cdf(sign * (g.number("WhiteElo") - g.number("BlackElo")) * 7 / 2000) for g in rated]
            won = [points[g.tags["Result"]] if white else 1 - points[g.tags["Result"]] for g in rated]
            assert studied.expectation.games == len(rated)
            assert studied.expectation.over == pytest.approx(sum(won) / len(rated) - sum(curve) / len(rated))
        else:
            assert studied.expectation is None
        # years: every dated game is in one period
        dated = [g.year for g in with_it if g.year]
        for period in studied.trend.periods:
            assert period.part.games == sum(period.first <= year <= period.last for year in dated)
        assert sum(p.part.games for p in studied.trend.periods) == len(dated)
        if dated:
            assert studied.first is not None
            assert studied.first.year == min(dated)
        # plans: sets of the side's own next three moves
        sets = Counter(
            tuple(sorted(m.uci() for m in g.moves[n + 2 : n + 7 : 2]))
            for g, n in zip(through, places, strict=True)
            if len(g.moves) >= n + 7 and g.moves[n] == move
        )
        assert [plan.part.games for plan in studied.plans] == [n for _, n in sets.most_common(3) if n > 1]
        for plan in studied.plans:
            line = board.copy()
            for san in plan.line:
                line.push_san(san)
            own = tuple(sorted(m.uci() for m in line.move_stack[2::2]))
            assert sets[own] == plan.part.games


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GamesBase]:
    folder = tmp_path_factory.mktemp("small")
    texts = [
        pgn("1. d4 d5 2. c4 e6", "1-0", White="Amber, Ada", Date="1999.05.01", Event="Ivy Open", TimeControl="5400+30"),
        pgn("1. c4 e6 2. d4 d5", "0-1", White="Amber,A", Date="1998.??.??", Event="Ivy Blitz"),
        pgn("1. d4 d5 2. c4 dxc4", "1-0", White="Cedar, Cy", Date="????.??.??", Event="Oak Cup"),
        pgn("1. d4 e6 2. c4 d5 3. Nc3", "*", White="Dogwood, Di", Date="2020.??.??", Event="Oak Cup rapid"),
    ]
    (folder / "g.pgn").write_text("\n".join(texts))
    add_games(folder / "b.duckdb", [folder / "g.pgn"])
    with GamesBase.open(folder / "b.duckdb") as base:
        yield base


@pytest.mark.parametrize(
    ("only", "games"),
    [
        (GameFilter(player="Ada Amber"), 2),
        (GameFilter(player="amber", outcome="won"), 1),
        (GameFilter(player="Birch", colour="black"), 4),
        (GameFilter(player="Birch", colour="white"), 0),
        (GameFilter(event="oak"), 2),
        (GameFilter(event="open ivy"), 1),
        (GameFilter(pace="blitz"), 1),
        (GameFilter(pace="rapid"), 1),
        (GameFilter(pace="classical"), 1),
        (GameFilter(years=(1998, 1999)), 2),
        (GameFilter(length=(3, None)), 1),
    ],
)
def test_filters_on_invented_games(small: GamesBase, only: GameFilter, games: int) -> None:
    total, rows = small.list_games(chess.Board(), "newest", 9, only)
    assert total == len(rows) == games
    replies = small.replies(chess.Board(), only)
    assert replies.total == games


def test_what_no_game_knows_is_told_with_the_nearest(small: GamesBase) -> None:
    with pytest.raises(UnusableInput, match=r'a player "Ambre".*“Amber'):
        small.replies(chess.Board(), GameFilter(player="Ambre"))
    with pytest.raises(UnusableInput, match='no event of the base is named like "Elm"'):
        small.replies(chess.Board(), GameFilter(event="Elm"))
    with pytest.raises(UnusableInput, match='the colour "white" belongs to no one'):
        GameFilter(colour="white")


def test_how_games_came_there(small: GamesBase) -> None:
    study = small.study(moves_to("d4 d5 c4 e6"))
    assert (study.total, study.ended, study.orders_known) == (1, 2, 3)
    assert {order.moves for order in study.orders} == {
        ("d4", "d5", "c4", "e6"),
        ("c4", "e6", "d4", "d5"),
        ("d4", "e6", "c4", "d5"),
    }
    assert [(a.move, a.part.games, a.part.of) for a in study.arrivals] == [("d5", 2, 3), ("e6", 1, 3)]


def test_the_first_is_the_earliest_dated_one_whatever_the_filter(small: GamesBase) -> None:
    first = small.study(chess.Board()).replies[0].first
    assert first is not None
    assert (first.by, first.year, first.event) == ("Amber, Ada", 1999, "Ivy Open")
    later = small.study(chess.Board(), GameFilter(years=(2020, None))).replies[0].first
    assert later == first


@needs_masters
def test_newest_and_strongest_agree_with_the_base(masters: tuple[GamesBase, list[Plain]]) -> None:
    base, _ = masters
    for line in ("e4", "d4 d5 c4"):
        for order in ("newest", "strongest"):
            _, rows = base.list_games(moves_to(line), order, 15)  # type: ignore[arg-type]
            expected = base.games(moves_to(line), order, 15)  # type: ignore[arg-type]
            assert [(r.date, r.white_rating, r.following) for r in rows][:1] == [
                (r.date, r.white_rating, r.following) for r in expected
            ][:1]
            assert {r.id for r in rows} == {r.id for r in expected}

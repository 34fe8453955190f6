"""Budgets, signs, words, settings: tables and laws."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.engine.budget import LEAST, MOST, RUNGS, enough, share
from linewright.engine.model import EngineVerdict, Line, Over, Score, WinDrawLoss
from linewright.engine.settings import EngineSettings, find, load
from linewright.engine.signs import (
    CLEAR,
    SLIGHT,
    WINNING,
    Sign,
    expected,
    logistic,
    sign,
    sign_of,
)
from linewright.engine.verdict_evidence import cite_verdict, describe_verdict, show_score, show_work
from linewright.support.errors import UnusableInput

laws = settings(deadline=None, max_examples=200)
doubts = st.lists(st.floats(0, 5), max_size=40)


# Budget.


@laws
@given(doubts, st.floats(0, 600), st.floats(1e4, 2e6))
def test_a_share_stays_within_the_time_and_on_the_ladder(doubt: list[float], seconds: float, speed: float) -> None:
    given = share(doubt, seconds, speed)
    assert len(given) == len(doubt)
    assert sum(given) <= seconds * speed
    assert set(given) <= {0, *RUNGS} and all(LEAST <= nodes <= MOST for nodes in given if nodes)


@laws
@given(doubts, st.floats(0, 600))
def test_the_more_doubt_the_more_work(doubt: list[float], seconds: float) -> None:
    given = share(doubt, seconds, 5e5)
    pairs = sorted(zip(doubt, given, strict=True), key=lambda pair: (pair[0], pair[1]))
    for (less, few), (more, many) in pairwise(pairs):
        assert few <= many or less == more
    assert all(nodes <= LEAST for one, nodes in zip(doubt, given, strict=True) if not one)


def test_shares_by_hand() -> None:
    """Two minutes at 500,000 nodes a second for 100 positions of which ten are in doubt: the ten get the most."""
    given = share([0.0] * 90 + [1.0] * 10, 120, 500_000)
    assert set(given[:90]) == {50_000} and set(given[90:]) == {3_200_000}
    assert share([1.0], 3600, 1e6) == (MOST,)
    assert share([], 10, 1e6) == ()
    assert share([1.0, 2.0, 0.0], 0.3, 500_000) == (LEAST, LEAST, 0)  # the least doubted goes without


@given(st.sampled_from(RUNGS))
def test_a_little_less_will_do(nodes: int) -> None:
    assert min(nodes, LEAST) <= enough(nodes) <= nodes
    assert nodes < 4 * LEAST or enough(nodes) in RUNGS[: RUNGS.index(nodes) - 1]


# Signs.


def verdict(
    score: Score, expectation: WinDrawLoss | None = None, over: Over | None = None, fen: str = ""
) -> EngineVerdict:
    lines = () if over else (Line(score, expectation, ("e2e4",)),)
    return EngineVerdict(fen or "8/8/8/8/8/8/8/8 w - -", lines, "Scripted 1.0", 2_000_000, 20, over)


#: Glyphs: PGN standard (1994), 8.2.4 and the table of numeric annotation glyphs: 10 drawish, 13 unclear, 14/15 slight,
#: 16/17 moderate, 18/19 decisive advantage of White/Black.
SIGNS = [
    (Score(0), "=", 10), (Score(29), "=", 10), (Score(-29), "=", 10),
    (Score(30), "⩲", 14), (Score(-30), "⩱", 15), (Score(79), "⩲", 14),
    (Score(80), "±", 16), (Score(-169), "∓", 17),
    (Score(170), "+−", 18), (Score(-500), "−+", 19),
    (Score(mate=1), "+−", 18), (Score(mate=-30), "−+", 19),
]  # fmt: skip


@pytest.mark.parametrize(("score", "symbol", "glyph"), SIGNS)
def test_signs(score: Score, symbol: str, glyph: int) -> None:
    assert (str(sign_of(score)), sign_of(score).nag) == (symbol, glyph)


@laws
@given(st.integers(-1000, 1000), st.integers(-1000, 1000))
def test_signs_climb_with_the_score_and_mirror(one: int, other: int) -> None:
    order = [s for s in Sign if s is not Sign.UNCLEAR]
    low, high = sorted((one, other))
    assert order.index(sign_of(Score(low))) <= order.index(sign_of(Score(high)))
    assert order.index(sign_of(Score(one))) == len(order) - 1 - order.index(sign_of(Score(-one)))
    assert logistic(Score(one)) + logistic(Score(-one)) == pytest.approx(1)


def test_unclear_needs_both_sides_winning_often() -> None:
    assert sign_of(Score(10), WinDrawLoss(0.4, 0.25, 0.35)) is Sign.UNCLEAR
    assert sign_of(Score(10), WinDrawLoss(0.04, 0.95, 0.01)) is Sign.EQUAL
    assert sign_of(Score(10)) is Sign.EQUAL


def test_thresholds_climb() -> None:
    assert 0 < SLIGHT < CLEAR < WINNING


def test_words_and_evidence() -> None:
    assert str(describe_verdict(verdict(Score(40)))) == "white is slightly better"
    assert str(describe_verdict(verdict(Score(mate=-5)))) == "black mates in 5"
    assert str(describe_verdict(verdict(Score(0)))) == "the position is level"
    assert str(cite_verdict(verdict(Score(-130)), "12…Qb6")) == "Scripted 1.0, 2 M nodes: −1.3 after 12…Qb6"
    assert str(cite_verdict(verdict(Score(mate=3)))) == "Scripted 1.0, 2 M nodes: mate in 3 for white"
    assert [str(show_score(Score(cp))) for cp in (4, -4, 36, 0)] == ["0.0", "0.0", "+0.4", "0.0"]
    assert [str(show_work(n)) for n in (500, 50_000, 1_600_000, 12_800_000)] == [
        "500 nodes", "50 k nodes", "1.6 M nodes", "12.8 M nodes",
    ]  # fmt: skip


def test_a_game_that_is_over_is_said_to_be() -> None:
    mated = verdict(Score(0), over=Over.CHECKMATE, fen="8/8/8/8/8/8/8/8 w - -")
    assert (str(describe_verdict(mated)), sign(mated), expected(mated)) == (
        "checkmate: black has won",
        Sign.BLACK_WINNING,
        0.0,
    )
    stale = verdict(Score(0), over=Over.STALEMATE)
    assert (str(describe_verdict(stale)), sign(stale), expected(stale)) == ("a draw: stalemate", Sign.EQUAL, 0.5)


def test_the_expected_score() -> None:
    """The logistic's fixed points: level is a half, four pawns ten to one."""
    assert logistic(Score(0)) == 0.5
    assert logistic(Score(400)) == pytest.approx(10 / 11)
    assert logistic(Score(mate=7)) == 1.0
    assert expected(verdict(Score(100), WinDrawLoss(0.5, 0.48, 0.02))) == pytest.approx(0.74)
    assert expected(verdict(Score(400))) == pytest.approx(10 / 11)


@laws
@given(st.lists(st.one_of(st.builds(Score, st.integers(-900, 900)),
                          st.builds(Score, mate=st.integers(-50, 50).filter(bool))), max_size=8))  # fmt: skip
def test_scores_are_ordered_as_players_would(scores: list[Score]) -> None:
    ordered = sorted(scores, key=Score.order)
    assert [s for s in ordered if s.mate and s.mate < 0] == ordered[
        : sum(s.mate is not None and s.mate < 0 for s in scores)
    ]
    mates = [s.mate for s in ordered if s.mate and s.mate > 0]
    assert mates == sorted(mates, reverse=True)  # the shortest mate is best


def test_a_score_is_one_thing() -> None:
    for wrong in ({}, {"centipawns": 1, "mate": 2}, {"mate": 0}):
        with pytest.raises(ValueError, match="either centipawns or a mate"):
            Score(**wrong)


# Settings.


def test_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path))
    monkeypatch.delenv("LINEWRIGHT_ENGINE", raising=False)
    assert load() == EngineSettings()
    (tmp_path / "settings.toml").write_text('[engine]\npath = "/opt/engine"\nnodes = 5\n[other]\nx = 1\n')
    assert load() == EngineSettings(Path("/opt/engine"), nodes=5)
    monkeypatch.setenv("LINEWRIGHT_ENGINE", "/elsewhere/engine")
    assert load() == EngineSettings(Path("/elsewhere/engine"), nodes=5)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[engine]\nnods = 5", "unknown setting .engine. nods"),
        ("[engine]\nnodes = 0", "nodes = 0 is not a count"),
        ("[engine]\nlines = true", "lines = True is not a count"),
        ("[engine]\npath = 7", "path = 7 is not a path"),
        ("[engine", "can't be read"),
        ("engine = 3", "unknown setting engine"),
    ],
)
def test_bad_settings_are_told(tmp_path: Path, text: str, told: str) -> None:
    file = tmp_path / "settings.toml"
    file.write_text(text)
    with pytest.raises(UnusableInput, match=told) as refused:
        load(file)
    assert str(file) in refused.value.what and refused.value.todo


def test_finding_an_engine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "stockfish"
    program.write_text("#!/bin/sh\n")
    with pytest.raises(UnusableInput, match="can't be run"):
        find(program)
    program.chmod(0o755)
    assert find(program) == program
    monkeypatch.setenv("PATH", str(tmp_path))
    assert find() == program
    monkeypatch.setenv("PATH", "")
    monkeypatch.setattr("linewright.engine.settings.PLACES", (str(tmp_path / "none"),))
    with pytest.raises(UnusableInput, match="no chess engine was found") as refused:
        find()
    assert "--no-engine" in refused.value.todo

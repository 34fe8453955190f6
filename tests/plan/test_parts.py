"""Parts of plan and news on values made by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import chess
import pytest

from linewright.games.api import Debut, position_key
from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.plan.branches import TeachingUnit
from linewright.plan.news.news_file import Held, Known, Remembered, load, save
from linewright.plan.news.talk_changes import Sort, find_news, news_lines
from linewright.plan.plan_text import length
from linewright.plan.planning import teaching_order
from linewright.publish.page.plan_page import Twig, draw, laid_out
from tests.practice.talks import told


def unit(parent: int, line: str, chance: float) -> TeachingUnit:
    return TeachingUnit(
        parent, tuple(line.split()), "", "x", "a", "", "", 0.0, 0, chance, 0.0, None, (), 0, 5, (), False
    )  # fmt: skip


def test_each_branch_is_told_to_its_end_and_returns_are_one_less_than_lines() -> None:
    units = [
        unit(-1, "a", 0.5), unit(0, "a b c", 0.3), unit(0, "a b d", 0.2), unit(-1, "e", 0.4), unit(3, "e f g", 0.1),
    ]  # fmt: skip
    lines = teaching_order(units, range(5))
    assert [line.units for line in lines] == [(0, 1), (2,), (3, 4)]
    assert [line.back for line in lines] == [0, 2, 4]


def test_no_rail_on_the_map_crosses_another() -> None:
    twigs = [
        Twig((), ("a", "b", "c", "d"), (0.9, 0.8, 0.7, 0.6), "1.a", False),
        Twig(("a",), ("x", "y"), (0.3, 0.2), "1...x", False),
        Twig(("a", "b", "c"), ("z",), (0.1,), "2...z", True),
        Twig(("a", "x"), ("w",), (0.05,), "2.w", True),
        Twig((), ("q",), (0.1,), "1.q", True),
    ]
    rows = laid_out(twigs)
    assert [twig.label for twig, _ in rows] == ["1.a", "2...z", "1...x", "2.w", "1.q"]
    for row, (twig, parent) in enumerate(rows):
        for between in range(max(parent, 0) + 1, row):
            # What lies between a row and the one that it branches from begins no further left.
            assert parent < 0 or len(rows[between][0].line) >= len(twig.line)
    svg = draw(twigs, 'a "map" & more')
    assert svg.count("<circle") == len(twigs) and svg.count('class="open"') == 3
    assert "&#34;map&#34; &amp; more" in svg


def nobody(_: chess.Board, __: str) -> Debut:
    return Debut(None, None, 0.0, 0)


def state(sign: str, verdict: str, moves: str = "e4") -> Remembered:
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    known = Known(board.fen(), {"e7e5": 50}, sign, "Sample 1", 1000)
    return Remembered(
        "2026-01-01", 100, 99, {f"{position_key(board):016x}": known}, (Held("frequency", "e5", verdict, ""),)
    )


def test_turned_verdicts_and_findings_that_now_fail_come_first() -> None:
    walk = told("e4 e5 Nf3")
    step = walk.moves[1]
    finding = Finding(
        Kind.FREQUENCY, Verdict.FAILS, replace(step.said, words="e5"), step.before, plain("it is second"), 1
    )
    end = "e4 e5 Nf3"
    found = find_news(walk, state("=", "holds", end), state("⩲", "fails", end), [finding], nobody)
    assert [item.sort for item in found.items] == [Sort.FAILS, Sort.TURNED]
    assert "after 2.Nf3 the verdict was = (Sample 1, 1,000 nodes) and is ⩲" in found.items[1].what
    lines = list(news_lines(found))
    assert lines[1].startswith("talk.txt:1:4: now fails: “e5”")
    assert "it is second" in lines[2]
    assert not find_news(walk, state("=", "fails", end), state("=", "fails", end), [finding], nobody).items


@pytest.mark.parametrize(
    ("was", "pawns_was", "engine", "nodes", "now", "pawns", "news_of_it"),
    [
        ("=", 0.25, "Sample 1", 5000, "⩲", 0.35, False),  # a score that wavers about a threshold
        ("=", 0.1, "Sample 1", 5000, "⩲", 0.6, True),
        ("=", 0.1, "Sample 1", 500, "⩲", 0.6, False),  # the same engine with less work
        ("=", 0.1, "Sample 2", 500, "⩲", 0.6, True),
        ("⩲", 0.6, "Sample 1", 5000, "+−", None, True),  # a mate
        ("∞", 0.0, "Sample 1", 5000, "=", 0.9, False),  # no step between them
    ],
)
def test_what_is_a_turn(
    was: str, pawns_was: float, engine: str, nodes: int, now: str, pawns: float | None, news_of_it: bool
) -> None:
    walk, end = told("e4 e5 Nf3"), "e4 e5 Nf3"
    then, today = state(was, "undecided", end), state(now, "undecided", end)
    (key,) = then.positions
    then = replace(then, positions={key: replace(then.positions[key], pawns=pawns_was)})
    known = replace(today.positions[key], engine=engine, nodes=nodes, pawns=pawns)
    found = find_news(walk, then, replace(today, positions={key: known}), (), nobody)
    assert [item.sort for item in found.items] == [Sort.TURNED] * news_of_it


def test_what_is_remembered_reads_back(tmp_path: Path) -> None:
    kept = state("±", "undecided")
    save(tmp_path / "deep" / "talk.news", kept)
    assert load(tmp_path / "deep" / "talk.news") == kept
    assert load(tmp_path / "none") is None


@pytest.mark.parametrize("games", [0, 19])
def test_few_games_shift_nothing(games: int) -> None:
    walk = told("e4 e5")
    then, today = state("", "undecided"), state("", "undecided")
    (key,) = today.positions
    more = replace(today, positions={key: replace(today.positions[key], replies={"e7e5": 50, "c7c5": games})})
    assert all(item.sort is not Sort.SHIFT for item in find_news(walk, then, more, (), nobody).items)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(1, "1 second"), (39, "39 seconds"), (59.6, "1 minute"), (300, "5 minutes"), (400, "6:40 minutes")],
)
def test_a_talks_length_is_told_in_english(seconds: float, words: str) -> None:
    assert length(seconds) == words

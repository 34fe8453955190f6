"""The generator of talks: every true reading it writes is legal and its words stand where it says.

Legality is judged by the chess library, which is outside the project; the shape is that of
``bench/talks/make_refs.py``.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import linewright.demo

BENCH = Path(__file__).resolve().parents[2] / "bench"
if str(BENCH) not in sys.path:
    sys.path.append(str(BENCH))

from generator.english import conjugate  # noqa: E402
from generator.facts import KINDS, Turn, kinds_of  # noqa: E402
from generator.lines import GameLines  # noqa: E402
from generator.talk import RETURNS, generate  # noqa: E402
from generator.wordings import load, load_openings, load_rates  # noqa: E402

SEEDS = st.integers(0, 10**6)
NOISES = st.sampled_from(["clean", "mild", "strong"])
STYLES = st.sampled_from(sorted(load_rates()["style"]))


@cache
def games() -> GameLines:
    return GameLines.read(Path(linewright.demo.__file__).with_name("games.pgn"), most=60)


def talk(
    seed: int, noise: str = "mild", style: str = "any", held: bool = False, **own: Any
) -> tuple[str, dict[str, Any]]:
    return generate(seed, games(), noise, style, held, own)


def same_place(one: str, other: str) -> bool:
    return one.split()[:3] == other.split()[:3]


@settings(max_examples=12, deadline=None)
@given(SEEDS, NOISES, STYLES, st.booleans())
def test_moves_are_legal_and_their_words_stand_where_the_reading_says(
    seed: int, noise: str, style: str, held: bool
) -> None:
    text, ref = talk(seed, noise, style, held)
    assert ref["moves"]
    for row in ref["moves"]:
        board = chess.Board(row["before"])
        move = board.parse_san(row["san"])
        board.push(move)
        assert (move.uci(), board.fen()) == (row["uci"], row["after"])
    for row in [*ref["moves"], *ref["jumps"]]:
        start, end = row["at"]
        assert text[start:end] == row["words"] == row["words"].strip() != ""
    for fault in ref["faults"]:
        assert 0 <= fault["at"][0] <= fault["at"][1] <= len(text)
        assert 0 <= fault["move"] <= len(ref["moves"])


@settings(max_examples=8, deadline=None)
@given(SEEDS, NOISES)
def test_the_board_changes_only_by_moves_returns_and_moves_left_unsaid(seed: int, noise: str) -> None:
    _, ref = talk(seed, noise)
    board = chess.STARTING_FEN
    steps = [(j["before_move"], 0, j["to"]) for j in ref["jumps"]]
    for n, row in enumerate(ref["moves"]):
        for _, _, to in [s for s in steps if s[0] == n]:
            board = to
        for unsaid in [u for u in ref["unsaid"] if u["before_move"] == n]:
            if same_place(unsaid["before"], board):
                after = chess.Board(unsaid["before"])
                after.push_uci(unsaid["uci"])
                board = after.fen()
        assert same_place(row["before"], board), (n, row)
        board = row["after"]


@settings(max_examples=3, deadline=None)
@given(SEEDS, NOISES)
def test_a_seed_gives_one_talk(seed: int, noise: str) -> None:
    assert talk(seed, noise) == talk(seed, noise)


@settings(max_examples=5, deadline=None)
@given(SEEDS)
def test_captions_have_no_stops_and_no_capitals_but_i(seed: int) -> None:
    text, ref = talk(seed, captions=1.0)
    assert "captions" in ref["traits"]
    assert not re.search(r"[.,;:?!]|\b(?!I\b)[A-Z]", text)


@settings(max_examples=5, deadline=None)
@given(SEEDS)
def test_clean_talks_have_no_slips(seed: int) -> None:
    slips = {"lost", "unsaid", "retold", "false_start", "filler"}
    kinds = {f["kind"] for f in talk(seed, "clean")[1]["faults"]}
    assert not kinds & slips
    assert not [k for k in kinds if k.startswith("garble:")]


@pytest.mark.parametrize(
    "rate, kind",
    [(k, k) for k in ("lost", "unsaid", "false_start", "retold")] + [("mention", "mention:")],
)
def test_a_rate_of_its_own_goes_over_the_table(rate: str, kind: str) -> None:
    def count(**own: float) -> int:
        rates = {"run": 0.0, "written": 0.0, "small_letters": 0.0, "named_line": 0.0} | own
        refs = [talk(seed, **rates)[1] for seed in range(3)]
        return sum(f["kind"].startswith(kind) for ref in refs for f in ref["faults"])

    assert count(**{rate: 0.6}) > 5 * max(1, count(**{rate: 0.0}) // 5)


def test_each_kind_has_wordings_of_both_halves_and_they_share_none() -> None:
    kinds = {kind for kind, _ in load()}
    assert kinds >= set(KINDS) | {f"return_{way}" for way in RETURNS}
    for kind in kinds:
        fit, held = load().get((kind, False), ()), load().get((kind, True), ())
        assert fit and held, kind
        if not kind.startswith(("bare_", "heard_", "letter_", "rank_")):
            assert not set(fit) & set(held), kind
            assert not [w for w, n in Counter(fit + held).items() if n > 1], kind
            assert len(fit) + len(held) >= 15, kind


def test_names_stand_for_positions_that_can_be_reached() -> None:
    for row in load_openings():
        board = chess.Board()
        for san in row["moves"].split():
            board.push_san(san)
        assert row["names"]


@pytest.mark.parametrize(
    "verb, third, past, form",
    [
        ("play", True, False, "plays"),
        ("play", False, False, "play"),
        ("go on", True, False, "goes on"),
        ("take", False, True, "took"),
        ("carry off", True, False, "carries off"),
        ("carry off", True, True, "carried off"),
        ("push", True, False, "pushes"),
        ("prefer", True, True, "preferred"),
        ("be aiming", False, False, "are aiming"),
        ("be aiming", True, True, "was aiming"),
        ("be aiming", False, True, "were aiming"),
    ],
)
def test_verbs_agree(verb: str, third: bool, past: bool, form: str) -> None:
    assert conjugate(verb, third, past) == form


def test_i_am() -> None:
    assert conjugate("be happy", False, False, "I") == "am happy"


@pytest.mark.parametrize(
    "moves, kinds, none",
    [
        ("e4 e5 Nf3 Nc6 Bb5 a6", {"pawn_asks", "pawn_one"}, {"pawn_strikes"}),
        ("d4 d5 c4 dxc4", {"accepts", "captures"}, {"recaptures"}),
        ("e4 d5 exd5 Qxd5", {"recaptures"}, {"captures", "recaptures_to_centre"}),
        ("e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 bxc6", {"recaptures_to_centre"}, {"recaptures_off_centre"}),
        ("e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6", {"recaptures_off_centre"}, {"recaptures_to_centre"}),
        ("e4 e5 Nf3 Nc6 Bb5 a6 Ba4", {"retreats", "moves_away"}, {"develops"}),
        ("d4 Nf6 c4 e6 Nc3 Bb4", {"pins", "develops"}, {"checks"}),
        ("d4 d5 c4 e6 Nc3 Nf6 Bg5", {"pins"}, set()),
        ("d4 Nf6 c4 g6 Nc3 Bg7", {"fianchettoes"}, {"develops_other"}),
        ("c4 c5", {"copies", "pawn_two"}, {"accepts"}),
        ("e4 c6 d4 d5 e5", {"pawn_past"}, {"pawn_kicks"}),
        ("e4 Nf6 e5", {"pawn_kicks"}, {"pawn_past"}),
        ("e4 e6 d4 d5 e5 c5 c3 Nc6 Nf3 Qb6", {"attacks_square", "queen_moves"}, {"retreats"}),
        ("e4 c5 d4 cxd4 c3 dxc3 Nxc3", {"recaptures"}, {"wins_pawn"}),
        ("e4 e6 d4 d5 e5 f5 exf6", {"in_passing", "captures"}, {"recaptures"}),
    ],
)
def test_what_a_move_does(moves: str, kinds: set[str], none: set[str]) -> None:
    """Common terms of the trade (common practice) on textbook positions."""
    board, last, took = chess.Board(), None, False
    *before, told = moves.split()
    for san in before:
        last = board.parse_san(san)
        took = board.is_capture(last)
        board.push(last)
    found = set(kinds_of(Turn(board, board.parse_san(told), last, took)))
    assert found >= kinds
    assert not found & none

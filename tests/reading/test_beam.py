"""The search's steps, each on hand-made readings."""

from __future__ import annotations

from collections.abc import Sequence

import chess
import pytest

from linewright.reading.phrases.context import Interlude
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.search import hypothesis
from linewright.reading.search.hypothesis import Hypothesis, Proposal, merge, prune, trim, within_window
from linewright.reading.search.move_candidates import softplus
from linewright.reading.search.positions import Atlas, Position
from linewright.reading.search.returns import (
    Mark,
    NextNumber,
    TreeNode,
    child_of,
    number_odds,
    numbered,
    resolve,
    target_scores,
)
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk


class Games:
    """A scripted base: 1.e4 in nine games of ten."""

    def __init__(self) -> None:
        self.asked = 0

    def moves_played(self, keys: object) -> dict[int, dict[str, int]]:
        self.asked += 1
        return {chess.polyglot.zobrist_hash(chess.Board()): {"e2e4": 90, "d2d4": 10}}


def tree(*lines: str) -> tuple[TreeNode, ...]:
    """A tree of lines given in SAN, each from the start."""
    root = Atlas(None).start(chess.Board())
    out = [TreeNode(root, -1, "")]
    for line in lines:
        at = 0
        for san in line.split():
            position = out[at].position
            uci = position.board.parse_san(san).uci()
            child = child_of(tuple(out), at, uci)
            if child is None:
                legal = next(m for m in position.legal if m.uci == uci)
                out.append(TreeNode(position.after(legal), at, uci))
                child = len(out) - 1
            at = child
    return tuple(out)


def test_pruning_keeps_one_reading_for_each_history_and_few_for_each_position() -> None:
    line = tree("e4 e5", "d4")
    same = [Hypothesis(-float(i), line, 2, history=7) for i in range(3)]
    others = [Hypothesis(-0.5 - i, line, 2, history=100 + i) for i in range(9)]
    elsewhere = Hypothesis(-4.0, line, 3, history=8)
    kept = prune([Proposal(h.score, h, None) for h in (*same, *others, elsewhere)])
    assert [h.score for h in kept] == sorted((h.score for h in kept), reverse=True)
    assert sum(h.history == 7 for h in kept) == 1
    assert sum(h.at == 2 for h in kept) == 4
    assert any(h.at == 3 for h in kept), "a position of its own stays in play"


def test_pruning_gives_up_hopeless_readings() -> None:
    line = tree("e4 e5")
    near, far = Hypothesis(0.0, line, 1), Hypothesis(-hypothesis.WINDOW - 1.0, line, 2, history=1)
    assert len(prune([Proposal(h.score, h, None) for h in (near, far)])) == 1


def proposals(*scores: float, at: int = 2, histories: Sequence[int] = ()) -> list[Proposal]:
    """Readings of one line with these scores, each of its own history unless given."""
    line = tree("e4 e5", "d4")
    known = histories or range(len(scores))
    found = [Hypothesis(score, line, at, history=history) for score, history in zip(scores, known, strict=True)]
    return [Proposal(h.score, h, None) for h in found]


@pytest.mark.parametrize(
    ("scores", "kept"),
    [((-3.0, 0.0, -9.9), [0.0, -3.0, -9.9]), ((0.0, -10.1), [0.0]), ((-20.0, -29.0), [-20.0, -29.0]), ((), [])],
)
def test_within_the_window_are_those_near_the_best_first(scores: tuple[float, ...], kept: list[float]) -> None:
    assert [p.score for p in within_window(proposals(*scores))] == kept


def test_merging_keeps_the_first_of_each_mark() -> None:
    found = list(merge(proposals(0.0, -1.0, -2.0, histories=(7, 7, 8))))
    assert [(p.score, mark[0]) for p, mark in found] == [(0.0, 7), (-2.0, 8)]


@pytest.mark.parametrize(("beam", "kept"), [(160, [0.0, -1.0, -2.0, -3.0]), (2, [0.0, -1.0]), (1, [0.0])])
def test_trimming_keeps_four_of_a_position_and_no_more_than_the_beam_holds(beam: int, kept: list[float]) -> None:
    assert [p.score for p in trim(merge(proposals(*(-float(i) for i in range(9)))), beam)] == kept


def test_targets_are_a_distribution_and_leave_out_the_position_on_the_board() -> None:
    line = tree("e4 e5 Nf3 Nc6", "e4 c5")
    scores = target_scores(line, 4, Interlude(0.0, (), ()))
    assert scores[4] == float("-inf")
    assert sum(2.718281828459045**s for s in scores if s > -99) == pytest.approx(1.0)


def test_a_named_move_points_at_its_position() -> None:
    line = tree("e4 e5 Nf3 Nc6 Bb5 a6")
    named = PhraseFinder(tokens(plain_talk("knight f3")), False).all()[0][0]
    scores = target_scores(line, 6, Interlude(3.0, (named,), ()))
    assert max(range(7), key=scores.__getitem__) == 3
    negated = target_scores(line, 6, Interlude(3.0, (named,), (named,)))
    assert max(range(7), key=negated.__getitem__) == 2, "instead of knight f3: the position before it"


def test_marks_resolve_to_names_the_start_and_moves() -> None:
    line = tree("e4 e5 Nf3 Nc6", "e4 c5")
    names = (("A", 2),)
    moves = tuple(PhraseFinder(tokens(plain_talk("2.Nf3")), False).all()[0])
    assert resolve(line, names, Mark("back", "A")) == 2
    assert resolve(line, names, Mark("back", "start")) == 0
    assert resolve(line, names, Mark("back", "2.Nf3", moves)) == 3
    assert resolve(line, names, Mark("back", "nowhere")) is None


def test_the_base_is_asked_once_for_a_position() -> None:
    games = Games()
    atlas = Atlas(games)
    root = atlas.start(chess.Board())
    atlas.ask([root])
    atlas.ask([root, atlas.start(chess.Board())])
    assert games.asked == 1
    assert root.counts == {"e2e4": 90, "d2d4": 10}


def test_likelihoods_follow_the_games_and_leave_room_for_the_rest() -> None:
    atlas = Atlas(Games())
    root = atlas.start(chess.Board())
    atlas.ask([root])
    likely = {m.uci: 2.718281828459045 ** root.log_likelihood(m) for m in root.legal}
    assert sum(likely.values()) == pytest.approx(1.0)
    assert likely["e2e4"] > 0.7 > 0.2 > likely["d2d4"] > likely["g1f3"] > 0.0


def test_sense_prefers_recaptures_and_shuns_gifts() -> None:
    board = chess.Board()
    for san in ("e4", "d5", "exd5"):
        last = board.parse_san(san)
        board.push(last)
    before = board.copy()
    before.pop()
    legal = next(m for m in Position(before, 0, None).legal if m.uci == "e4d5")
    sense = Position(board, 1, legal).sense
    assert max(sense, key=sense.__getitem__) == "d8d5"
    assert sense["d8d6"] > sense["d8d5"] * 0.0
    assert sum(sense.values()) == pytest.approx(1.0)


def test_softplus() -> None:
    assert softplus(0.0) == pytest.approx(0.6931471805599453)
    assert softplus(800.0) == pytest.approx(800.0)
    assert softplus(-800.0) == pytest.approx(0.0)


def test_a_spoken_move_number_speaks_for_the_positions_that_it_fits() -> None:
    line = tree("e4 e5 Nf3 Nc6 Bb5 a6")
    third = NextNumber(3, False, 2.5)
    assert number_odds(line[6].position, third) == 2.5, "move 4 is next: the trainer goes back"
    assert number_odds(line[4].position, third) == -2.5
    scores = numbered(line, target_scores(line, 6, Interlude(0.0, (), ())), third)
    assert {i for i, s in enumerate(scores) if s > max(scores) - 1.0} == {4, 5}, "White's third move and Black's"
    assert sum(2.718281828459045**s for s in scores) == pytest.approx(1.0)
    black = NextNumber(3, True, 6.0)
    assert not black.fits(line[4].position) and black.fits(line[5].position)

"""Laws of how likely a walk's positions are met."""

from __future__ import annotations

import zlib
from collections import defaultdict

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.lesson.path_chances import PathChances
from linewright.lesson.walk import Node, Walk
from tests.lesson.walks import walks


def share(_: chess.Board, before: Node, after: Node) -> float:
    """Invented shares that are the same each time, together 1 at every position."""
    weights = [1 + zlib.crc32(f"{before.id} {child}".encode()) % 9 for child in before.children]
    return weights[before.children.index(after.id)] / sum(weights)


@settings(deadline=None, max_examples=60)
@given(walks(), st.sampled_from([chess.WHITE, chess.BLACK, None]))
def test_chances_shrink_along_a_line_and_those_of_the_opponents_replies_sum_to_the_positions(
    walk: Walk, side: chess.Color | None
) -> None:
    reach = PathChances(walk, side, share)
    children: dict[int, float] = defaultdict(float)
    for node in reversed(walk.nodes):  # asked in any order
        if node.parent is None:
            assert reach.of(node.id) == 1
            continue
        before = walk.nodes[node.parent]
        if chess.Board(before.fen).turn is side:
            assert reach.of(node.id) == reach.of(before.id)
        else:
            children[before.id] += reach.of(node.id)
        assert 0 < reach.of(node.id) <= reach.of(before.id)
    for before_id, found in children.items():
        assert found == pytest.approx(reach.of(before_id))


@settings(deadline=None, max_examples=40)
@given(walks(), st.data())
def test_what_lies_beside_the_start_is_never_met(walk: Walk, data: st.DataObject) -> None:
    start = data.draw(st.sampled_from(range(len(walk.nodes))))
    reach = PathChances(walk, chess.WHITE, share, (start,))
    for node in walk.nodes:
        inside = start == node.id or start in walk.line(node.id) or start == 0
        assert reach.below(node.id) == inside
        assert (reach.of(node.id) > 0) == inside
    assert reach.of(start) == 1


def test_each_share_is_asked_for_once() -> None:
    from tests.practice.talks import told

    asked: list[tuple[int, int]] = []

    def counting(board: chess.Board, before: Node, after: Node) -> float:
        asked.append((before.id, after.id))
        return share(board, before, after)

    walk = told("e4 e5 ( c5 Nf3 d6 ) Nf3 Nc6")
    reach = PathChances(walk, chess.WHITE, counting)
    for _ in range(2):
        for node in walk.nodes:
            reach.of(node.id)
    assert asked and len(asked) == len(set(asked))
    assert all(chess.Board(walk.nodes[before].fen).turn == chess.BLACK for before, _ in asked)

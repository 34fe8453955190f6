"""Which moves words may mean, and what words that were misheard beyond knowing may stand for."""

from __future__ import annotations

import chess
import chess.polyglot
import pytest

from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.search.move_candidates import GARBLED_SHARE, Ways, usual
from linewright.reading.search.positions import Atlas, Position
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk


class Games:
    """A scripted base: from the start 1.e4, 1.d4, 1.c4 and 1.Nf3."""

    def __init__(self, **counts: int) -> None:
        self.counts = counts

    def moves_played(self, keys: object) -> dict[int, dict[str, int]]:
        return {chess.polyglot.zobrist_hash(chess.Board()): self.counts}


def start(**counts: int) -> Position:
    atlas = Atlas(Games(**counts))
    position = atlas.start(chess.Board())
    atlas.ask([position])
    return position


def ways(words: str, heard: bool = True) -> Ways:
    phrases = PhraseFinder(tokens(plain_talk(words)), heard).at(0)
    return Ways(phrases, [0.0] * len(phrases), None, heard)


def test_usual_moves_are_those_of_enough_games() -> None:
    many = usual(start(e2e4=60, d2d4=35, c2c4=5), GARBLED_SHARE)
    assert {legal.uci: share for legal, share in many} == {"e2e4": 0.6, "d2d4": 0.35}
    assert usual(start(e2e4=2), GARBLED_SHARE) == []


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("a6", {"e2e4", "d2d4"}),  # no move goes there: some pawn's was meant, which one the games must say
        ("knight h5", {"g1f3"}),  # the piece may still be right
        ("castles", set()),
    ],
)
def test_misheard_words_stand_for_usual_moves_that_sound_near(words: str, meant: set[str]) -> None:
    position = start(e2e4=40, d2d4=30, g1f3=30)
    found = ways(words).misheard(position)
    assert {way.match.legal.uci for way in found} == meant
    assert all(way.phrase.kind == "misheard" for way in found)


def test_typed_words_are_never_misheard() -> None:
    assert ways("a6", heard=False).misheard(start(e2e4=40, d2d4=60)) == []


def test_saying_a_move_beats_mishearing_it() -> None:
    position = start(e2e4=50, d2d4=50)
    both = ways("e4")
    said = both.of(position)[0]
    assert said.match.legal.uci == "e2e4"
    assert said.score > max(way.score for way in both.misheard(position))

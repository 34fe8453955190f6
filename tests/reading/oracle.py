"""Can a talk's true reading be read at all? Forces it through the phrases and tells each move that can't be reached.

    python -m tests.reading.oracle TALK …      (NAME.ref.json beside each)

No score is looked at: a move is *offered* when some phrase that touches its words fits it, and *reachable* when the
tokens can be gone through from the talk's first to its last so that it is played on the way.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import chess

from linewright.reading.phrases.context import Context
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.phrases.speaker_side import persons
from linewright.reading.search.beam import Search
from linewright.reading.search.positions import Atlas, Position
from linewright.reading.words.caption_like import is_heard
from linewright.reading.words.tokens import Token, tokens
from linewright.talk.load import load_talk
from linewright.talk.model import Talk


@dataclass(frozen=True)
class Move:
    """A true move: the position it is played from and the tokens that tell it, half-open."""

    before: str
    uci: str
    first: int
    last: int
    words: str


@dataclass(frozen=True)
class Lost:
    """A true move that no way through the tokens plays; ``offered`` when a phrase for it is there all the same."""

    move: Move
    offered: bool


class Forced:
    """One talk's tokens and phrases, and the ways through them."""

    def __init__(self, talk: Talk) -> None:
        self.tokens: tuple[Token, ...] = tokens(talk)
        heard = is_heard(talk, self.tokens)
        self.phrases = PhraseFinder(self.tokens, heard).all()
        context = Context(self.tokens, self.phrases)
        atlas = Atlas(None)
        self.search = Search(
            context, atlas, atlas.start(chess.Board()), persons(self.tokens, ""), heard=heard
        )  # fmt: skip

    def passed(self, index: int) -> set[int]:
        """The tokens from which reading can go on when no phrase at this one is played."""
        if not self.phrases[index]:
            return {index + 1}
        passing = self.search._passing(index)
        if passing is None:
            return {index + 1}
        return {*passing.lasts, *passing.inside, *(() if passing.pause is None else (passing.pause,))}

    def plays(self, index: int, move: Move) -> set[int]:
        """The tokens after the phrases at this one that play the move."""
        if not (index < move.last and move.first <= index + 4):
            return set()
        position = Position(chess.Board(move.before), 0, None)
        return {
            p.last
            for p in self.phrases[index]
            if p.first < move.last and move.first < p.last and move.uci in position.fits(p)
        }

    def lost(self, moves: Sequence[Move]) -> list[Lost]:
        """The true moves that must be left out on the best way through the tokens."""
        size = len(self.tokens)
        best: list[dict[int, tuple[int, tuple[int, ...]]]] = [{} for _ in range(size + 1)]
        best[0][0] = (0, ())

        def reach(at: int, done: int, missed: tuple[int, ...]) -> None:
            old = best[at].get(done)
            if old is None or len(missed) < old[0]:
                best[at][done] = (len(missed), missed)

        for index in range(size):
            for done in sorted(best[index]):
                _, missed = best[index][done]
                while done < len(moves) and moves[done].last <= index:  # its words are over
                    missed, done = (*missed, done), done + 1
                for last in self.passed(index):
                    reach(min(last, size), done, missed)
                if done < len(moves):
                    for last in self.plays(index, moves[done]):
                        reach(last, done + 1, missed)
        ends = [(len(m) + len(moves) - done, (*m, *range(done, len(moves)))) for done, (_, m) in best[size].items()]
        _, left = min(ends)
        offered = {i for i in left if any(self.plays(t, moves[i]) for t in range(moves[i].first, moves[i].last))}
        return [Lost(moves[i], i in offered) for i in left]


def true_moves(path: Path, talk: Talk, words: Sequence[Token]) -> list[Move]:
    """The true moves of a talk, by the tokens that tell them."""
    ref: dict[str, Any] = json.loads((path.parent / f"{path.name.split('.')[0]}.ref.json").read_text("utf-8"))
    spans = [talk.words[t.word].at for t in words]
    out = []
    for move in ref["moves"]:
        a, b = move["at"]
        inside = [i for i, (x, y) in enumerate(spans) if x < b and y > a]
        out.append(Move(move["before"], move["uci"], inside[0], inside[-1] + 1, move["words"]))
    return out


def lost_moves(path: Path) -> tuple[list[Lost], int]:
    """The moves of a typed talk that can't be read, and how many there are in all."""
    talk = load_talk(path)
    forced = Forced(talk)
    moves = true_moves(path, talk, forced.tokens)
    return forced.lost(moves), len(moves)


def main() -> None:
    for name in sys.argv[1:]:
        lost, total = lost_moves(Path(name))
        print(f"{Path(name).name}: {len(lost)} of {total} moves can't be reached")
        for one in lost:
            print(f"  {one.move.words!r} {one.move.uci} {'offered, but jumped over' if one.offered else 'not offered'}")


if __name__ == "__main__":
    main()

"""Which moves any words of a talk may name, whether the reading plays them or not."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

import chess

from linewright.lesson.walk import MoveStep, Said, Walk
from linewright.reading.answers import four_fields
from linewright.reading.phrases.context import Context
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.search.move_candidates import LIKELIHOOD_POWER
from linewright.reading.search.positions import Atlas, MoveCounts, Position
from linewright.reading.words.tokens import tokens
from linewright.talk.model import Talk, Unit

#: Nats for each token of the words that a phrase leaves out: "queen b3" is hardly the pawn's b3.
LEFT_OUT = 3.0
#: Nats for each step that a position lies back in the telling: near positions are offered first.
EACH_STEP_BACK = 0.1
#: Steps before and after some words in which they may only repeat a move that is read.
CLOSE_BY = 2
#: Tokens that a phrase reaches over at most.
LONGEST = 12


@dataclass(frozen=True, slots=True)
class Passed:
    """Words that look like a move and are not played by a reading.

    :param playing: log-odds that they are played, by the words around them alone.
    :param repeats: they fit a move read close by, and so may only repeat or announce it.
    """

    said: Said
    playing: float
    repeats: bool


class TalkScan:
    """The phrases of one talk; positions are shared between readings of it.

    :param base: how often moves are played; without one, common sense has to do.
    """

    def __init__(self, talk: Talk, base: MoveCounts | None = None) -> None:
        self.talk = talk
        words = tokens(talk)
        self.words = [t.word for t in words]
        self.phrases = PhraseFinder(words, talk.unit is Unit.SECONDS).all()
        self.context = Context(words, self.phrases)
        self.atlas = Atlas(base)
        self._roots: dict[str, Position] = {}

    def positions(self, walk: Walk) -> tuple[Position, ...]:
        """The position of each node of a walk's tree, with its counts."""
        root = self._roots.get(walk.start)
        if root is None:
            root = self._roots[walk.start] = self.atlas.start(chess.Board(walk.start))
        out = [root]
        for node in walk.nodes[1:]:
            assert node.parent is not None
            parent = out[node.parent]
            out.append(parent.after(next(legal for legal in parent.legal if legal.uci == node.uci)))
        self.atlas.ask(out)
        return tuple(out)

    def said(self, first: int, last: int) -> Said:
        """The talk's words from word ``first`` up to word ``last``, which must be after it."""
        words = self.talk.words
        return Said(
            first, last, self.talk.quote(first, last), words[first].start, words[last - 1].end, words[first].place
        )

    def phrases_in(self, first: int, last: int) -> list[Phrase]:
        """The phrases that begin in the words from ``first`` up to ``last``."""
        one, two = bisect_left(self.words, first), bisect_left(self.words, last)
        return [phrase for options in self.phrases[one:two] for phrase in options]

    def phrase_start(self, word: int) -> int:
        """The first word of the phrase that word number ``word`` stands in, the word itself where there is none."""
        at = bisect_left(self.words, word)
        for index in range(max(0, at - LONGEST), at):
            phrase = self.context.main[index]
            if phrase is not None and phrase.last > at:
                return self.words[index]
        return word

    def telling(self, san: str, before: str, first: int, last: int) -> list[tuple[int, int, float]]:
        """Word ranges between ``first`` and ``last`` whose words may name a move, with their cost in nats.

        :param before: FEN of the position that the move is legal in.
        """
        board = chess.Board(four_fields(before))
        uci = board.parse_san(san).uci()
        position = Position(board, 0, None)
        out = []
        for phrase in self.phrases_in(first, last):
            costs = [m.cost for m in position.matches(phrase) if m.legal.uci == uci]
            end = self.words[phrase.last - 1] + 1
            if costs and end <= last:
                out.append((self.words[phrase.first], end, phrase.cost + min(costs)))
        return out

    def readings(self, walk: Walk, first: int, last: int, step: int) -> list[tuple[str, str]]:
        """Moves that the words may tell from any position shown before, likeliest first, as (SAN, FEN before)."""
        positions = self.positions(walk)
        reached: dict[int, int] = {0: 0}
        for index, done in enumerate(walk.steps[:step], 1):
            reached[done.node] = index
        scores: dict[tuple[int, str], float] = {}
        start, end = bisect_left(self.words, first), bisect_left(self.words, last)
        for phrase in self.phrases_in(first, last):
            left_out = LEFT_OUT * (phrase.first - start + max(0, end - phrase.last))
            for node, when in reached.items():
                position = positions[node]
                for match in position.matches(phrase):
                    score = LIKELIHOOD_POWER * position.log_likelihood(match.legal) - match.cost - phrase.cost
                    score -= EACH_STEP_BACK * (step - when) + left_out
                    made = node, match.legal.uci
                    scores[made] = max(score, scores.get(made, score))
        best = sorted(scores, key=lambda made: -scores[made])
        boards = {node: positions[node].board for node, _ in best}
        return [(boards[node].san(chess.Move.from_uci(uci)), boards[node].fen()) for node, uci in best]

    def passed(self, walk: Walk) -> list[Passed]:
        """Words that look like moves and are passed over by a reading."""
        covered = {i for move in walk.moves for i in range(move.said.first, move.said.last)}
        positions = self.positions(walk)
        out = []
        for phrase in self.context.main:
            if phrase is None:
                continue
            first, last = self.words[phrase.first], self.words[phrase.last - 1] + 1
            if not covered.isdisjoint(range(first, last)):
                continue
            step = walk.step_at(first)
            near = [s for s in walk.steps[max(0, step - CLOSE_BY) : step + CLOSE_BY] if isinstance(s, MoveStep)]
            repeats = any(m.legal.uci == s.uci for s in near for m in positions[s.parent].matches(phrase))
            out.append(Passed(self.said(first, last), self.context.playing(phrase), repeats))
        return out

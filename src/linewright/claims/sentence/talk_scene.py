"""The scene of a claim: the walk's positions by moment, and the side that the lesson is for."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import Counter
from functools import cache, cached_property
from typing import Final

import chess

from linewright.claims.sentence.named_moves import piece_kinds
from linewright.claims.sentence.words import Sentence, SentenceToken, sentences
from linewright.language.wordings import DEFAULT, word_set, wording
from linewright.lesson.walk import MoveStep, ReturnStep, Said, Walk

#: The side is guessed from who "we" and "he" move only with at least this many moves that tell …
VOTES = 4
#: … of which at least this share agrees; trainers now and then speak for the other side.
AGREEING = 0.8
#: Words before those of a move in which "we" or "he" may stand.
LEADING = 3

#: Without punctuation a clause may run on; this many tokens before and after a claim's own words are kept.
LONGEST_SIDE = 14

_SIDES: Final = "claims/sentence/sides"
_MOVES: Final = "claims/sentence/named_moves"
#: A written man, square or castling.
_WRITTEN = re.compile(r"(?i:\b[a-h]?x?[a-h][1-8]\b)|[KQRBN]|O-O")


class Scene:
    """A walk with what the claim finders ask of it, computed once."""

    def __init__(self, walk: Walk, language: str = DEFAULT) -> None:
        """:param language: of the talk, as its folder in ``language/`` is named."""
        self.walk = walk
        self.language = language

    @cached_property
    def sentences(self) -> tuple[Sentence, ...]:
        return sentences(self.walk.talk, self.language)

    def words_before(self, sentence: Sentence) -> tuple[SentenceToken, ...]:
        """The words of the sentence before a sentence, or before a part of one."""
        at = bisect_right(self._ends, sentence.tokens[0].first)
        return self.sentences[at - 1].tokens if at else ()

    def words_after(self, sentence: Sentence) -> tuple[SentenceToken, ...]:
        """The words of the sentence after a sentence, or after a part of one."""
        at = bisect_right(self._ends, sentence.tokens[-1].last)
        return self.sentences[at].tokens if at < len(self.sentences) else ()

    @cached_property
    def _ends(self) -> tuple[int, ...]:
        """Where the sentences end, in words."""
        return tuple(sentence.tokens[-1].last for sentence in self.sentences)

    @cached_property
    def side(self) -> chess.Color | None:
        """The side the lesson is for ("we"), or None where nothing shows it."""
        return lesson_side(self.walk, self.language)

    @cached_property
    def _keys(self) -> tuple[str, ...]:
        return tuple(position_key(node.fen) for node in self.walk.nodes)

    def step_at(self, word: int) -> int:
        """Steps done when a word is being said."""
        return self.walk.step_at(word)

    def fen(self, steps: int) -> str:
        """Full FEN of the board when ``steps`` steps are done."""
        return self.walk.nodes[self.walk.node_after(steps)].fen

    def board(self, steps: int) -> chess.Board:
        return chess.Board(self.fen(steps))

    def last_move(self, steps: int) -> int | None:
        """Index of the step that led to the board after ``steps`` steps, None when that was no move."""
        index = steps - 1
        return index if index >= 0 and isinstance(self.walk.steps[index], MoveStep) else None

    def times(self, steps: int) -> int:
        """How often the position after ``steps`` steps has stood on the board along its own line.

        FIDE Laws 9.2.2: the same player to move, the same pieces on the same squares, the same possible moves
        (castling rights and en passant captures).
        """
        node = self.walk.node_after(steps)
        line = (0, *self.walk.line(node))
        return sum(self._keys[n] == self._keys[node] for n in line)

    def elsewhere(self, steps: int) -> tuple[int, ...]:
        """Earlier nodes that show the same position by another order of moves."""
        node = self.walk.node_after(steps)
        shown = {0}
        for step in self.walk.steps[:steps]:
            shown.add(step.node)
        line = {0, *self.walk.line(node)}
        return tuple(n for n in sorted(shown - line) if self._keys[n] == self._keys[node])

    def moves(self, steps: int) -> tuple[str, ...]:
        """The moves from the lesson's start to the board after ``steps`` steps, in UCI."""
        return self.walk.moves_to(self.walk.node_after(steps))

    def bare_moves(self, steps: int) -> frozenset[int]:
        """Which moves of :meth:`moves`, by index, were said by words that name neither man nor square ("takes"): the
        reading has chosen the move."""
        line = self.walk.line(self.walk.node_after(steps))
        played = (self.walk.nodes[n].step for n in line)
        return frozenset(
            index
            for index, step in enumerate(played)
            if step is not None and not _names_move(self.walk.steps[step].said.words, self.language)
        )

    def line_text(self, node: int) -> str:
        """The moves from the start to a node, numbered, e.g. ``1.e4 e5 2.Nf3``."""
        board = chess.Board(self.walk.start)
        return board.variation_san([chess.Move.from_uci(self.walk.nodes[n].uci) for n in self.walk.line(node)])

    def said(self, sentence: Sentence, first: int, last: int) -> Said:
        """The talk's own words for the tokens from ``first`` up to, not including, ``last``."""
        talk = self.walk.talk
        low, high = sentence.tokens[first].first, sentence.tokens[last - 1].last
        return Said(
            low,
            high,
            talk.quote(low, high),
            talk.words[low].start,
            talk.words[high - 1].end,
            talk.words[low].place,
        )

    def clause(self, sentence: Sentence, trigger: tuple[int, int]) -> tuple[int, int]:
        """The clause around a claim's own words, without the words of moves said before or after them."""
        first, last = self._trimmed(sentence, sentence.clause(*trigger), trigger)
        return max(first, trigger[0] - LONGEST_SIDE), min(last, trigger[1] + LONGEST_SIDE)

    def _trimmed(self, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> tuple[int, int]:
        first, last = clause
        low, high = sentence.tokens[trigger[0]].first, sentence.tokens[trigger[1] - 1].last
        before, after = bisect_right(self._step_ends, low), bisect_left(self._step_starts, high)
        if before:
            while first < trigger[0] and sentence.tokens[first].first < self._step_ends[before - 1]:
                first += 1
        if after < len(self._step_starts):
            while last > trigger[1] and sentence.tokens[last - 1].last > self._step_starts[after]:
                last -= 1
        return first, last

    @cached_property
    def _step_starts(self) -> tuple[int, ...]:
        """Where the words of steps that have any begin, ascending."""
        return tuple(sorted(step.said.first for step in self.walk.steps if step.said.first < step.said.last))

    @cached_property
    def _step_ends(self) -> tuple[int, ...]:
        """Where the words of steps that have any end, ascending."""
        return tuple(sorted(step.said.last for step in self.walk.steps if step.said.first < step.said.last))

    @cached_property
    def _naming(self) -> frozenset[int]:
        return frozenset(n for step in self.walk.steps for n in range(step.said.first, step.said.last))

    def names_move(self, word: int) -> bool:
        """Whether a word belongs to those that say a move or a return."""
        return word in self._naming

    def moves_between(self, low: int, high: int) -> bool:
        """Whether a step ends after word ``low`` and not after word ``high``."""
        return any(low < step.said.last <= high for step in self.walk.steps if step.said.first < step.said.last)


def position_key(fen: str) -> str:
    """What makes two positions the same (FIDE Laws 9.2.2): pieces, side to move, castling rights, and the en
    passant square only where such a capture is legal."""
    board = chess.Board(fen)
    return board.epd(en_passant="legal")


@cache
def _men(code: str) -> frozenset[str]:
    """The words for a man or castling: they tell more of a move than that something takes."""
    return word_set(_MOVES, "file_pawn", code).union(word_set(_MOVES, "castles", code), piece_kinds(code))


def _names_move(words: str, code: str) -> bool:
    """Whether the words of a move name a man, a square or castling."""
    return bool(_WRITTEN.search(words)) or not _men(code).isdisjoint(re.findall(r"\w+", words.lower()))


def lesson_side(walk: Walk, code: str = DEFAULT) -> chess.Color | None:
    """The side a lesson is for: as the walk says, else as the words say, else by whose moves "we" play.

    :param code: the talk's language.
    """
    if walk.side:
        return walk.side == "white"
    text = " ".join(re.sub(r"[^\w' ]", "", word.text.replace("’", "'")).lower() for word in walk.talk.words)
    hinted = {heard.value("side") for heard in wording(_SIDES, code).hints_in("lesson_side", text)}
    if len(hinted) == 1:
        return hinted.pop() == "white"
    return _side_by_pronouns(walk, code)


def _side_by_pronouns(walk: Walk, code: str) -> chess.Color | None:
    ours, theirs = word_set(_SIDES, "ours", code), word_set(_SIDES, "theirs", code)
    votes: Counter[chess.Color] = Counter()
    last = 0
    for step in walk.steps:
        start = max(last, step.said.first - LEADING)
        words = re.findall(r"\w+", " ".join(w.text.lower() for w in walk.talk.words[start : step.said.last]))
        last = step.said.last
        if isinstance(step, ReturnStep):
            continue
        mover = step.before.split()[1] == "w"
        if not ours.isdisjoint(words):
            votes[mover] += 1
        elif not theirs.isdisjoint(words):
            votes[not mover] += 1
    if not votes:
        return None
    color, most = votes.most_common(1)[0]
    total = votes.total()
    return color if total >= VOTES and most >= AGREEING * total else None

"""Reading a talk: words in, walk out. Pure but for the games base that is handed in."""

from __future__ import annotations

import gc
import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

import chess

from linewright.lesson.opening import name_opening
from linewright.lesson.walk import Alternative, BoardMark, MoveStep, ReturnStep, Said, Step, Unread, Walk
from linewright.reading.answers import Answer
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search import weights
from linewright.reading.search.beam import Search
from linewright.reading.search.breaks import NEAR
from linewright.reading.search.hypothesis import Hypothesis, chain
from linewright.reading.search.positions import Atlas, MoveCounts
from linewright.reading.search.returns import names_said_move
from linewright.reading.search.search_setup import (
    Reading,
    ReadingOptions,
    context_of,
    said_talk,
    search_of,
    take_up_again,
)
from linewright.reading.words.tokens import Token
from linewright.talk.model import Talk

#: How many phrases later a move is judged: by then most doubts are settled, and the rivals not yet forgotten.
HINDSIGHT = 6
#: Scores are divided by this before they are taken for probabilities (fitted, see bench/).
TEMPERATURE = 1.6
#: Log-odds above which a passed-over phrase is worth showing the user.
LOOKS_LIKE_A_MOVE = 1.0
#: A move that was not said is never sure.
UNSAID_SURE = 0.5
#: Share of plain phrases that fit the board where a reading goes well.
USUALLY_FITS = 0.7
#: Alternatives below this share are not shown.
WORTH_SHOWING = 0.01
SHAPES = ("ring", "dot", "cross", "path")


def read_talk(
    talk: Talk,
    base: MoveCounts | None = None,
    options: ReadingOptions | None = None,
    answers: Sequence[Answer] = (),
    progress: Callable[[float], None] | None = None,
) -> Walk:
    """Read every move and return in a talk.

    :param base: how often moves are played; without one, common sense about moves has to do.
    :param answers: what the trainer has settled; such places are read so wherever that is legal.
    :param progress: called with the part (0-1) of the words that are read.
    :raises UnusableInput: when a ``{start: FEN}`` mark holds no legal position.
    """
    with uncollected():  # what the search has made is gone before anything is looked through again
        return _read(talk, base, options or ReadingOptions(), answers, progress)


def _read(
    talk: Talk,
    base: MoveCounts | None,
    options: ReadingOptions,
    answers: Sequence[Answer],
    progress: Callable[[float], None] | None,
) -> Walk:
    said = said_talk(talk, base, answers, options)
    board = chess.Board(said.start)
    context, atlas = context_of(said), Atlas(base)

    def read_once(rescues: frozenset[int]) -> tuple[Search, list[Hypothesis]]:
        search = search_of(said, context, atlas, atlas.start(board), options, rescues)
        return search, search.run(said.forced, progress)

    best = take_up_again(*read_once(frozenset()), read_once, options.rescues)
    return best_walk(talk, said.words, best, board, said.side)


def best_walk(
    talk: Talk,
    words: Sequence[Token],
    reading: Reading,
    start: chess.Board,
    side: str,
) -> Walk:
    """The walk of a search's best reading."""
    best = reading.final[0] if reading.final else None
    writer = StepWriter(talk, words, reading)
    walk = Walk(
        talk,
        writer.steps(best) if best is not None else (),
        start.fen(),
        side,
        unread=writer.unread(best) if best is not None else (),
    )
    return replace(walk, marks=board_marks(talk, walk), opening=name_opening(walk))


@contextmanager
def uncollected() -> Iterator[None]:
    """Without the cycle collector: the search makes millions of small objects and no cycles, and looking them
    through again and again would take a third of its time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def board_marks(talk: Talk, walk: Walk) -> tuple[BoardMark, ...]:
    """The printer's marks on the board, each with the step that it appears after."""
    marks = []
    for aside in talk.asides:
        if aside.name not in SHAPES:
            continue
        for item in aside.value.replace(",", " ").split():
            squares = tuple(item.lower().split("-"))
            wanted = 2 if aside.name == "path" else 1
            if len(squares) == wanted and all(s in chess.SQUARE_NAMES for s in squares):
                marks.append(BoardMark(aside.name, squares, walk.step_at(aside.word), aside.place))
    return tuple(marks)


class StepWriter:
    """Turns the search's best reading into steps, with how sure each is, and lists what was left unread."""

    def __init__(
        self,
        talk: Talk,
        words: Sequence[Token],
        reading: Reading,
    ) -> None:
        self.talk = talk
        self.words = words
        self.context = reading.search.context
        self.alive = reading.search.alive
        self.final = reading.final
        self.agreement = reading.agreement
        self.settled = reading.search.settled
        self.weights = weights.load(self.context.language)["sure"]

    def said(self, first: int, last: int) -> Said:
        """The talk's words from token ``first`` up to token ``last``."""
        if first >= last:
            at = self.words[min(first, len(self.words) - 1)].word
            word = self.talk.words[at]
            return Said(at, at, "", word.start, word.start, word.place)
        one, two = self.words[first].word, self.words[last - 1].word + 1
        words = self.talk.words
        return Said(one, two, self.talk.quote(one, two), words[one].start, words[two - 1].end, words[one].place)

    def steps(self, best: Hypothesis) -> tuple[Step, ...]:
        out: list[Step] = []
        since = 0
        steps = chain(best)
        sures: dict[int, float] = {}
        for number, hypothesis in enumerate(steps):
            played = hypothesis.played
            assert played is not None
            phrase = played.phrase
            node = hypothesis.tree[played.parent]
            sure, instead = self.judge(
                hypothesis, steps[number + 1 : number + 1 + HINDSIGHT], sures.get(played.parent, 1.0)
            )
            sures[played.node] = sure
            came = steps[number - 1].played.node if number else 0  # type: ignore[union-attr]
            if played.parent != came:
                out.append(
                    ReturnStep(
                        self.said(*self.return_words(since, phrase.first)),
                        node.position.board.fen(),
                        played.parent,
                        sure,
                    )
                )
            before = node.position.board
            move = played.match.legal.move
            after = hypothesis.tree[played.node].position.board
            out.append(
                MoveStep(
                    self.said(phrase.first, phrase.last),
                    before.san(move),
                    move.uci(),
                    before.fen(),
                    after.fen(),
                    played.parent,
                    played.node,
                    sure,
                    instead,
                    phrase.nag,
                    phrase.kind == "given",
                )
            )
            since = phrase.last
        return tuple(out)

    def return_words(self, since: int, until: int) -> tuple[int, int]:
        """The words that announce a return: the last sentence before the move that follows it."""
        first = until
        while first > since and self.context.sentence[first - 1] == self.context.sentence[until - 1]:
            first -= 1
        return (max(first, since), until) if until > since else (until, until)

    # -- how sure ----------------------------------------------------------------------------------------

    def judge(
        self, hypothesis: Hypothesis, later: Sequence[Hypothesis], line: float
    ) -> tuple[float, tuple[Alternative, ...]]:
        """How sure the last step of a reading is, judged some moves ``later``, and what else it may be.

        :param line: how sure the move is that led to the position it is played from.
        """
        played = hypothesis.played
        assert played is not None
        if played.phrase.kind == "answer":
            return 1.0, ()
        if played.phrase.kind in ("unsaid", "misheard", "given"):
            return min(line, UNSAID_SURE), ()
        position = hypothesis.tree[played.parent].position
        mine = (position.key, played.match.legal.uci)
        shares = self.shares(played.phrase, later)
        evidence = self.evidence(hypothesis, shares.get(mine, 0.0), line)
        sure = 1.0 / (1.0 + math.exp(-math.fsum(self.weights[name] * x for name, x in evidence.items())))
        others = {k: s for k, s in shares.items() if k != mine and k[0] == position.key}
        rest = (1.0 - sure) / max(sum(others.values()), 1.0 - shares.get(mine, 0.0), 1e-9)
        instead = [
            Alternative(position.board.san(chess.Move.from_uci(uci)), uci, share * rest)
            for (_, uci), share in sorted(others.items(), key=lambda kv: -kv[1])
            if share * rest >= WORTH_SHOWING
        ]
        return sure, tuple(instead[:5])

    def shares(self, phrase: Phrase, later: Sequence[Hypothesis]) -> dict[tuple[int, str], float]:
        """Share of each (position, move) among all readings of a phrase's words: the less of what the final
        readings say and what those alive some moves later said, so that neither alone makes sure."""
        crowds = [self.final]
        if len(later) == HINDSIGHT and later[-1].played is not None:
            crowds.append(self.alive[later[-1].played.phrase.first])
        tables = [_shares(crowd, phrase) for crowd in crowds]
        return {made: min(t.get(made, 0.0) for t in tables) for t in tables for made in t}

    def evidence(self, hypothesis: Hypothesis, share: float, line: float) -> dict[str, float]:
        """What speaks for the last step of a reading: the "sure" features.

        :param share: of the readings, 0-1.
        :param line: how sure the move is that led to the position it is played from.
        """
        played = hypothesis.played
        assert played is not None
        phrase, position = played.phrase, hypothesis.tree[played.parent].position
        fit, unfit = self.agreement.after(phrase.last)
        _, unfit_before = self.agreement.before(phrase.first)
        known = "" if position.counts else ", no games"
        out = {
            f"bias{known}": 1.0,
            f"share{known}": math.log((share + 1e-4) / (1.0 - share + 1e-4)),
            f"line{known}": math.log(max(line, 1e-3)),
            "far-fetched": min(5.0, phrase.cost + played.match.cost),
            "fit after": fit + USUALLY_FITS * (NEAR - fit - unfit),  # nothing is seen at a talk's end
            "unfit after": float(unfit),
            "unfit before": float(unfit_before),
        }
        if position.counts:
            out["likely"] = max(-6.0, position.log_likelihood(played.match.legal))
        if phrase.deed is not None or phrase.past:
            out["loosely said"] = 1.0
        return out

    # -- unread ------------------------------------------------------------------------------------------

    def unread(self, best: Hypothesis) -> tuple[Unread, ...]:
        """Phrases that look played but fit no position of the reading."""
        steps = chain(best)
        covered = [(h.played.phrase.first, h.played.phrase.last) for h in steps if h.played]
        out = []
        for phrase in self.context.main:
            if (
                phrase is None
                or phrase.past
                or phrase.deed
                or any(f < phrase.last and phrase.first < t for f, t in covered)
            ):
                continue
            if self.context.playing(phrase) < LOOKS_LIKE_A_MOVE or phrase.first in self.settled:
                continue
            before = [h for h in steps if h.played and h.played.phrase.last <= phrase.first]
            board = before[-1] if before else None
            if board is not None and names_said_move(board.tree, phrase):
                continue
            lost = next((b for b in self.agreement.lost if b.first <= phrase.first < b.last), None)
            if lost is not None and phrase.first != lost.first:
                continue  # a lost line is reported once, where it was lost
            why = self._why(board, phrase, best)
            further = lost.phrases - 1 if lost is not None else 0
            if further:
                why = f"the line breaks here: {further} more moves after it fit nowhere; {why}"
            out.append(Unread(self.said(phrase.first, phrase.last), why, further))
        return tuple(out)

    def _why(self, hypothesis: Hypothesis | None, phrase: Phrase, best: Hypothesis) -> str:
        position = hypothesis.position if hypothesis is not None else best.tree[0].position
        board = position.board
        if matches := position.matches(phrase):
            san = board.san(matches[0].legal.move)
            return f"{san} would be legal but fits the talk badly: position {board.fen()}"
        return f"{_reason(phrase)}: position {board.fen()}"


def _reason(phrase: Phrase) -> str:
    name = chess.piece_name("PNBRQK".index(phrase.piece) + 1) if phrase.piece else "piece"
    if phrase.castles:
        return "castling is not possible"
    if phrase.takes:
        return f"no {name} can take{' on ' + phrase.to if phrase.to else ''}"
    if phrase.to:
        return f"no {name} can reach {phrase.to}"
    return "no move gives check"


def _shares(crowd: list[Hypothesis], phrase: Phrase) -> dict[tuple[int, str], float]:
    """Probability of each (position, move) that the readings of a crowd make of a phrase's words."""
    if not crowd:
        return {}
    top = max(h.score for h in crowd)
    out: dict[tuple[int, str], float] = {}
    total = 0.0
    for hypothesis in crowd:
        weight = math.exp((hypothesis.score - top) / TEMPERATURE)
        total += weight
        made = _made(hypothesis, phrase)
        if made is not None:
            out[made] = out.get(made, 0.0) + weight
    return {made: weight / total for made, weight in out.items()}


def _made(hypothesis: Hypothesis, phrase: Phrase) -> tuple[int, str] | None:
    """What a reading makes of a phrase's words: the position's key and the move, None when passed over."""
    at: Hypothesis | None = hypothesis
    while at is not None and at.played is not None and at.played.phrase.last > phrase.first:
        if at.played.phrase.first < phrase.last:
            node = at.tree[at.played.parent]
            return node.position.key, at.played.match.legal.uci
        at = at.before
    return None

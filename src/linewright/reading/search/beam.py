"""Beam search: several readings of a talk are kept alive, word by word, until later words settle them.

Each step is a small function: expand (play, go back and play, or pass over), merge, prune.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from linewright.reading.answers import Answer, same_position
from linewright.reading.openings.named_lines import NamedJumps
from linewright.reading.phrases.context import Context, Interlude
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search import weights
from linewright.reading.search.hypothesis import BEAM, WINDOW, Hypothesis, Proposal, prune
from linewright.reading.search.move_candidates import LIKELIHOOD_POWER, Way, Ways, softplus
from linewright.reading.search.positions import Atlas, Match, Position
from linewright.reading.search.returns import (
    NUMBER_SPEAKS,
    NUMBER_SPOKEN,
    Mark,
    NextNumber,
    TreeNode,
    child_of,
    led_by,
    names_said_move,
    number_odds,
    numbered,
    resolve,
    target_scores,
)
from linewright.reading.search.unsaid import Unsaid
from linewright.reading.words.units import units
from linewright.reading.words.vocabulary import vocabulary

#: What is mentioned and not played is, half the time, a move that could be played; else anything, at this cost
#: in nats. So a likely move is passed over only for what is said around it, an impossible one at a price.
PASSING = 3.3
#: Nats for passing over what is said in the past or in plain words: such words fit so many moves that they say
#: nothing of the position, whatever could be played there.
LOOSELY = 1.5
#: Nats for taking a piece's name before a comma for no part of the move after it.
PARTED = 3.0
#: A phrase inside another is the better one when its words are plainer by this many nats; nats for cutting there.
BETTER = 1.0
MISCUT = 0.5
#: Passing over words that only repeat the move just played.
RESTATED = 1.5
#: Nats for not reading a settled place as it was settled.
DISOBEYING = 60.0
#: Playing again, in the same position, a move said before.
SAID_BEFORE_HERE = 0.7
#: Naming a move said before, to go back to it.
NAMES_SAID_MOVE = 1.0
#: Going back and saying a known move again, rather than a new one.
SAID_AGAIN = 1.5


#: Log-odds for a return where there can be none: a mark has set the board, or returns are switched off. Far below what
#: words can outweigh, and finite, so that a reading with no other way still stands.
NO_RETURN = -30.0


class Passing(NamedTuple):
    """How the phrases at a token are passed over, whatever the reading.

    :param main: the phrase that best accounts for the words.
    :param cost: nats for not playing it, by the words around it.
    :param lasts: the tokens from which reading goes on.
    :param inside: tokens inside it where a better phrase begins, so that no phrase hides another.
    :param pause: the token after a comma in it, which may begin a move of its own.
    :param names: it may name a move said before: "instead of e5", "back to e5".
    """

    main: Phrase
    cost: float
    lasts: tuple[int, ...]
    inside: tuple[int, ...]
    pause: int | None
    names: bool


class Search:
    """The search over one talk.

    :param persons: for each token a phrase may begin at, the side that the speaker gives the move to:
        ``(is White, nats when wrong)`` or None.
    :param answers: what the trainer has settled, by tokens instead of words.
    :param named: the openings that the talk names.
    :param rescues: tokens where an earlier search of the same words had lost the line.
    """

    def __init__(
        self,
        context: Context,
        atlas: Atlas,
        root: Position,
        persons: Sequence[tuple[bool, float] | None],
        greedy: bool = False,
        returns: bool = True,
        answers: Sequence[Answer] = (),
        heard: bool = False,
        rescues: frozenset[int] = frozenset(),
        named: NamedJumps | None = None,
    ) -> None:
        self.heard = heard
        self.context = context
        self.atlas = atlas
        self.named = named or NamedJumps({})
        self.unsaid = Unsaid(atlas, context.tokens, rescues, context.language)
        self._names = frozenset(units(context.language).pieces) | vocabulary(context.language).article
        self.persons = persons
        self._target_weights = weights.load(context.language)["target"]
        self.beam = 1 if greedy else BEAM
        self.returns = returns
        self.answers = {a.first: a for a in answers if a.san}
        self.settled = frozenset(i for a in answers for i in range(a.first, a.last))
        start = Hypothesis(0.0, (TreeNode(root, -1, ""),))
        self.waiting: dict[int, list[Proposal]] = {0: [Proposal(0.0, start, None)]}
        #: Best score waiting at each token, to drop hopeless proposals before they are made.
        self.tops: dict[int, float] = {}
        #: What was alive when each token was reached, for judging afterwards how sure each move is.
        self.alive: dict[int, list[Hypothesis]] = {}

    def run(
        self, forced: Mapping[int, Sequence[Mark]], progress: Callable[[float], None] | None = None
    ) -> list[Hypothesis]:
        """Read every token; the final readings, best first.

        :param forced: light marks by token index.
        :param progress: called with the part (0-1) of the tokens that are read.
        """
        for index in range(len(self.context.tokens)):
            self.advance(index, forced)
            if progress is not None:
                progress((index + 1) / len(self.context.tokens))
        return self.finish(forced)

    def advance(self, index: int, forced: Mapping[int, Sequence[Mark]]) -> None:
        """Read the token at ``index``, the ones before it being read."""
        proposals = self.waiting.pop(index, [])
        if index in forced:
            alive = [self._obey_all(h, index, forced[index]) for h in prune(proposals, self.beam)]
            proposals = [Proposal(h.score, h, None) for h in alive]
        options = self.context.phrases[index]
        if index in self.named.named or (index == 0 and self.named.title):
            proposals = self._named_all(proposals, index)
        if not options and index not in self.settled:
            self.waiting.setdefault(index + 1, []).extend(proposals)
            return
        hypotheses = prune(proposals, self.beam)
        self.alive[index] = hypotheses
        self.atlas.ask(h.position for h in hypotheses)
        if index in self.settled:
            self._answer_all(hypotheses, index)
            return
        open_to = [p for p in options if self.settled.isdisjoint(range(p.first, p.last))]
        self._expand_all(hypotheses, index, open_to)

    def _named_all(self, proposals: list[Proposal], index: int) -> list[Proposal]:
        """Let readings go where the name of an opening leads; what was proposed stays, too."""
        hypotheses = self.alive[index] = prune(proposals, self.beam)
        proposals = [Proposal(h.score, h, None) for h in hypotheses]
        for last, grown in self.named.at(index, hypotheses):
            if last == index:
                proposals.append(Proposal(grown.score, grown, None))
            else:
                self._propose(last, grown.score, grown)
        return proposals

    def finish(self, forced: Mapping[int, Sequence[Mark]]) -> list[Hypothesis]:
        """The readings of all tokens, best first, when the last one is read."""
        last = len(self.context.tokens)
        final = self.waiting.pop(last, [])
        if last in forced:
            final = [Proposal(p.score, self._obey_all(p.grow(), last, forced[last]), None) for p in final]
        return prune(final, self.beam)

    def _propose(
        self,
        index: int,
        score: float,
        source: Hypothesis,
        phrase: Phrase | None = None,
        match: Match | None = None,
        parent: int = 0,
    ) -> None:
        """Let a reading wait for the token at ``index``, unless it is hopeless."""
        top = self.tops.get(index)
        if top is None or score > top:
            self.tops[index] = score
        elif score < top - WINDOW:
            return
        self.waiting.setdefault(index, []).append(Proposal(score, source, phrase, match, parent))

    # -- expand ------------------------------------------------------------------------------------------

    def _expand_all(self, hypotheses: list[Hypothesis], index: int, options: list[Phrase]) -> None:
        costs = [softplus(-self.context.playing(p)) for p in options]
        ways = Ways(options, costs, self.persons[index], self.heard)
        passing = self._passing(index)
        for hypothesis in hypotheses:
            self._pass_over(hypothesis, index, ways, passing)
            if options:
                self._play(hypothesis, index, ways)
        if any(p.deed is None and not p.past for p in options):
            for grown in self.unsaid.before(hypotheses, index, ways):
                self._play(grown, index, ways)
                if grown.played is not None and grown.played.phrase.kind == "given":
                    self._pass_over(grown, index, ways, passing)
                # but a single move that nobody read stands only for the sake of the one after it

    def _passing(self, index: int) -> Passing | None:
        """How the phrases that begin here are passed over; None when the same move begins at the next token too."""
        options = self.context.phrases[index]
        if all(leading(p, self.context.tokens[index].text, self._names) for p in options):
            return None
        main = self.context.chief(index)
        lasts = set()
        for last in {p.last for p in options if p.cost <= main.cost + 1.0}:
            while last > index + 1 and not self.settled.isdisjoint(range(index, last)):
                last -= 1  # a settled word is read as it was settled
            lasts.add(last)
        inside = tuple(i for i in range(index + 1, min(lasts)) if self._begins_better(i, main))
        named = not self.context.features(main).isdisjoint(("negated", "named after", "moved to"))
        return Passing(
            main, softplus(self.context.playing(main)), tuple(lasts), inside, self.context.pause(main), named
        )

    def _begins_better(self, index: int, main: Phrase) -> bool:
        """A phrase that begins here, inside ``main``, is said more plainly than it."""
        return bool(self.context.phrases[index]) and self.context.chief(index).cost + BETTER <= main.cost

    def _pass_over(self, hypothesis: Hypothesis, index: int, ways: Ways, passing: Passing | None) -> None:
        """Read the phrases that begin here as something else than a move."""
        if passing is None:
            self._propose(index + 1, hypothesis.score, hypothesis)
            return
        main = passing.main
        if restates(hypothesis, main):
            cost = RESTATED  # "knight a5, so you hit the bishop"
        elif main.past or main.deed is not None:
            cost = passing.cost + LOOSELY
        else:
            before = NAMES_SAID_MOVE if passing.names and names_said_move(hypothesis.tree, main) else math.inf
            cost = passing.cost + min(mentioning(ways.likeliest(hypothesis.position)), before)
        for last in passing.lasts:
            self._propose(last, hypothesis.score - cost, hypothesis)
        for first in passing.inside:
            self._propose(first, hypothesis.score - (cost if self.heard else min(cost, MISCUT)), hypothesis)
        if passing.pause is not None:  # "… his bad bishop, a6": what follows the comma may be a move of its own
            self._propose(passing.pause, hypothesis.score - PARTED, hypothesis)

    def _play(self, hypothesis: Hypothesis, index: int, ways: Ways) -> None:
        """Play a phrase that begins here, from the position on the board and from earlier ones."""
        gap = self.context.gap(hypothesis.since, index)
        number = self._number(hypothesis, index)
        odds = NO_RETURN if hypothesis.forced or not self.returns else gap.returning
        odds += number_odds(hypothesis.position, number)
        stay = hypothesis.score - softplus(odds)
        for way in ways.misheard(hypothesis.position):
            self._propose(way.phrase.last, stay + way.score, hypothesis, way.phrase, way.match, hypothesis.at)
        for way in ways.of(hypothesis.position):
            score = stay + way.score + self._known(hypothesis, way)
            self._propose(way.phrase.last, score, hypothesis, way.phrase, way.match, hypothesis.at)
        back = hypothesis.score - softplus(-odds)
        # No way worth less can be proposed, wherever it ends.
        floor = min(self.tops.get(last, -math.inf) for last in ways.ends) - WINDOW
        found = [(at, w) for at, w in ways.reach(hypothesis) if back + w[0].score >= floor and at != hypothesis.at]
        if not found:
            return
        scores = self._targets(hypothesis, index, gap, number)
        for at, options in found:
            reached = back + scores[at]
            for way in options:
                score = reached + way.score
                if score < floor:
                    break
                if score >= self.tops.get(way.phrase.last, score) - WINDOW:
                    if child_of(hypothesis.tree, at, way.match.legal.uci) is not None:
                        score -= SAID_AGAIN
                    self._propose(way.phrase.last, score, hypothesis, way.phrase, way.match, at)

    def _number(self, hypothesis: Hypothesis, index: int) -> NextNumber | None:
        """The move number said with the phrase that begins here, or on the way to it from the last move."""
        written = self.context.tokens[index].number
        if written is not None:
            return NextNumber(written[0], not written[1], NUMBER_SPEAKS)
        spoken = self.context.number(hypothesis.since, index)
        return NextNumber(spoken, False, NUMBER_SPOKEN) if spoken is not None else None

    def _known(self, hypothesis: Hypothesis, way: Way) -> float:
        """What a move gains, in nats, when it was said in this very position before: then it surprises nobody."""
        position = hypothesis.position
        gain = -LIKELIHOOD_POWER * position.log_likelihood(way.match.legal) - SAID_BEFORE_HERE
        if gain <= 0.0:
            return 0.0
        return gain if (position.key, way.match.legal.uci) in hypothesis.said_moves else 0.0

    # -- answers -----------------------------------------------------------------------------------------

    def _answer_all(self, hypotheses: list[Hypothesis], index: int) -> None:
        """Read a settled token as the trainer said; readings that can't are kept only if none can."""
        answer = self.answers.get(index)
        for hypothesis in hypotheses:
            cost = DISOBEYING if answer is not None else 0.0
            self._propose(index + 1, hypothesis.score - cost, hypothesis)
            if answer is not None:
                self._answer(hypothesis, index, answer)

    def _answer(self, hypothesis: Hypothesis, index: int, answer: Answer) -> None:
        phrase = Phrase(index, answer.last, "answer")
        gap = self.context.gap(hypothesis.since, index)
        stay, back = -softplus(gap.returning), -softplus(-gap.returning)
        scores = self._targets(hypothesis, index, gap, None) if len(hypothesis.tree) > 1 else [0.0]
        for at, node in enumerate(hypothesis.tree):
            match = obeying(node.position, answer)
            if match is not None:
                way = stay if at == hypothesis.at else back + scores[at]
                score = hypothesis.score + (0.0 if answer.before else way)
                self._propose(answer.last, score, hypothesis, phrase, match, at)

    # -- going back --------------------------------------------------------------------------------------

    def _targets(self, hypothesis: Hypothesis, index: int, gap: Interlude, number: NextNumber | None) -> list[float]:
        known = hypothesis.targets.get(index)
        if known is None:
            known = target_scores(hypothesis.tree, hypothesis.at, gap, self._target_weights)
            if number is not None:
                known = numbered(hypothesis.tree, known, number)
            hypothesis.targets[index] = known
        return known

    def _obey_all(self, hypothesis: Hypothesis, index: int, marks: Sequence[Mark]) -> Hypothesis:
        for mark in marks:
            hypothesis = obey(hypothesis, index, mark)
        return hypothesis


def restates(hypothesis: Hypothesis, phrase: Phrase) -> bool:
    """The phrase says again what was just played; in plain words, perhaps what the other side played before that:
    "knight a5, you hit the bishop, he hits the bishop"."""
    if not phrase.to and phrase.deed is None:
        return False
    tree, at = hypothesis.tree, hypothesis.at
    if led_by(tree, at, phrase):
        return True
    return phrase.deed is not None and tree[at].parent >= 0 and led_by(tree, tree[at].parent, phrase)


def mentioning(likely: float) -> float:
    """Nats for naming a move without playing it, if naming it as one played has log-probability ``likely``."""
    return -math.log(0.5 * math.exp(likely) + 0.5 * math.exp(-PASSING))


def obeying(position: Position, answer: Answer) -> Match | None:
    """The legal move that an answer names, if it is to be played from this position."""
    if answer.before and not same_position(answer.before, position.board.fen()):
        return None
    try:
        uci = position.board.parse_san(answer.san).uci()
    except ValueError:
        return None
    return Match(next(legal for legal in position.legal if legal.uci == uci), 0.0)


def leading(phrase: Phrase, word: str, names: frozenset[str]) -> bool:
    """The phrase begins with a small word, so that the same move begins at the next token too.

    :param names: words that a piece's move may begin with: its name, a letter that is a small word too.
    """
    if phrase.kind != "piece" or phrase.last - phrase.first < 2:
        return False
    return word not in names and not (len(word) == 1 and word in "abcdefgh") and not any(c.isdigit() for c in word)


def obey(hypothesis: Hypothesis, index: int, mark: Mark) -> Hypothesis:
    """Follow a light mark: remember the position on the board, or go back."""
    if mark.name == "here":
        return replace(hypothesis, names=(*hypothesis.names, (mark.value, hypothesis.at)))
    target = resolve(hypothesis.tree, hypothesis.names, mark)
    if target is None:
        return hypothesis
    return replace(hypothesis, at=target, since=index, forced=True, targets={})

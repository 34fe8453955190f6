"""What the words around a phrase say of it: played, only mentioned, corrected; and where a return is announced.

All weights are log-odds in nats; they stand in ``weights.json``, see :mod:`linewright.reading.search.weights`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.context_words import context_words
from linewright.reading.phrases.manner import Tense, plain_features
from linewright.reading.phrases.mentions import Mentions
from linewright.reading.phrases.phrase import Phrase, chief
from linewright.reading.search import weights
from linewright.reading.words.tokens import Token, words_between

#: Words between two moves from which there are many, and very many; words looked back over for a clause.
MANY_WORDS = 9
VERY_MANY_WORDS = 25
CLAUSE = 7
#: Words after a phrase that a correction may take, items of a list that are looked at, steps back over such a list, and
#: the words of what ends one.
CORRECTION_REACH, LIST_ITEMS, LIST_STEPS, LIST_END = 10, 8, 6, 5


@dataclass(frozen=True, slots=True)
class Interlude:
    """What was said between the last move and a phrase.

    :param returning: log-odds that the trainer goes back here.
    :param named: phrases mentioned in between: they may name the position gone back to.
    :param negated: of these, those said not to be played ("instead of e4").
    """

    returning: float
    named: tuple[Phrase, ...]
    negated: tuple[Phrase, ...]


class Context:
    """The words around every phrase of one talk."""

    def __init__(
        self, tokens: Sequence[Token], phrases: Sequence[Sequence[Phrase]], language: Language = ENGLISH
    ) -> None:
        self.tokens = tokens
        self.phrases = phrases
        self.language = language
        self.known = context_words(language)
        self.weights = weights.load(language)
        self._gaps: dict[tuple[int, int], Interlude] = {}
        self._numbers: dict[tuple[int, int], int | None] = {}
        self._features_of: dict[Phrase, frozenset[str]] = {}
        self.tense = Tense(tokens, language)
        self.mentions = Mentions(tokens, language)

    @cached_property
    def sentence(self) -> list[int]:
        """For each token, the index of the first token of its sentence."""
        out, first = [], 0
        for index, token in enumerate(self.tokens):
            before = self.tokens[index - 1] if index else None
            if before is not None and (before.stop or before.heading != token.heading):
                first = index
            out.append(first)
        return out

    @cached_property
    def main(self) -> list[Phrase | None]:
        """For each token, the longest phrase that begins there, leaving out those inside an earlier one."""
        out: list[Phrase | None] = [None] * len(self.tokens)
        free = 0
        for index, options in enumerate(self.phrases):
            if index >= free and options:
                out[index] = self.chief(index)
                free = out[index].last  # type: ignore[union-attr]
        return out

    @cached_property
    def ends(self) -> frozenset[int]:
        """Tokens that follow a phrase directly: "e4 e5 knight f3" needs no commas."""
        return frozenset(p.last for p in self.main if p is not None)

    def chief(self, index: int) -> Phrase:
        """The phrase that best accounts for the words from token ``index`` on."""
        return chief(self.phrases[index])

    def pause(self, phrase: Phrase) -> int | None:
        """The token after the first comma inside a phrase."""
        inside = range(phrase.first, phrase.last - 1)
        return next((i + 1 for i in inside if self.tokens[i].pause), None)

    def left(self, phrase: Phrase) -> list[str]:
        """Up to ``CLAUSE`` words before a phrase, nearest last, within its sentence."""
        first = max(self.sentence[phrase.first], phrase.first - CLAUSE)
        return [t.text for t in self.tokens[first : phrase.first]]

    def clause(self, phrase: Phrase) -> list[str]:
        """As ``left``, but only back to the last comma."""
        first = phrase.first
        floor = max(self.sentence[phrase.first], phrase.first - CLAUSE)
        while first > floor and not self.tokens[first - 1].pause:
            first -= 1
        return [t.text for t in self.tokens[first : phrase.first]]

    # -- played or only mentioned ------------------------------------------------------------------------

    def features(self, phrase: Phrase) -> frozenset[str]:
        """As ``_features``, remembered."""
        known = self._features_of.get(phrase)
        if known is None:
            known = self._features_of[phrase] = self._features(phrase)
        return known

    def _features(self, phrase: Phrase) -> frozenset[str]:
        """Names of "playing" weights that hold for a phrase."""
        out = {"bias"}
        left = self.left(phrase)
        before = left[-1] if left else ""
        token = self.tokens[phrase.first]
        previous = self.tokens[phrase.first - 1] if phrase.first else None
        at_start = previous is None or previous.stop or previous.pause or phrase.first in self.ends
        if phrase.written:
            out.add("written")
        if token.number is not None:
            out.add("number")
        if phrase.kind == "square" and token.number is None:
            out.add("bare square")
            if not at_start and previous is not None and self._is_told_alone(before):
                out.add("bare square, no pause before")
        if phrase.kind == "to":
            out.add("moved to")
        if self.known.question.search(" ".join(left)):
            out.add("question")
        if phrase.kind == "check":
            out.add("check alone")
        if phrase.kind == "agent":
            out.add("agent chosen" if before in self.known.choosing else "agent")
        if not phrase.takes or phrase.to or before in self.known.to:
            self._place_features(phrase, before, at_start, out)
        self._clause_features(phrase, left, out)
        if self.corrected(phrase):
            out.add("corrected")
        out.update(self.tense.features(phrase, self.tokens))
        out.update(self.mentions.features(phrase))
        after_move, named_on = self._previous(phrase) is not None, self._named_on(phrase)
        out.update(plain_features(phrase, self.tokens, after_move, named_on, self.tense.words))
        return frozenset(out)

    def _is_told_alone(self, before: str) -> bool:
        """The word before a bare square leads to no move of a pawn."""
        known = self.known
        return before not in known.so and before not in known.play_verbs and before not in known.pawn

    def _place_features(self, phrase: Phrase, before: str, at_start: bool, out: set[str]) -> None:
        known = self.known
        after = self.tokens[phrase.last].text if phrase.last < len(self.tokens) else ""
        ends = self.tokens[phrase.last - 1]
        if phrase.kind in ("square", "san") and not at_start:
            if before in known.place_before or (before in known.article and after in known.noun_after):
                out.add("place word before")
            elif before in known.of:
                out.add("of before")
            elif before in known.to:
                out.add("to before")
        noun = after in known.noun_after and not (ends.pause or ends.stop) and not self._moves_on(phrase.last)
        if noun and phrase.kind in ("square", "san"):
            out.add("noun after")
        if phrase.on and phrase.kind == "piece":
            put = phrase.put or self._put_before(phrase)
            out.add("put on square" if put else "piece on square")
            if not put and before in known.place_before:
                out.add("place word before")
        if phrase.kind == "piece" and not phrase.on and self._acted_on(phrase):
            out.add("acted on")
        if phrase.kind == "square" and before in known.and_ and self._lists_places(phrase):
            out.add("piece on square")
        if before in known.to and phrase.kind in ("castles", "takes"):
            out.add("infinitive")

    def _acted_on(self, phrase: Phrase) -> bool:
        """Something is done to the piece where it stands: "protects the pawn b3", "against the knight f6"."""
        at = phrase.first - 1
        while at > phrase.first - 3 and at >= 0 and self.tokens[at].text in self.known.owners:
            at -= 1
        return (
            at >= self.sentence[phrase.first] and self.tokens[at].text in self.known.acts and not self.tokens[at].pause
        )

    def _named_on(self, phrase: Phrase) -> bool:
        """A move with its square is said next, in the same sentence."""
        ends, last = self.tokens[phrase.last - 1].stop, phrase.last
        return not phrase.to and not ends and last < len(self.phrases) and any(p.to for p in self.phrases[last])

    def _moves_on(self, index: int) -> bool:
        """A piece's move begins here, so that its name is no noun to the square before: "e5 knight f3"."""
        return index < len(self.phrases) and any(p.kind == "piece" and p.to for p in self.phrases[index])

    def _lists_places(self, phrase: Phrase) -> bool:
        """It goes on after pieces on their squares: "knights on d4 and f6"."""
        before = self._previous(phrase)
        return before is not None and before.on and not before.put and before.last == phrase.first - 1

    def _put_before(self, phrase: Phrase) -> bool:
        return any(w in self.known.put_before for w in self.left(phrase)[-4:])

    def _clause_features(self, phrase: Phrase, left: list[str], out: set[str]) -> None:
        known, clause, pair = self.known, self.clause(phrase), " ".join(left[-2:])
        led_in = len(left) > len(clause) and left[-len(clause) - 1] in known.leads_in
        if led_in or any(w in known.plan for w in clause):
            out.add("plan")
        elif self._listed_on(phrase):
            out.add("plan, listed on")
        if any(w in known.may for w in clause):
            out.add("may")
        if any(w in known.denies for w in clause[-3:]) or pair in known.denied_pairs:
            out.add("negated")
        heading = self.tokens[phrase.first].heading  # "After 4.Nxd4 Bc5" above a part: the part begins there
        if (not heading and any(w in known.named_after for w in clause[-4:])) or pair in known.named_after_pairs:
            out.add("named after")
        if phrase.kind != "agent" and any(w in known.frequency for w in self.sentence_words(phrase)):
            out.add("frequency")
        if left and (left[-1] in known.subjects or left[-1] in known.play_verbs):
            out.add("subject before")
        if any(w in known.so_before for w in left[-2:]):
            out.add("so before")
        if self._open_list(phrase):
            out.add("open list")

    def sentence_words(self, phrase: Phrase) -> list[str]:
        """The clause's words before the phrase and up to four after it."""
        last = phrase.last
        while last < min(len(self.tokens), phrase.last + 4) and not self.tokens[last - 1].stop:
            if self.tokens[last - 1].pause:
                break
            last += 1
        return self.left(phrase) + [t.text for t in self.tokens[phrase.last : last]]

    def _previous(self, phrase: Phrase) -> Phrase | None:
        """The phrase said just before, in the same sentence, with at most two small words between."""
        for index in range(phrase.first - 1, max(-1, phrase.first - 8), -1):
            main = self.main[index]
            if main is not None and main.last <= phrase.first:
                same = self.sentence[index] == self.sentence[phrase.first]
                return main if same and phrase.first - main.last <= 1 else None
        return None

    def _listed_on(self, phrase: Phrase) -> bool:
        """It stands in a list that began as a plan: "we'll want f4, bishop d3, castles"."""
        before = self._previous(phrase)
        depth = 0
        while before is not None and depth < LIST_STEPS:
            if any(w in self.known.plan for w in self.clause(before)):
                return True
            before, depth = self._previous(before), depth + 1
        return False

    def _open_list(self, phrase: Phrase) -> bool:
        """The list it stands in ends with "and so on", "that kind of thing", "later"."""
        last = phrase.last
        for _ in range(LIST_ITEMS):
            if last >= len(self.tokens) or self.sentence[last] != self.sentence[phrase.first]:
                return False
            if self.known.open_list.match(words_between(self.tokens, last, last + LIST_END)):
                return True
            following = self.main[last] if last < len(self.main) else None
            if following is None and last + 1 < len(self.main) and self.tokens[last].text in self.known.and_then:
                following = self.main[last + 1]
            if following is None:
                return False
            last = following.last
        return False

    def corrected(self, phrase: Phrase) -> Phrase | None:
        """The phrase that corrects this one: "knight c3, sorry, knight d2"."""
        last = phrase.last
        said: list[str] = []
        for index in range(last, min(len(self.tokens), last + CORRECTION_REACH)):
            main = self.main[index]
            if main is not None:
                strong = [w for w in said if w in self.known.correction]
                return main if strong and self._comparable(phrase, main) else None
            word = self.tokens[index].text
            if word not in self.known.correcting:
                return None
            said.append(word)
        return None

    def _comparable(self, one: Phrase, two: Phrase) -> bool:
        """A correction stays a move; "I mean" after a corrected phrase belongs to that phrase."""
        between = words_between(self.tokens, one.last, two.first) + " "
        if between.startswith(tuple(phrase + " " for phrase in self.known.of_corrected)):
            first = max(0, one.first - 6)
            if any(t.text in self.known.correction for t in self.tokens[first : one.first]):
                return False
        return not two.past

    def playing(self, phrase: Phrase) -> float:
        """Log-odds that a phrase is played, by the words around it alone."""
        return math.fsum(self.weights["playing"][name] for name in self.features(phrase))

    # -- going back --------------------------------------------------------------------------------------

    def gap(self, since: int, until: int) -> Interlude:
        """What was said from token ``since`` (the end of the last move) up to token ``until``."""
        known = self._gaps.get((since, until))
        if known is None:
            known = self._gaps[since, until] = self._gap(since, until)
        return known

    def _gap(self, since: int, until: int) -> Interlude:
        names = self.return_features(since, until)
        named = [p for p in self.main[since:until] if p is not None and p.last <= until]
        negated = [p for p in named if "negated" in self.features(p)]
        return Interlude(math.fsum(self.weights["returning"][n] for n in names), tuple(named), tuple(negated))

    def number(self, since: int, until: int) -> int | None:
        """The move number spoken between two tokens: "nine, knight e1", "move five", "the eighth move"."""
        if (since, until) not in self._numbers:
            self._numbers[since, until] = self._number(since, until)
        return self._numbers[since, until]

    def _number(self, since: int, until: int) -> int | None:
        for index in range(until - 1, since - 1, -1):
            token, before = self.tokens[index].text, self.tokens[index - 1].text if index else ""
            after = self.tokens[index + 1].text if index + 1 < len(self.tokens) else ""
            value = self.known.cardinals.get(token)
            if value is not None:
                alone = index == until - 1 and self.tokens[index].pause and self._begins(index)
                return value if before in self.known.move or alone else None
            value = self.known.ordinals.get(token)
            if value is not None and after in self.known.move and index + 1 < until:
                return value
        return None

    def _begins(self, index: int) -> bool:
        """Something was said before the token: a move, or the end of a clause."""
        before = self.tokens[index - 1] if index else None
        return before is None or before.stop or before.pause or index in self.ends

    def return_features(self, since: int, until: int) -> frozenset[str]:
        """Names of "returning" weights that hold for the words between two moves."""
        out = {"bias"}
        between = self.tokens[since:until]
        if until < len(self.tokens):
            before = self.tokens[since - 1] if since else None
            this = self.tokens[until]
            if any(t.heading for t in between) or (before is not None and before.heading != this.heading):
                out.add("heading")
            if before is not None and before.paragraph != this.paragraph:
                out.add("paragraph")
        if since and (self.tokens[since - 1].stop or any(t.stop for t in between)):
            out.add("sentence began")
        if len(between) >= MANY_WORDS:
            out.add("many words")
        if len(between) >= VERY_MANY_WORDS:
            out.add("very many words")
        text = self.known.back_of_piece.sub(" ", " ".join(t.text for t in between))
        if self.known.announced.search(text):
            out.add("announced")
        first = self.tokens[self.sentence[until - 1]].text if until > since else ""
        if self.known.hinted.search(text) or first in self.known.hinted_first:
            out.add("hinted")
        elif self.known.if_.search(text):
            out.add("if")
        return frozenset(out)

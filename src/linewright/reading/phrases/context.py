"""What the words around a phrase say of it: played, only mentioned, corrected; and where a return is announced.

All weights are log-odds in nats; they stand in ``weights.json``, see :mod:`linewright.reading.search.weights`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from linewright.reading.phrases.finding import Phrase, chief
from linewright.reading.phrases.manner import Tense, plain_features
from linewright.reading.phrases.mentions import Mentions
from linewright.reading.search import weights
from linewright.reading.words.tokens import Token

_PLACE_BEFORE = frozenset(
    "on from at behind for against hits hit attacks attack attacking eyeing defends defend covers cover "
    "controls control guards guard holds weakens near around via through pins occupies occupy towards toward "
    "looking leaning stopping stop stops preventing prevents hitting watching protects protect square squares "
    "pawn pawns blockading blockade isolated backward weak doubled called".split()
)
_ACTS = frozenset(
    "behind against hits hit attacks attack attacking defends defend defending covers cover controls guards guard "
    "guarding weakens pins pinning occupies stops prevents hitting watching protects protect protecting supports "
    "supporting eyeing eyes sees near around via through".split()
)
_NOUN_AFTER = frozenset(
    "square squares pawn pawns knight knights bishop bishops rook rooks file diagonal point break lever outpost "
    "hole weakness push idea ideas one's knight's bishop's pawn's point's variation system line attack defence "
    "defense is's".split()
)
_PLAN = frozenset(
    "want wants wanted would threat threats threaten threatens threatening idea ideas plan plans planning hoping hope "
    "hopes dreams dream prevent prevents preventing avoid avoids keep keeps allow allows allowing belongs belong ready "
    "later eventually someday we'll he'll they'll you'll i'll it'll he'd we'd they'd you'd i'd she'd sooner will "
    "intending intends coming discovery prepares preparing aiming aims possibly supposed like love wishes worry "
    "worried consider dreaming want's".split()
)
#: Before a comma, these lead in moves that are only thought of: "a discovery coming, knight takes, then …".
_LEADS_IN = frozenset("coming threat threats threatening threatened idea ideas plan plans like".split())
_MAY = frozenset("can could may might possible also maybe".split())
_NEGATED = frozenset(
    "not without never isn't doesn't don't didn't wasn't aren't nobody than can't cannot couldn't won't".split()
)
_NAMED_AFTER = frozenset(
    "after before when where since until whether gone just had having has been among including".split()
)
_FREQUENCY = frozenset(
    "most mostly usual usually common commonest popular nearly almost everybody everyone always practically rarely "
    "rare main favourite favorite frequent frequently often majority percent sometimes typical typically seldom "
    "sensible".split()
)
_OPEN_LIST = re.compile(
    r"^(?:and )?(?:that kind of|that sort of|and so on|and so forth|etc|the whole|or something|ideas like|"
    r"things like that|stuff like|somewhere|one day|sooner or later|slowly|and all that|that type of|at some point|"
    r"in that order|and the like|some day)"
)
_QUESTION = re.compile(
    r"\b(?:which way|does (?:he|she|it|white|black)|do (?:we|you|they)|can (?:i|we|he|you|white|black)|how (?:do|does)|"
    r"why (?:can't|doesn't))\b"
)
_SUBJECTS = frozenset("he we they you white black i one they'd she opponent".split())
_PLAY_VERBS = frozenset(
    "plays play goes go answers answer replies reply takes comes come is retreats continues pushes push tries chose "
    "castles begins starts with against pushing went played".split()
)
#: Before "the b pawn", these choose it for a capture: "it's always the b pawn".
_CHOOSING = frozenset("always it's usually normally by or".split())
_SO = frozenset("so then and".split())
_CORRECTION = frozenset("sorry no wait oops correction pardon forgive scratch actually mean meant".split())
_CORRECTING = _CORRECTION | frozenset(
    "um uh er erm i i'm beg your me what am saying oh not well rather it's that's it is was wrong the a he she we "
    "you they that make let's say to hang on hold ah and puts plays goes of course again".split()
)
_ANNOUNCED = re.compile(
    r"\b(?:(?:go|going|goes|went|come|coming|jump|step|rewind|way|right|get|all the way|let's go|now|and|so|okay|"
    r"once more|again) back(?! rank)|back (?:to|at|in|up|where|then|a|one|again)|back back|^back|return(?:ing)? to|"
    r"returns? to|once more from|again from|same position|that position again|from the same|rewind|"
    r"(?:second|third|fourth|next|last|other|another|first|final) (?:branch|line|option|variation|try|sideline|choice|"
    r"possibility|way|plan|idea|method|move order)|the other (?:way|plan|branch|line|option|move|reply|try)|"
    r"the (?:very )?beginning|start again|take(?:s|n)? (?:it|that|this|those|these) back|undo|reset)\b"
)
_HINTED = re.compile(
    r"\b(?:instead|alternatively|alternative|what about|how about|why not|these days|nowadays|ought to have|should "
    r"have|could have|should've|could've|might have|doesn't have to|don't have to|needn't|nobody does|also play|"
    r"can also|could also|there's also|there is also|there was also|other way|another|the other|or you can|"
    r"rather than|in place of|different|differently|if he|if she|if they|if white|if black|if you|if we|suppose|"
    r"what if|so what|the quiet|the sharper|the solid|the boring|the independent|"
    r"the ambitious|the modern|the old|more ambitious|last thing|one more|next|"
    r"begins with|starts with|prefer|preferred|sideline|side line|branch|variation|improvement|"
    r"improve|better was|better is|correct is|earlier|before that|only move|main line|mainline|"
    r"does the|doesn't go|don't go|isn't forced)\b"
)
#: Words that undo a "back" which is about a piece, not about the talk.
_BACK_OF_PIECE = re.compile(
    r"\b(?:takes?|took|take it|taking|knight|bishop|queen|rook|king|hops|drops|gives?|gave|give|pawn|comes|"
    r"retreats|move|steps|goes right|moves|fall|falls|hold|holds|it) (?:it )?back\b"
)

_CARDINAL = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty"
).split()
_NUMBERS = {word: value for value, word in enumerate(_CARDINAL, 1)}
_ORDINALS = {
    word: value
    for value, word in enumerate(
        "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth "
        "fifteenth sixteenth seventeenth eighteenth nineteenth twentieth".split(),
        1,
    )
    if value > 2  # "first move" and "second move" count the tries of one position, too
}

MANY_WORDS = 9
VERY_MANY_WORDS = 25
CLAUSE = 7


@dataclass(frozen=True, slots=True)
class Gap:
    """What was said between the last move and a phrase.

    :param returning: log-odds that the trainer goes back here.
    :param named: phrases mentioned in between: they may name the position gone back to.
    :param negated: of these, the ones told as not played ("instead of e4").
    """

    returning: float
    named: tuple[Phrase, ...]
    negated: tuple[Phrase, ...]


class Context:
    """The words around every phrase of one talk."""

    def __init__(self, tokens: Sequence[Token], phrases: Sequence[Sequence[Phrase]]) -> None:
        self.tokens = tokens
        self.phrases = phrases
        self.weights = weights.load()
        self._gaps: dict[tuple[int, int], Gap] = {}
        self._numbers: dict[tuple[int, int], int | None] = {}
        self._features_of: dict[Phrase, frozenset[str]] = {}
        self.tense = Tense(tokens)
        self.mentions = Mentions(tokens)

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

    def words(self, first: int, last: int) -> str:
        return " ".join(t.text for t in self.tokens[max(0, first) : last])

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
            if not at_start and before not in _SO | _PLAY_VERBS and previous is not None and before != "pawn":
                out.add("bare square, no pause before")
        if phrase.kind == "to":
            out.add("moved to")
        if _QUESTION.search(" ".join(left)):
            out.add("question")
        if phrase.kind == "check":
            out.add("check alone")
        if phrase.kind == "agent":
            out.add("agent chosen" if before in _CHOOSING else "agent")
        if not phrase.takes or phrase.to or before == "to":
            self._place_features(phrase, before, at_start, out)
        self._clause_features(phrase, left, out)
        if self.corrected(phrase):
            out.add("corrected")
        out.update(self.tense.features(phrase, self.tokens))
        out.update(self.mentions.features(phrase))
        out.update(plain_features(phrase, self.tokens, self._previous(phrase) is not None, self._named_on(phrase)))
        return frozenset(out)

    def _place_features(self, phrase: Phrase, before: str, at_start: bool, out: set[str]) -> None:
        after = self.tokens[phrase.last].text if phrase.last < len(self.tokens) else ""
        ends = self.tokens[phrase.last - 1]
        if phrase.kind in ("square", "san") and not at_start:
            if before in _PLACE_BEFORE or (before == "the" and after in _NOUN_AFTER):
                out.add("place word before")
            elif before in ("of", "in", "by"):
                out.add("of before")
            elif before == "to":
                out.add("to before")
        noun = after in _NOUN_AFTER and not (ends.pause or ends.stop) and not self._moves_on(phrase.last)
        if noun and phrase.kind in ("square", "san"):
            out.add("noun after")
        if phrase.on and phrase.kind == "piece":
            put = phrase.put or self._put_before(phrase)
            out.add("put on square" if put else "piece on square")
            if not put and before in _PLACE_BEFORE:
                out.add("place word before")
        if phrase.kind == "piece" and not phrase.on and self._acted_on(phrase):
            out.add("acted on")
        if phrase.kind == "square" and before == "and" and self._lists_places(phrase):
            out.add("piece on square")
        if before == "to" and phrase.kind in ("castles", "takes"):
            out.add("infinitive")

    def _acted_on(self, phrase: Phrase) -> bool:
        """Something is done to the piece where it stands: "protects the pawn b3", "against the knight f6"."""
        at = phrase.first - 1
        while at > phrase.first - 3 and at >= 0 and self.tokens[at].text in ("the", "his", "her", "my", "our", "that"):
            at -= 1
        return at >= self.sentence[phrase.first] and self.tokens[at].text in _ACTS and not self.tokens[at].pause

    def _named_on(self, phrase: Phrase) -> bool:
        """A move with its square is told next, in the same sentence."""
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
        return any(w in ("put", "puts", "place", "places", "plants", "drops", "lands") for w in self.left(phrase)[-4:])

    def _clause_features(self, phrase: Phrase, left: list[str], out: set[str]) -> None:
        clause = self.clause(phrase)
        if any(w in _PLAN for w in clause) or (len(left) > len(clause) and left[-len(clause) - 1] in _LEADS_IN):
            out.add("plan")
        elif self._listed_on(phrase):
            out.add("plan, listed on")
        if any(w in _MAY for w in clause):
            out.add("may")
        if any(w in _NEGATED for w in clause[-3:]) or left[-2:] == ["instead", "of"]:
            out.add("negated")
        heading = self.tokens[phrase.first].heading  # "After 4.Nxd4 Bc5" above a part: the part begins there
        if (not heading and any(w in _NAMED_AFTER for w in clause[-4:])) or left[-2:] in (
            ["back", "to"],
            ["more", "from"],
        ):
            out.add("named after")
        if phrase.kind != "agent" and any(w in _FREQUENCY for w in self.sentence_words(phrase)):
            out.add("frequency")
        if left and left[-1] in _SUBJECTS | _PLAY_VERBS:
            out.add("subject before")
        if any(w in ("so", "then") for w in left[-2:]):
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
        """The phrase told just before, in the same sentence, with at most two small words between."""
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
        while before is not None and depth < 6:
            if any(w in _PLAN for w in self.clause(before)):
                return True
            before, depth = self._previous(before), depth + 1
        return False

    def _open_list(self, phrase: Phrase) -> bool:
        """The list it stands in ends with "and so on", "that kind of thing", "later"."""
        last = phrase.last
        for _ in range(8):
            if last >= len(self.tokens) or self.sentence[last] != self.sentence[phrase.first]:
                return False
            if _OPEN_LIST.match(self.words(last, last + 5)):
                return True
            following = self.main[last] if last < len(self.main) else None
            if following is None and last + 1 < len(self.main) and self.tokens[last].text in ("and", "then"):
                following = self.main[last + 1]
            if following is None:
                return False
            last = following.last
        return False

    def corrected(self, phrase: Phrase) -> Phrase | None:
        """The phrase that corrects this one: "knight c3, sorry, knight d2"."""
        last = phrase.last
        said: list[str] = []
        for index in range(last, min(len(self.tokens), last + 10)):
            main = self.main[index]
            if main is not None:
                strong = [w for w in said if w in _CORRECTION]
                return main if strong and self._comparable(phrase, main) else None
            word = self.tokens[index].text
            if word not in _CORRECTING:
                return None
            said.append(word)
        return None

    def _comparable(self, one: Phrase, two: Phrase) -> bool:
        """A correction stays a move; "I mean" after a corrected phrase belongs to that phrase."""
        words = [t.text for t in self.tokens[one.last : two.first]]
        if words[:2] == ["i", "mean"] or words[:1] == ["actually"]:
            first = max(0, one.first - 6)
            if any(t.text in _CORRECTION for t in self.tokens[first : one.first]):
                return False
        return not two.past

    def playing(self, phrase: Phrase) -> float:
        """Log-odds that a phrase is played, by the words around it alone."""
        return sum(self.weights["playing"][name] for name in self.features(phrase))

    # -- going back --------------------------------------------------------------------------------------

    def gap(self, since: int, until: int) -> Gap:
        """What was said from token ``since`` (the end of the last move) up to token ``until``."""
        known = self._gaps.get((since, until))
        if known is None:
            known = self._gaps[since, until] = self._gap(since, until)
        return known

    def _gap(self, since: int, until: int) -> Gap:
        names = self.return_features(since, until)
        named = [p for p in self.main[since:until] if p is not None and p.last <= until]
        negated = [p for p in named if "negated" in self.features(p)]
        return Gap(sum(self.weights["returning"][n] for n in names), tuple(named), tuple(negated))

    def number(self, since: int, until: int) -> int | None:
        """The move number spoken between two tokens: "nine, knight e1", "move five", "the eighth move"."""
        if (since, until) not in self._numbers:
            self._numbers[since, until] = self._number(since, until)
        return self._numbers[since, until]

    def _number(self, since: int, until: int) -> int | None:
        for index in range(until - 1, since - 1, -1):
            token, before = self.tokens[index].text, self.tokens[index - 1].text if index else ""
            after = self.tokens[index + 1].text if index + 1 < len(self.tokens) else ""
            value = _NUMBERS.get(token)
            if value is not None:
                alone = index == until - 1 and self.tokens[index].pause and self._begins(index)
                return value if before == "move" or alone else None
            value = _ORDINALS.get(token)
            if value is not None and after == "move" and index + 1 < until:
                return value
        return None

    def _begins(self, index: int) -> bool:
        """Something was told before the token: a move, or the end of a clause."""
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
        text = _BACK_OF_PIECE.sub(" ", " ".join(t.text for t in between))
        if _ANNOUNCED.search(text):
            out.add("announced")
        first = self.tokens[self.sentence[until - 1]].text if until > since else ""
        if _HINTED.search(text) or first in ("or", "otherwise", "alternatively"):
            out.add("hinted")
        elif re.search(r"\b(?:if|or|but)\b", text):
            out.add("if")
        return frozenset(out)

"""What shows that a move is only mentioned: idioms, lists of squares, judgements, closing words.

Gives names of "playing" weights, see :mod:`linewright.reading.phrases.context`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from linewright.reading.phrases.phrase import Phrase
from linewright.reading.words.tokens import Token

#: Words that begin like a capture, a check or castling and are none.
_IDIOM = re.compile(
    r"(?:(?:take|takes|took|taken|taking) (?:(?:a|another|one more|one last) (?:quick |short |long |good |close |deep |"
    r"little )?(?:look|moment|breath|break|step|minute|second|while|seat|bow|chance|risk|guess|note|photo|picture|sip|"
    r"rest|day|week|lot)|the (?:opportunity|time|initiative|chance|liberty|trouble|floor|blame|credit|lead|view|"
    r"point|train|bus|advice)|care|place|part|time|over|control|aim|advantage|notes?|stock|turns|home|long|longer|"
    r"years|hours|minutes|ages|into account|seriously|for granted|courage|nothing away|some (?:time|practice|getting)|"
    r"(?:your|my|his|her|our|their) (?:time|word|pick|turn|advice|place|seat)|"
    r"it (?:easy|slow|slowly|seriously|very|well|badly|personally|from|as|for|that|nobody|you|back to)|"
    r"(?:me|us|him|her|you|them) (?:a|an|too|about|longer|long|only|some|\w+ty|\d+|two|three|four|five|six|ten|years|"
    r"ages|hours|to|for)|up (?:space|room|time))"
    r"|(?:grab|eat) (?:a|some|my|your) (?:\w+ )?(?:coffee|tea|seat|chair|drink|biscuit|sandwich|pen|board|lunch|dinner)"
    r"|castles? in the (?:air|sky)"
    r"|checks? (?:it|this|that|them|out|in|whether|if|with|your|my|our|for|these|those)|"
    r"check the (?:book|books|notes|clock|base|engine|time|link|score|database))\b"
)
#: Words of moves that are nouns after an article: "a fair trade".
_NOUNS = frozenset("trade exchange capture grab castle swap trades exchanges captures checks check castling".split())
_ARTICLES = frozenset("the a an this that another any no every each his her my our your their of with for".split())
#: A judgement after a move speaks of it: "f5 is the dream", "knight e5 would be nice".
_JUDGED = re.compile(r"(?:is|was|would be|isn't|wasn't|will be|would have been|looks|comes next|next)\b")
#: Before squares, these announce a list of places.
_PLACES = frozenset("squares square centre center outposts outpost holes hole spots spot points diagonal files".split())
PLACES_REACH = 9
#: Ends of a lesson: what follows is advice, plans, thanks.
_CLOSING = re.compile(
    r"\b(?:remember|homework|take home|takeaway|sum up|summing up|to summarise|in short|in summary|see you|bye|"
    r"good night|thank you|thanks|next (?:week|time|lesson|tuesday|month)|that's (?:it|all|me)|what are we after|"
    r"the list|dream of|dream about|were i to begin)\b"
)
#: A lesson closes within so many of its last words, at most this share of it.
CLOSING_WORDS = 90
CLOSING_SHARE = 0.2


class Mentions:
    """Signs of mere mentions in one talk."""

    def __init__(self, tokens: Sequence[Token]) -> None:
        self.tokens = tokens
        self.closing = closing_from(tokens)

    def features(self, phrase: Phrase) -> Iterator[str]:
        """What is seen around a phrase."""
        tokens, first, last = self.tokens, phrase.first, phrase.last
        if phrase.kind in ("takes", "castles", "check") or phrase.deed is not None:
            if _IDIOM.match(words(tokens, first, first + 5)):
                yield "idiom"
            before = {t.text for t in tokens[max(0, first - 2) : first] if not t.stop}
            if tokens[first].text in _NOUNS and last == first + 1 and before & _ARTICLES:
                yield "noun of a move"
        ended = tokens[last - 1].stop or tokens[last - 1].pause
        if not ended and _JUDGED.match(words(tokens, last, last + 3)):
            yield "judged after"
        if phrase.kind == "square" and any(t.text in _PLACES for t in tokens[max(0, first - PLACES_REACH) : first]):
            yield "places before"
        if first >= self.closing:
            yield "closing"


def words(tokens: Sequence[Token], first: int, last: int) -> str:
    return " ".join(t.text for t in tokens[max(0, first) : last])


def closing_from(tokens: Sequence[Token]) -> int:
    """The token from which a lesson only sums up, plans and thanks; past the end when nothing shows it."""
    count = len(tokens)
    first = max(count - CLOSING_WORDS, int(count * (1.0 - CLOSING_SHARE)))
    for index in range(first, count):
        if _CLOSING.match(words(tokens, index, index + 4)):
            return index
    return count

"""Which moves of a walk the talk calls mistakes, and the trainer's own words at a move."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.sentences import sentence_ends
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import MoveStep, ReturnStep, Walk
from linewright.publish.handout.book import tidy

#: PGN's glyphs of moves called bad or doubtful (PGN standard, 10: $2, $4, $6), and of praise ($1, $3).
BAD_NAGS, GOOD_NAGS = frozenset({2, 4, 6}), frozenset({1, 3})
#: Words looked at before and behind a move, never past another move: beyond, they judge something else.
NEAR = 9
#: A quoted sentence is cut to so many words before its move and behind it: longer ones are not read on a phone.
BEFORE, BEHIND = 14, 26

_BAD = (
    r"mistakes?|blunders?|blundered|errors?|inaccura\w+|greedy|greedily|careless\w*|sleepy|lazy|dubious|refuted|"
    r"wrong|terrible|horrible|awful|a howler"
)
#: Said before a move that is meant as a mistake. Common practice of trainers' talk.
_BEFORE = re.compile(
    rf"\b(?:{_BAD}|tempt\w+|falls? (?:for|into)|walks? into|tries to be clever|the trap(?: is|:)?|the losing|"
    r"if (?:he|she|they|you|we|white|black)(?:'s|'re| is| are) (?:not careful|asleep|careless))\b"
    # Right before the move: further away, what is not to be played is something else ("don't take, we play …").
    r"|\b(?:never|don't|do not|mustn't|must not) (?:play|take|go|put|push|try)(?: \w+)?$"
)
#: Said behind it: of this very move, before the next one.
_BEHIND = re.compile(
    rf"^(?:[^.!?]*\b(?:{_BAD})\b|[^.!?]*\b(?:looks? (?:natural|tempting|good|fine|so natural)|doesn't work|"
    r"does not work|runs into|is (?:very |really |just |simply )?(?:bad|weak|losing|too slow|too early)|"
    r"loses (?:a|the|at|on|his|her|to|by|quickly)?|just loses|drops a|which loses|that loses|hangs)\b)"
)
#: With these begins what is said of the next move.
_NEXT = re.compile(
    r"\b(?:(?:and|but|so) (?:now|if|when|here|then|he|she|they|we|you|the)"
    r"|now|if|when|whenever|after|then|here|instead)\b"
)
#: Words that deny what the patterns above find ("no mistake", "isn't wrong", "not a blunder").
_DENIED = re.compile(r"\b(?:no|not|isn't|never|nothing|hardly|nor)(?: (?:a|an|any|the|really|so|that|at all))? \S*$")
#: Said on the way back to a move that should have been played: the one played before was a mistake.
_OUGHT = re.compile(
    r"\b(?:ought to(?: have)?|should(?:'ve| have)(?! (?:said|told|mentioned|shown|added))|had to play|has to play|"
    r"needed to|better (?:was|would have been|is)|correct (?:was|is)|was correct|was necessary|was forced|"
    r"instead of (?:this|that) (?:mistake|blunder))\b"
)


@dataclass(frozen=True, slots=True)
class WordsAround:
    """The words around a move step: those before it since the step before, those behind it up to the next step."""

    before: str
    behind: str


class JudgedMoves:
    """A walk with what the talk says of its moves, computed once.

    :param findings: those of a check with an engine; a praised or unblamed move that they show to lose is a mistake.
    """

    def __init__(self, walk: Walk, findings: tuple[Finding, ...] = ()) -> None:
        self.walk = walk
        self._findings = findings
        self._spans = step_spans(walk)

    @cached_property
    def mistakes(self) -> frozenset[int]:
        """Nodes whose move is said, or was found, to be a mistake."""
        found = {step.node for index, step in enumerate(self.walk.steps) if self._called_bad(index)}
        found |= self._outdone()
        lost = {Kind.PRAISE, Kind.REFUTATION}
        refuted = {f.before for f in self._findings if f.kind in lost and f.verdict is not Verdict.HOLDS}
        return frozenset(found | {node.id for node in self.walk.nodes if node.id and node.fen in refuted})

    def _called_bad(self, index: int) -> bool:
        step = self.walk.steps[index]
        if isinstance(step, ReturnStep) or step.nag in GOOD_NAGS:
            return False
        if step.nag in BAD_NAGS:
            return True
        near = self.around(index)
        return _says(_BEFORE, near.before) or _says(_BEHIND, _NEXT.split(near.behind, maxsplit=1)[0])

    def _outdone(self) -> set[int]:
        """Moves after which the talk goes back and says what ought to have been played."""
        found: set[int] = set()
        steps = self.walk.steps
        for index, step in enumerate(steps[:-1]):
            after = steps[index + 1]
            if not isinstance(step, ReturnStep) or not isinstance(after, MoveStep) or index == 0:
                continue
            said = f"{self._words(*self._spans[index])} {self.around(index + 1).before}"
            if not _OUGHT.search(said):
                continue
            left = self.walk.line(steps[index - 1].node)
            found |= {node for node in left if self.walk.nodes[node].parent == step.node and node != after.node}
        return found

    def around(self, index: int) -> WordsAround:
        """The words next to a step, in lower case, at most :data:`NEAR` on each side, within their sentences."""
        first, last = self._spans[index]
        low = max([first - NEAR, self._spans[index - 1][1] if index else 0, self._sentence(first)[0]])
        end = self._sentence(max(first, last - 1))[1]
        follow = self._spans[index + 1][0] if index + 1 < len(self._spans) else len(self.walk.talk.words)
        return WordsAround(self._words(low, first), self._words(last, min(last + NEAR, follow, end)))

    def sentence(self, index: int) -> str:
        """The trainer's own sentence at a step, and the one behind it where that states no further move."""
        first, last = self._spans[index]
        if first == last:
            return ""
        low, high = self._sentence(first)
        following = self._sentence(high) if high < len(self.walk.talk.words) else (high, high)
        heading = following[0] < following[1] and self.walk.talk.words[following[0]].heading
        if not heading and all(not following[0] <= start < following[1] for start, _ in self._spans):
            high = following[1]
        low, high = max(low, first - BEFORE), min(high, last + BEHIND)
        text = " ".join(word.text for word in self.walk.talk.words[low:high])
        cut = high < len(self.walk.talk.words) and high not in self._ends
        return ("… " if low not in self._starts else "") + (f"{text.rstrip(',;:')} …" if cut else tidy(text))

    @cached_property
    def _ends(self) -> tuple[int, ...]:
        return tuple(sorted(sentence_ends(self.walk)))

    @cached_property
    def _starts(self) -> frozenset[int]:
        return frozenset((0, *self._ends))

    def _sentence(self, word: int) -> tuple[int, int]:
        """The half-open word range of the sentence that holds a word."""
        low = 0
        for end in self._ends:
            if word < end:
                return low, end
            low = end
        return low, len(self.walk.talk.words)

    def _words(self, first: int, last: int) -> str:
        return " ".join(word.text.lower().replace("’", "'") for word in self.walk.talk.words[first:last])


def _says(pattern: re.Pattern[str], text: str) -> bool:
    """Whether words say it, and don't deny it."""
    for match in pattern.finditer(text):
        if not _DENIED.search(text[: match.end()]) or "don't" in match[0] or "never" in match[0]:
            return True
    return False

"""The talk's words made ready for finding claims: tokens, sentences and the clauses inside them.

Words may come from captions, so punctuation and case are hints only: a sentence without any is still cut into
clauses at conjunctions and at fresh subjects ("we've got", "black has").
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import pairwise, zip_longest
from typing import Final, NamedTuple

import chess

from linewright.language.numbers import figures
from linewright.language.tables import Table, load
from linewright.language.tokens import joined_parts, numbered_move, straightened, take_apart
from linewright.language.wordings import DEFAULT, word_set, wording
from linewright.talk.model import Talk

#: Longest sentence in tokens; captions may have no full stop at all. Long enough for any claim with its context.
MAX_SENTENCE = 80
#: A clause part of at most this many tokens between commas is an interjection ("nearly always, here, he …") and
#: stays with what follows.
INTERJECTION = 2
#: So many tokens show whether a clause begins with them ("and the rook").
HEAD = 3
_CLAUSES: Final = "claims/sentence/clauses"


class Break(NamedTuple):
    """How strongly a token is set apart from the next: 0 not, 1 comma or pause, 2 end of sentence."""

    strength: int
    question: bool = False


NO_BREAK = Break(0)


@dataclass(frozen=True, slots=True)
class SentenceToken:
    """A word in lower case without the punctuation around it.

    :param text: e.g. ``"we've"``, ``"halfopen"``, ``"e6"``.
    :param raw: as it stands in the talk: ``Bf5`` is another word than ``bf5``.
    :param first: index of its first word in the talk.
    :param last: index after its last word; several tokens may share a word ("c5-pawn"), and a token may span
        two ("half open").
    """

    text: str
    raw: str
    first: int
    last: int
    after: Break = NO_BREAK


_SAN = re.compile(r"^(?:[KQRBN♔-♟]?[a-h]?[1-8]?x?[a-h][1-8](?:=?[QRBN])?|[Oo0]-[Oo0](?:-[Oo0])?)[+#]?[!?]*[.,;:]?$")
_CASTLING = re.compile(r"[o0]-[o0](-[o0])?[+#]?")


def tokens(talk: Talk, code: str = DEFAULT) -> tuple[SentenceToken, ...]:
    """The talk's words as tokens, without fillers ("um").

    :param code: the talk's language.
    """
    spelling = _spelling(code)
    out: list[SentenceToken] = []
    for index, word in enumerate(talk.words):
        pieces = spelling.pieces(word.text)
        after = _break(word.text)
        if after.strength < 2 and _ends_part(talk, index):
            after = Break(2)
        if not pieces or pieces[0] in spelling.fillers:
            if out and after.strength > out[-1].after.strength and after.strength:
                out[-1] = SentenceToken(out[-1].text, out[-1].raw, out[-1].first, out[-1].last, after)
            continue
        for n, piece in enumerate(pieces):
            last = n == len(pieces) - 1
            raw = take_apart(word.text).core if len(pieces) == 1 else piece
            out.append(SentenceToken(piece, raw, index, index + 1, after if last else Break(0)))
    return tuple(spelling.spelled(spelling.merged(out)))


@cache
def _spelling(code: str) -> _Spelling:
    language = load(code)
    return _Spelling(language.table("claims/sentence/spelling"), figures(language))


class _Spelling:
    """A language's spellings that mean the same in a claim."""

    def __init__(self, table: Table, numbers: Mapping[str, str]) -> None:
        self.fillers = table.words("fillers")
        self._pairs = table.mapping("merged")
        self._same = table.sorted_out("same")
        self._misheard = table.sorted_out("misheard")
        self._letters = table.sorted_out("letters")
        self._after_letter = table.words("after_letter")
        self._ranks = {word: figure for word, figure in numbers.items() if figure in chess.RANK_NAMES}
        self._article, self._to_square = table.words("article"), table.words("to_square")
        self._percent = table.listed("percent")
        self._glued = {f"{file}{word}": [file, word] for file in chess.FILE_NAMES for word in table.listed("glued")}
        self._glued |= {f"{file}9": [file, word] for file in chess.FILE_NAMES for word in table.listed("ninth_rank")}
        self._glued |= {word: parts.split() for word, parts in table.mapping("glued_words").items()}

    def pieces(self, raw: str) -> list[str]:
        """The tokens that a word of the talk is."""
        word = straightened(raw)
        text = take_apart(word[numbered_move(word)[1] :]).core.lower()
        if not text:
            return []
        if _CASTLING.fullmatch(text):
            return [text]
        if match := re.fullmatch(r"(\d+(?:\.\d+)?)%", text):
            return [match[1], *self._percent]
        if text in self._glued:
            return self._glued[text]
        parts = [part.strip("'") for part in joined_parts(text)]
        return [self._same.get(part, part) for part in parts if part]

    def merged(self, found: list[SentenceToken]) -> Iterator[SentenceToken]:
        """The tokens, pairs that are one word made one."""
        at = 0
        while at < len(found):
            here = found[at]
            following = found[at + 1] if at + 1 < len(found) else None
            before = found[at - 1].text if at else ""
            text = self._joined(before, here.text, following.text) if following and not here.after.strength else ""
            if following and text:
                yield SentenceToken(text, text, here.first, following.last, following.after)
                at += 2
            else:
                yield here
                at += 1

    def _joined(self, before: str, here: str, following: str) -> str:
        """What two words make together: "queen side", or a square said as two words ("e seven"); "" for nothing."""
        rank = self._ranks.get(following, "")
        if rank and here in chess.FILE_NAMES and (here not in self._article or before in self._to_square):
            return here + rank
        return self._pairs.get(f"{here} {following}", "")

    def spelled(self, found: Iterator[SentenceToken]) -> Iterator[SentenceToken]:
        """The tokens, slips of recognisers put right."""
        listed = list(found)
        for here, following in zip_longest(listed, listed[1:]):
            text = self._misheard.get(here.text, here.text)
            heard = self._misheard.get(following.text, following.text) if following else ""
            if heard in self._after_letter and not here.after.strength:
                text = self._letters.get(text, text)
            yield SentenceToken(text, here.raw, here.first, here.last, here.after)


def _break(raw: str) -> Break:
    if _SAN.match(raw):
        return Break(2 if raw.endswith(".") else 1 if raw[-1:] in ",;:!?" else 0)
    if re.fullmatch(r"\d+\.+", raw):
        return Break(0)
    marks = take_apart(raw).after
    if any(mark in marks for mark in ".?!…"):
        return Break(2, "?" in marks)
    return Break(1 if any(mark in marks for mark in ",;:—–)(") else 0)


def _ends_part(talk: Talk, index: int) -> bool:
    """Whether a heading or a typed paragraph ends here; a captioned pause proves nothing."""
    if index + 1 >= len(talk.words):
        return True
    here, following = talk.words[index], talk.words[index + 1]
    if here.heading != following.heading:
        return True
    return here.paragraph != following.paragraph and talk.unit.value == "char"


@dataclass(frozen=True)
class Sentence:
    """A sentence (or a stretch of captions of at most ``MAX_SENTENCE`` tokens).

    :param tokens: in order, at least one.
    :param asked: whether it ends with a question mark.
    :param language: of its words.
    """

    tokens: tuple[SentenceToken, ...]
    asked: bool = False
    language: str = DEFAULT

    @cached_property
    def text(self) -> str:
        """The tokens joined by single spaces, without punctuation: what the finders' patterns run on."""
        return " ".join(token.text for token in self.tokens)

    @cached_property
    def _starts(self) -> tuple[int, ...]:
        starts, at = [], 0
        for token in self.tokens:
            starts.append(at)
            at += len(token.text) + 1
        return tuple(starts)

    def token_range(self, start: int, end: int) -> tuple[int, int]:
        """The half-open token range that the characters from ``start`` to ``end`` of :attr:`text` touch."""
        first = max(i for i, at in enumerate(self._starts) if at <= start)
        last = 1 + max(i for i, at in enumerate(self._starts) if at < max(end, start + 1))
        return first, last

    @cached_property
    def parts(self) -> tuple[tuple[int, int], ...]:
        """Half-open token ranges of the clause parts, in order and without gaps."""
        cuts = [0]
        for i in range(1, len(self.tokens)):
            if self._cut_before(i):
                cuts.append(i)
        cuts.append(len(self.tokens))
        return tuple(pair for pair in pairwise(cuts) if pair[0] < pair[1])

    def _cut_before(self, i: int) -> bool:
        if self.tokens[i - 1].after.strength:
            return True
        before, here = self.tokens[i - 1].text, self.tokens[i].text
        if here in self._listed("clause_word"):
            return True
        following = " ".join(token.text for token in self.tokens[i : i + HEAD])
        said = wording(_CLAUSES, self.language)
        if here in self._listed("joining") and said.says("new_clause", following):
            return True
        bound = before in self._listed("holds_on") or before in self._listed("clause_word")
        return not bound and said.says("fresh_subject", following)

    def _listed(self, name: str) -> frozenset[str]:
        return word_set(_CLAUSES, name, self.language)

    def clause(self, first: int, last: int) -> tuple[int, int]:
        """The clause around the tokens from ``first`` to ``last``: the parts they touch, with interjections
        before them and short tails ("I think", "for the moment") left out."""
        touched = [n for n, (a, b) in enumerate(self.parts) if a < last and b > first]
        low, high = touched[0], touched[-1]
        while low and self.parts[low - 1][1] - self.parts[low - 1][0] <= INTERJECTION:
            if self.tokens[self.parts[low - 1][1] - 1].after.strength > 1:
                break
            low -= 1
        return self.parts[low][0], self.parts[high][1]


#: An aside between commas takes at most so many tokens.
LONGEST_ASIDE = 10


def without_asides(sentence: Sentence) -> Iterator[tuple[Sentence, int]]:
    """The sentence without each of its asides between commas ("the pawn, contrary to the book, is weak"), with the
    index of the token after the gap."""
    parts, no_aside = sentence.parts, word_set(_CLAUSES, "no_aside", sentence.language)
    for (_, before), (first, last) in pairwise(parts[:-1]):
        closed = sentence.tokens[before - 1].after.strength == 1 == sentence.tokens[last - 1].after.strength
        if closed and last - first <= LONGEST_ASIDE and sentence.tokens[first].text not in no_aside:
            lead = replace(sentence.tokens[before - 1], after=NO_BREAK)
            kept = (*sentence.tokens[: before - 1], lead, *sentence.tokens[last:])
            yield replace(sentence, tokens=kept), before


def sentences(talk: Talk, code: str = DEFAULT) -> tuple[Sentence, ...]:
    """The talk cut into sentences at full stops, question marks, headings and typed paragraphs.

    :param code: the talk's language.
    """
    out: list[Sentence] = []
    run: list[SentenceToken] = []
    for token in tokens(talk, code):
        run.append(token)
        if token.after.strength == 2:
            out.append(Sentence(tuple(run), token.after.question, code))
            run = []
        elif len(run) >= MAX_SENTENCE:
            cut = _good_cut(Sentence(tuple(run), language=code))
            out.append(Sentence(tuple(run[:cut]), language=code))
            run = run[cut:]
    if run:
        out.append(Sentence(tuple(run), language=code))
    return tuple(out)


def _good_cut(run: Sentence) -> int:
    """Where to cut a sentence that grew too long: at its last clause border past the middle, else at its end."""
    starts = [first for first, _ in run.parts if first > len(run.tokens) // 2]
    return starts[-1] if starts else len(run.tokens)

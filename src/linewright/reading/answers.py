"""What the trainer has settled: how certain words of a talk are to be read, and the file that keeps it.

The file is text, one answer a line, four fields separated by ``|``::

    0:41.1 | Nf3 | he plays [night of 3] and we castle | rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq -

1. where the words stand: minutes and seconds in captions, ``line:column`` in typed talks; only a hint;
2. the move in standard algebraic notation, ``-`` when the words mean no move;
3. the words, in brackets, with some words before and after, by which the place is found again;
4. the position that the move is played from, as FEN (four fields are enough); left out: wherever it fits.

Blank lines and lines that begin with ``#`` are the user's own. Nothing here touches the disk.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import chess
from rapidfuzz.distance import Indel

from linewright.language.tokens import word_key
from linewright.lesson.spoken import CASTLES, SAN
from linewright.lesson.walk import MoveStep, Walk
from linewright.talk.model import Talk, Unit, Word

#: Words of context kept on each side: enough to tell places apart where moves are said again and again.
CONTEXT = 7
#: Part of the context that must be found again, in words that agree; below it the place counts as lost.
FOUND = 0.5
#: Costs of the alignment, in words that agree: a word of the note that is missing in the talk, a word of the
#: talk that is missing in the note, and how alike two spellings must be (0-1) to count for each other.
MISSING, ADDED, ALIKE = 0.4, 0.3, 0.5
#: Places this much worse than the best (in words that agree) are still rivals; the nearest to the hint wins.
RIVALS = 1.0
#: Words that may have come in where the settled words were recognised again.
GROWN = 3
#: Stands for a move where the words mean none.
NO_MOVE = "-"


@dataclass(frozen=True, slots=True)
class Answer:
    """How the words from ``first`` up to, not including, ``last`` are to be read.

    :param first: index of the first word in the talk.
    :param last: index after the last word.
    :param san: the move that they mean, in standard algebraic notation; ``""`` when they mean none.
    :param before: FEN of the position it is played from (its first four fields count); ``""`` wherever it fits.
    """

    first: int
    last: int
    san: str
    before: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """An answer as it is written down: by words instead of numbers.

    :param hint: where the words stood: seconds, or the line in a typed talk; None when not given.
    :param left: the words before, ``words`` the settled ones, ``right`` the words after, each as its
        :func:`linewright.language.tokens.word_key`.
    """

    hint: float | None
    san: str
    left: tuple[str, ...]
    words: tuple[str, ...]
    right: tuple[str, ...]
    before: str = ""


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """A line of an answers file.

    :param text: as it stands, without the line's end.
    :param note: the answer on it; None for blank lines, comments and lines that can't be read.
    :param problem: why it can't be read.
    """

    text: str
    note: Note | None = None
    problem: str = ""


# -- the file -------------------------------------------------------------------------------------------------


def parse(text: str) -> tuple[AnswerLine, ...]:
    """The lines of an answers file; what can't be read is kept with the reason."""
    return tuple(_parse_line(line) for line in text.removeprefix("\ufeff").splitlines())


def written(talk: Talk, answer: Answer) -> str:
    """An answer as a line of the file."""
    words = talk.words
    left = _plain(words[max(0, answer.first - CONTEXT) : answer.first])
    right = _plain(words[answer.last : answer.last + CONTEXT])
    context = " ".join(filter(None, (left, f"[{_plain(words[answer.first : answer.last])}]", right)))
    before = four_fields(answer.before)
    fields = [_where(talk, answer.first), answer.san or NO_MOVE, context, before]
    return " | ".join(fields if before else fields[:3])


def rewritten(
    lines: Sequence[AnswerLine], dropped: frozenset[int], added: Mapping[int, str], places: Mapping[int, int]
) -> tuple[AnswerLine, ...]:
    """The file with some answers dropped and others added where they stand in the talk; the rest as it was.

    :param dropped: indices of lines to leave out.
    :param added: new lines by their first word in the talk.
    :param places: for lines whose place was found, the first word in the talk.
    """
    out: list[tuple[int | None, AnswerLine]] = [(places.get(i), x) for i, x in enumerate(lines) if i not in dropped]
    for first, text in sorted(added.items()):
        earlier = [i for i, (place, _) in enumerate(out) if place is not None and place <= first]
        later = [i for i, (place, _) in enumerate(out) if place is not None and place > first]
        at = earlier[-1] + 1 if earlier else later[0] if later else len(out)
        out.insert(at, (first, _parse_line(text)))
    return tuple(line for _, line in out)


def _parse_line(text: str) -> AnswerLine:
    if not text.strip() or text.lstrip().startswith("#"):
        return AnswerLine(text)
    fields = [field.strip() for field in text.split("|")]
    if len(fields) not in (3, 4):
        return AnswerLine(
            text, problem="an answer has three or four fields separated by |: place | move | words | position"
        )
    where, move, context, before = (*fields, "")[:4]
    san = "" if move == NO_MOVE else move.replace("0", "O").rstrip("!?")
    if move != NO_MOVE and not (SAN.fullmatch(san) or CASTLES.fullmatch(san)):
        return AnswerLine(
            text, problem=f"{move!r} is not a move as in Nf3, exd5, O-O; write {NO_MOVE} for words that are no move"
        )
    parts = re.fullmatch(r"([^\[\]]*)\[([^\[\]]*)\]([^\[\]]*)", context)
    left, words, right = (keys(part.split()) for part in parts.groups()) if parts else ((), (), ())
    if not words:
        return AnswerLine(
            text, problem="the settled words must stand in brackets, as in: he plays [night of 3] and then"
        )
    if before and not _is_fen(before):
        return AnswerLine(text, problem=f"{before!r} is not a valid FEN")
    return AnswerLine(text, Note(_hint(where), san, left, words, right, before))


def _is_fen(text: str) -> bool:
    fields = text.split()
    try:
        chess.Board(" ".join([*fields[:4], "0", "1"]))
    except ValueError:
        return False
    return len(fields) >= 4


def _hint(where: str) -> float | None:
    """Seconds of ``1:02:03.4`` or ``2:03.4``; the line of ``27:180``."""
    parts = where.split(":")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        return None
    if "." not in where:
        return numbers[0]
    return sum(number * 60.0**power for power, number in enumerate(reversed(numbers)))


def _where(talk: Talk, index: int) -> str:
    word = talk.words[index]
    return clock(word.start) if talk.unit is Unit.SECONDS else f"{word.place.line}:{word.place.column}"


def clock(seconds: float) -> str:
    """``"2:03.4"`` or ``"1:02:03.4"``."""
    tenths = round(seconds * 10)
    minutes, rest = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    tail = f"{rest // 10:02}.{rest % 10}"
    return f"{hours}:{minutes:02}:{tail}" if hours else f"{minutes}:{tail}"


def _plain(words: Sequence[Word]) -> str:
    """Words as they stand, but for the signs that part fields and mark places."""
    text = " ".join(word.text for word in words)
    return " ".join(text.translate(str.maketrans("|[]", "/()")).split())


# -- finding the place again ----------------------------------------------------------------------------------


def keys(words: Sequence[str]) -> tuple[str, ...]:
    """The keys of words, lone signs left out."""
    return tuple(filter(None, map(word_key, words)))


@dataclass(frozen=True, slots=True)
class FoundWords:
    """Where a note's words stand in a talk, half-open, in words that have a key."""

    first: int
    last: int
    score: float


class Finder:
    """Finds the places of notes in one talk."""

    def __init__(self, talk: Talk) -> None:
        self.talk = talk
        self.index = [i for i, word in enumerate(talk.words) if word_key(word.text)]
        self.keys = [word_key(talk.words[i].text) for i in self.index]

    def find(self, note: Note) -> tuple[int, int] | None:
        """The word range that a note's words have in the talk; None when it can't be found any more."""
        places = self._exact(note) or self._alike(note)
        if not places:
            return None
        best = max(place.score for place in places)
        rivals = [place for place in places if place.score >= best - RIVALS]
        place = min(rivals, key=lambda p: (self._distance(p, note), -p.score))
        return self.index[place.first], self.index[place.last - 1] + 1

    def _distance(self, place: FoundWords, note: Note) -> float:
        if note.hint is None:
            return 0.0
        word = self.talk.words[self.index[place.first]]
        return abs(note.hint - (word.start if self.talk.unit is Unit.SECONDS else word.place.line))

    def _exact(self, note: Note) -> list[FoundWords]:
        """The places where words and context stand unchanged."""
        wanted = [*note.left, *note.words, *note.right]
        size, skip = len(wanted), len(note.left)
        return [
            FoundWords(i + skip, i + skip + len(note.words), float(size))
            for i in range(len(self.keys) - size + 1)
            if self.keys[i] == wanted[0] and self.keys[i : i + size] == wanted
        ]

    def _alike(self, note: Note) -> list[FoundWords]:
        """The places where most of the words and the context stand, by semi-global alignment."""
        wanted = [*note.left, *note.words, *note.right]
        rows = _align(wanted, self.keys)
        ends = sorted(range(1, len(self.keys) + 1), key=lambda j: -rows[-1][j])
        out: list[FoundWords] = []
        taken: list[int] = []
        for end in ends:
            score = rows[-1][end]
            if score < FOUND * len(wanted) or len(out) >= 4:
                break
            if any(abs(end - other) < len(wanted) for other in taken):
                continue
            taken.append(end)
            span = _span(_trace(rows, wanted, self.keys, end), note)
            if span is not None:
                out.append(FoundWords(*span, score))
        return out


@lru_cache(maxsize=50_000)
def _agree(one: str, two: str) -> float:
    """How far two words count for each other: 1 the same, below 0 strangers."""
    if one == two:
        return 1.0
    if {one[0], two[0]} <= set("0123456789") or abs(len(one) - len(two)) > max(len(one), len(two)) / 2:
        return -MISSING - ADDED
    return Indel.normalized_similarity(one, two) - ALIKE


def _align(wanted: Sequence[str], talk: Sequence[str]) -> list[list[float]]:
    """Scores of the best alignment of the first ``i`` wanted words ending at talk word ``j``."""
    rows = [[0.0] * (len(talk) + 1)]
    for i, word in enumerate(wanted, 1):
        above, row = rows[-1], [-MISSING * i]
        for j, other in enumerate(talk, 1):
            row.append(max(above[j - 1] + _agree(word, other), above[j] - MISSING, row[-1] - ADDED))
        rows.append(row)
    return rows


def _trace(rows: list[list[float]], wanted: Sequence[str], talk: Sequence[str], end: int) -> dict[int, int]:
    """For each wanted word that was found, its talk word."""
    i, j = len(wanted), end
    out: dict[int, int] = {}
    while i and j:
        if rows[i][j] == rows[i - 1][j - 1] + _agree(wanted[i - 1], talk[j - 1]):
            if _agree(wanted[i - 1], talk[j - 1]) > 0:
                out[i - 1] = j - 1
            i, j = i - 1, j - 1
        elif rows[i][j] == rows[i - 1][j] - MISSING:
            i -= 1
        else:
            j -= 1
    return out


def _span(found: Mapping[int, int], note: Note) -> tuple[int, int] | None:
    """The talk words of a note's own words, from what of it was found."""
    first, last = len(note.left), len(note.left) + len(note.words)
    own = [i for i in range(first, last) if i in found]
    low = found[first - 1] + 1 if first - 1 in found else None
    high = found.get(last)
    if len(own) < len(note.words) and low is not None and high is not None:
        return (low, high) if 0 < high - low <= len(note.words) + GROWN else None
    if not own:
        return None
    start, end = found[own[0]], found[own[-1]] + 1
    if low is not None and start - low <= own[0] - first:
        start = low
    if high is not None and high - end <= last - 1 - own[-1]:
        end = high
    return start, end


# -- whether a reading obeys ----------------------------------------------------------------------------------


def same_move(one: str, two: str) -> bool:
    """Two moves in standard algebraic notation are the same, signs for check and praise apart."""
    return one.rstrip("+#!?") == two.rstrip("+#!?")


def four_fields(fen: str) -> str:
    """A FEN's first four fields: the position without its counters."""
    return " ".join(fen.split()[:4])


def same_position(one: str, two: str) -> bool:
    """Two FENs agree in their first four fields."""
    return one.split()[:4] == two.split()[:4]


def meet(one: Answer, two: Answer) -> bool:
    """Two answers share words."""
    return one.first < two.last and two.first < one.last


def same_answer(one: Answer, two: Answer) -> bool:
    """Two answers say the same of the same words."""
    return meet(one, two) and same_move(one.san, two.san) and same_position(one.before, two.before)


def step_for(walk: Walk, answer: Answer) -> MoveStep | None:
    """The move that a walk reads in an answer's words, the first if there are several."""
    hit = (m for m in walk.moves if m.said.first < answer.last and m.said.last > answer.first)
    return next(hit, None)


def obeyed(walk: Walk, answer: Answer) -> bool:
    """A walk reads an answer's words as the answer says."""
    step = step_for(walk, answer)
    if step is None or not answer.san:
        return step is None and not answer.san
    fits = not answer.before or same_position(step.before, answer.before)
    return fits and same_move(step.san, answer.san)

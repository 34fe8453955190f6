"""All of a talk that its reading depends on, and the search made from it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import chess

from linewright.language.tables import ENGLISH, Language
from linewright.reading.answers import Answer
from linewright.reading.openings.named_lines import NamedJumps
from linewright.reading.openings.opening_names import find_openings
from linewright.reading.phrases.context import Context
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.phrases.speaker_side import guess_side, persons
from linewright.reading.search.beam import Search
from linewright.reading.search.breaks import Agreement
from linewright.reading.search.hypothesis import Hypothesis
from linewright.reading.search.positions import Atlas, MoveCounts, Position
from linewright.reading.search.returns import Mark
from linewright.reading.words.caption_like import is_heard
from linewright.reading.words.tokens import Token, tokens
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text
from linewright.talk.model import Aside, Talk

#: Times that a talk is read again from where the line was lost; a second and third time changed next to nothing.
RESCUES = 1


@dataclass(frozen=True, slots=True)
class ReadingOptions:
    """How to read; the switches are for measuring what each part is worth.

    :param language: what the talk is in.
    """

    greedy: bool = False
    returns: bool = True
    soundalikes: bool = True
    names: bool = True
    rescues: int = RESCUES
    language: Language = ENGLISH


@dataclass(frozen=True, slots=True)
class SaidTalk:
    """What a talk says, as far as its reading depends on it.

    :param start: FEN of the position it starts from.
    :param side: the side it is given for, or ``""``.
    :param heard: a recogniser wrote it down.
    :param forced: light marks that steer the walk, by the token they stand before.
    :param answers: what the trainer has settled, by tokens instead of words.
    :param named: the openings it names.
    :param language: what it is in.
    """

    start: str
    side: str
    heard: bool
    words: tuple[Token, ...]
    forced: Mapping[int, Sequence[Mark]]
    answers: tuple[Answer, ...]
    named: NamedJumps
    language: Language = ENGLISH


def said_talk(
    talk: Talk, base: MoveCounts | None, answers: Sequence[Answer] = (), options: ReadingOptions | None = None
) -> SaidTalk:
    """Take a talk apart.

    :raises UnusableInput: when its ``{start: FEN}`` mark holds no legal position.
    """
    options = options or ReadingOptions()
    language = options.language
    words = tokens(talk, language)
    heard = options.soundalikes and is_heard(talk, words, language)
    return SaidTalk(
        start_board(talk).fen(),
        lesson_side(talk, words, language),
        heard,
        words,
        steering_marks(talk, words, language),
        tuple(sorted(by_token(answers, words), key=lambda a: (a.first, a.last))),
        named_jumps(talk, words, heard, base, language) if options.names else NamedJumps({}),
        language,
    )


def search_of(
    said: SaidTalk,
    context: Context,
    atlas: Atlas,
    root: Position,
    options: ReadingOptions | None = None,
    rescues: frozenset[int] = frozenset(),
) -> Search:
    """A search over what a talk says, before its first token.

    :param rescues: tokens where an earlier search had lost the line.
    """
    options = options or ReadingOptions()
    return Search(
        context,
        atlas,
        root,
        persons(said.words, said.side, said.language),
        options.greedy,
        options.returns,
        said.answers,
        said.heard,
        rescues,
        said.named,
    )


def context_of(said: SaidTalk) -> Context:
    """The words around the phrases of a talk."""
    finder = PhraseFinder(said.words, said.heard, said.language)
    return Context(said.words, finder.all(), said.language)


class Reading(NamedTuple):
    """A search that has read all words, with its readings, best first, and how the best agrees with the words."""

    search: Search
    final: list[Hypothesis]
    agreement: Agreement


def take_up_again(
    search: Search,
    final: list[Hypothesis],
    again: Callable[[frozenset[int]], tuple[Search, list[Hypothesis]]],
    rescues: int = RESCUES,
) -> Reading:
    """Read again from where the line was lost, as long as that leaves fewer phrases unread.

    :param again: reads the talk once more, taking the line up again at these tokens.
    """
    best = Reading(search, final, Agreement(search, final))
    for _ in range(rescues):
        if not best.agreement.lost:
            break
        other, readings = again(best.search.unsaid.rescues | {line.first for line in best.agreement.lost})
        agreement = Agreement(other, readings)
        if agreement.unread >= best.agreement.unread:
            break
        best = Reading(other, readings, agreement)
    return best


def named_jumps(
    talk: Talk, words: Sequence[Token], heard: bool, base: MoveCounts | None, language: Language = ENGLISH
) -> NamedJumps:
    """The openings that a talk and its title name."""
    title = tokens(load_text(talk.title, TalkFormat.TYPED, "title"), language) if talk.title else ()
    in_title = find_openings(title, heard, base, language)
    return NamedJumps({o.first: o for o in find_openings(words, heard, base, language)}, tuple(in_title))


def start_board(talk: Talk) -> chess.Board:
    """The position that a talk starts from, by its ``{start: FEN}`` mark.

    :raises UnusableInput: when the mark holds no legal position.
    """
    for aside in talk.asides:
        if aside.name == "start":
            where = f"{talk.source}:{aside.place.line}:{aside.place.column}"
            try:
                board = chess.Board(aside.value)
            except ValueError as error:
                raise UnusableInput(
                    f"{where}: the start position {aside.value!r} is not a valid FEN ({error})",
                    "Write it as {start: rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1}.",
                ) from None
            if not board.is_valid():
                raise UnusableInput(
                    f"{where}: the start position {aside.value!r} is not legal ({board.status()!r})",
                    "Check kings, pawns, the side to move and castling rights.",
                )
            return board
    return chess.Board()


def lesson_side(talk: Talk, words: Sequence[Token], language: Language = ENGLISH) -> str:
    """The side that a lesson is given for, by its ``{side: …}`` mark or its words; ``""`` when neither says."""
    for aside in talk.asides:
        if aside.name == "side" and aside.value.lower() in ("white", "black"):
            return aside.value.lower()
    return guess_side(words, language)


def by_token(answers: Sequence[Answer], words: Sequence[Token]) -> list[Answer]:
    """The answers with token indices instead of word indices."""
    starts = [t.word for t in words]
    return [replace(a, first=bisect_left(starts, a.first), last=bisect_left(starts, a.last)) for a in answers]


def steering_marks(talk: Talk, words: Sequence[Token], language: Language = ENGLISH) -> dict[int, list[Mark]]:
    """The light marks that steer the walk, by the token they stand before."""
    starts = [t.word for t in words]
    out: dict[int, list[Mark]] = {}
    for aside in talk.asides:
        if aside.name in ("here", "back"):
            index = bisect_left(starts, aside.word)
            out.setdefault(index, []).append(Mark(aside.name, aside.value, _named_moves(aside, language)))
    return out


def _named_moves(aside: Aside, language: Language) -> tuple[Phrase, ...]:
    """The phrases in a mark's value: ``{back: 4.Nxd4}`` names a position by the move that led to it."""
    if aside.name != "back":
        return ()
    words = tokens(load_text(aside.value, TalkFormat.TYPED, "mark"), language)
    found = PhraseFinder(words, False, language).all()
    return tuple(found[0]) if found else ()

"""The lattice: what each word of a talk, or run of words, may mean on a board."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linewright.language.tables import ENGLISH, Language
from linewright.reading.words import soundalikes
from linewright.reading.words.rhymes import BOARD, RHYMING
from linewright.reading.words.soundalikes import PAUSE, expected, is_plain, meanings
from linewright.reading.words.tokens import Token
from linewright.reading.words.vocabulary import ARTICLE, DIGITS, LETTERS, NOTED, BoardVocabulary, is_square, vocabulary
from linewright.reading.words.written import files_alone, writes_small, written

#: Nats, in a typed text, for a square with a letter that no board has: a slip of the hand or a pasted caption.
NO_BOARD_TYPED = 2.5
#: Nats for a piece shortened to its letter before a square ("b g5"), and for a figure too many ("d41").
LETTER_FOR_PIECE = 1.0
FIGURE_TOO_MANY = 1.5
_NO_BOARD = re.compile(r"([ptvzsx])([1-8])")


@dataclass(frozen=True, slots=True)
class Edge:
    """One meaning of the tokens up to ``end``.

    :param end: index after the last token.
    :param kind: ``piece square file rank filesquare takes took castles castled side check mate promotes link on
        verb puts det other back with fill san castling`` and, heard in one, ``pieceto piecefile filetakes``.
    :param value: piece letter, square name, file letter, written move, ``Nbd7`` …
    :param cost: negative log-probability of the tokens given this meaning, in nats (0 = said and written alike).
    """

    end: int
    kind: str
    value: str
    cost: float = 0.0


def lattice(tokens: Sequence[Token], heard: bool, language: Language = ENGLISH) -> list[list[Edge]]:
    """All meanings of all runs of tokens: ``lattice[i]`` holds the edges that begin at token ``i``.

    :param heard: the words come from a recogniser, so sound-alikes and misheard letters are possible.
    """
    small = writes_small(tokens, heard)
    return [_edges(tokens, index, heard, small, language) for index in range(len(tokens))]


def _edges(tokens: Sequence[Token], index: int, heard: bool, small: bool, language: Language) -> list[Edge]:
    found: dict[tuple[int, str, str], Edge] = {}
    known = vocabulary(language)

    def add(end: int, kind: str, value: str, cost: float) -> None:
        old = found.get((end, kind, value))
        if old is None or cost < old.cost:
            found[end, kind, value] = Edge(end, kind, value, cost)

    token = tokens[index]
    for kind, value, cost in (*known.meanings(token.text, token.raw), *written(token.raw, heard, small)):
        add(index + 1, kind, value, cost)
    for edge in (*_spelled(tokens, index, known), *_in_context(tokens, index, heard, language)):
        add(edge.end, edge.kind, edge.value, edge.cost)
    if heard:
        near = expected(tokens, index, language)
        for meaning in meanings(tokens, index, soundalikes.table(language), near, language):
            if meaning.kind != "check" or token.text not in known.for_check or after_move(tokens, index, known):
                add(meaning.end, meaning.kind, meaning.value, meaning.cost)
    return list(found.values())


def _in_context(tokens: Sequence[Token], index: int, heard: bool, language: Language) -> Iterator[Edge]:
    """What a word means only because of the words beside it."""
    known = vocabulary(language)
    token = tokens[index]
    before = tokens[index - 1] if index and not tokens[index - 1].stop else None
    after = tokens[index + 1] if index + 1 < len(tokens) and not token.stop else None
    yield from _by_neighbours(tokens, index, before, after, known)
    if after and after.word == token.word and is_square(token.text) and is_square(after.text):
        yield Edge(index + 2, "san", token.text + after.text)  # written in one: "e4e5" may be one move or two
        if heard:
            yield Edge(index + 2, "square", token.text, FIGURE_TOO_MANY)
    if heard:
        more = re.fullmatch(r"([a-h][1-8])[1-8]", token.text)
        if more:
            yield Edge(index + 1, "square", more[1], FIGURE_TOO_MANY)
        return
    for kind, value, cost in files_alone(tokens, index):
        yield Edge(index + 1, kind, value, cost)
    odd = _NO_BOARD.fullmatch(token.text)
    if odd and any(t is not None and _speaks_of_moves(t, language) for t in (before, after)):
        for group in RHYMING:
            if odd[1] in group:
                yield from (Edge(index + 1, "square", f + odd[2], NO_BOARD_TYPED) for f in group if f in BOARD)


def _by_neighbours(
    tokens: Sequence[Token], index: int, before: Token | None, after: Token | None, known: BoardVocabulary
) -> Iterator[Edge]:
    """A small word as a check, a file, castling or a piece."""
    token = tokens[index]
    if token.text in known.for_check and after_move(tokens, index, known):
        yield Edge(index + 1, "check", "")
    if token.text in known.article and before and before.text in known.pieces and after and is_square(after.text):
        yield Edge(index + 1, "file", token.text)
    if token.text in known.wing_adjectives and after and after.text in known.castles and not token.pause:
        yield Edge(index + 2, "castling", known.wing_adjectives[token.text])
    alone = before is None or (before.text not in known.pieces and before.text not in known.misheard_pieces)
    if alone and token.text in known.letters and after and is_square(after.text) and not token.pause:
        yield Edge(index + 1, "piece", known.letters[token.text], LETTER_FOR_PIECE)


def _speaks_of_moves(token: Token, language: Language) -> bool:
    """The word leads to a square or is a move's itself: "to p5", "knight p5", "d4 p5"."""
    known = vocabulary(language)
    leads = known.is_kind(token.text, "puts", "verb") or token.text in known.to_square
    return leads or is_plain(token, language)


def after_move(tokens: Sequence[Token], index: int, known: BoardVocabulary) -> bool:
    """A move's square, or "castles", stands just before: "chess" after it is a misheard or a foreign "check"."""
    at = index - 1
    while at > 0 and tokens[at].text in known.before_check:
        at -= 1
    if at < 0 or tokens[at].stop:
        return False
    text = tokens[at].text
    return bool(NOTED.fullmatch(text)) or text in known.figures or text in DIGITS or text in known.ends_move


def _spelled(tokens: Sequence[Token], index: int, known: BoardVocabulary) -> list[Edge]:
    """Squares and sides said in two words: "e four", "king side", "e 4"."""
    if index + 1 >= len(tokens) or tokens[index].stop:
        return []
    one, two = tokens[index], tokens[index + 1]
    if two.text in known.wing_nouns and one.text in known.wing_words:
        return [Edge(index + 2, "side", known.wing_words[one.text])]
    digit = known.figures.get(two.text, two.text)
    if one.text in LETTERS and digit in DIGITS:
        article = one.text in known.article and one.raw == one.text
        return [
            Edge(index + 2, "square", one.text + digit, (ARTICLE if article else 0.0) + (PAUSE if one.pause else 0.0))
        ]
    return []

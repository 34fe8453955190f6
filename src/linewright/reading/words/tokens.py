"""Tokens: a talk's words as the reader looks at them, with the punctuation around them kept as flags."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from linewright.language.patterns import either
from linewright.language.tables import ENGLISH, Language
from linewright.language.tokens import TalkWord, fillers, joined_parts, talk_words
from linewright.talk.model import Talk

#: Written punctuation that ends a sentence; a comma, colon or dash only pauses.
_STOPS = set(".?!;…")
_PAUSES = set(',:–—-)("“”')

#: Written moves keep their hyphens and signs: castling, long notation, figurines.
_WRITTEN = re.compile(
    r"^(?:[O0o][-–−‑][O0o](?:[-–−‑][O0o])?|[KQRBNP♔-♟]?[a-h][1-8][-–x×:]?[KQRBN♔-♟]?[a-h][1-8](?:=?[QRBNqrbn♔-♟])?)"
    r"[+#†‡]*[!?]*$"
)
#: Two pawns' moves run together: "e4e5", "d45".
_GLUED_MOVES = re.compile(r"([a-h][3-6])([a-h][3-6])|([a-h])(4)([56])", re.IGNORECASE)
_NAG = {"!": 1, "?": 2, "!!": 3, "??": 4, "!?": 5, "?!": 6}
_SIGN = re.compile(r"[!?]{1,2}")
_EDGE = '"“”‘’«»()[]{}<>,.;:?!…*_`~–—-'


@dataclass(frozen=True, slots=True)
class Token:
    """A word, or a part of one, as the reader looks at it.

    :param text: lower case, bare of punctuation.
    :param raw: bare of punctuation, case kept (``Bd7`` is not ``bd7``).
    :param word: index of its word in the talk.
    :param stop: a sentence ends after it.
    :param pause: a comma, colon or dash stands after it.
    :param number: move number and side written with it: ``(4, False)`` for ``4...``, else None.
    :param nag: number of the annotation sign written with it (``!`` 1 … ``?!`` 6), else None.
    :param heading: level of its heading, 0 outside headings.
    :param paragraph: index of its paragraph.
    """

    text: str
    raw: str
    word: int
    stop: bool = False
    pause: bool = False
    number: tuple[int, bool] | None = None
    nag: int | None = None
    heading: int = 0
    paragraph: int = 0
    confidence: float | None = None


def tokens(talk: Talk, language: Language = ENGLISH) -> tuple[Token, ...]:
    """Every token of the talk, in order; a word may give several (``half-open``) or none (a lone dash)."""
    out: list[Token] = []
    glued = _glued(language)
    for word in talk_words(word.text for word in talk.words):
        made = _word_tokens(talk, word, glued)
        out += made
        stop, pause = _breaks(word)
        if not made and out and (stop or pause):
            out[-1] = replace(out[-1], stop=out[-1].stop or stop, pause=out[-1].pause or pause)
    return tuple(_without_stutters(out, language))


def _word_tokens(talk: Talk, word: TalkWord, glued: _Glued) -> list[Token]:
    said = talk.words[word.index]
    following = talk.words[word.index + 1] if word.index + 1 < len(talk.words) else None
    ends_heading = said.heading != 0 and (following is None or following.heading != said.heading)
    ends_paragraph = following is not None and following.paragraph != said.paragraph
    stop, pause = _breaks(word)
    made = []
    parts = _parts(word.core, glued)
    for place, part in enumerate(parts):
        last = place == len(parts) - 1
        made.append(
            Token(
                part.lower(),
                part,
                word.index,
                last and (stop or ends_heading or ends_paragraph),
                last and pause,
                word.number if place == 0 else None,
                _annotation(word)[0] if last else None,
                said.heading,
                said.paragraph,
                said.confidence,
            )
        )
    return made


def _annotation(word: TalkWord) -> tuple[int | None, str]:
    """The annotation sign of a written move, and the punctuation after it."""
    sign = _SIGN.match(word.after)
    if sign and re.search(r"[a-h][1-8]|O$|0$", word.core):
        return _NAG.get(sign[0]), word.after[sign.end() :]
    return None, word.after


def _breaks(word: TalkWord) -> tuple[bool, bool]:
    """Whether a sentence ends after a word, and whether the speaker pauses."""
    marks = set(_annotation(word)[1])
    return bool(marks & _STOPS), bool(marks & _PAUSES)


def _without_stutters(tokens: list[Token], language: Language) -> list[Token]:
    """Tokens without fillers and false starts: "um", "bishop, bishop c4", "knight e, e2"."""
    kept: list[Token] = []
    empty, repeated = fillers(language), language.table("tokens").words("repeated")
    for token in tokens:
        if token.text in empty:
            if kept:  # a sentence may end with a filler; the speaker only pauses before one within it
                last = kept[-1]
                kept[-1] = replace(last, stop=last.stop or token.stop, pause=last.pause and token.stop)
            continue
        if kept and _stutters(kept[-1], token, repeated):
            kept.pop()
        kept.append(token)
    return kept


def _stutters(one: Token, two: Token, repeated: frozenset[str]) -> bool:
    """The second token begins again what the first began."""
    if one.stop or not one.text or one.number is not None:
        return False
    square = len(two.text) == 2 and two.text[1].isdigit()
    if one.pause and square and one.text == two.text[0]:
        return True
    return one.text == two.text and one.text.isalpha() and one.text not in repeated


def _parts(core: str, glued: _Glued) -> list[str]:
    """The parts of a word that mean something of their own; a written move is one."""
    if not core:
        return []
    if apart := unglue(core, glued):
        return apart
    if _WRITTEN.match(core):
        return [core]
    return [stripped for part in joined_parts(core) if (stripped := part.strip(_EDGE)).strip("'")]


# -- words that captions run together ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Glued:
    """What captions run together in a language.

    :param piece: a piece, perhaps "takes", perhaps a square; ``square`` a letter and a figure; ``no_square`` what
        looks like one and is a written move.
    """

    piece: re.Pattern[str]
    square: re.Pattern[str]
    no_square: re.Pattern[str]


@cache
def _glued(language: Language) -> _Glued:
    table = language.table("tokens")
    figure = either("[1-8]", *table.listed("glued.figures"))
    after_piece = either(figure, *table.listed("glued.figures_after_piece"))
    letter = either(*table.listed("glued.letters")) if table.get("glued.letters") else "(?!)"
    named = either("[a-h]", "[ptvzsx](?=[1-8])", letter)
    pieces = either(*(table.listed("glued.pieces") or ("(?!)",)))
    takes = either(*(table.listed("glued.takes") or ("(?!)",)))
    no_square = either(*(table.listed("glued.no_square") or ("(?!)",)))
    return _Glued(
        re.compile(rf"({pieces})({takes})?({named}{after_piece}|{letter})?", re.IGNORECASE),
        re.compile(rf"([a-h]|{letter})({figure})", re.IGNORECASE),
        re.compile(rf"{no_square}[1-8]", re.IGNORECASE),
    )


def unglue(word: str, glued: _Glued | None = None) -> list[str]:
    """The parts of a word that captions have run together, [] for every other word.

    >>> unglue("rookd1"), unglue("nightsee3"), unglue("ethree"), unglue("d45"), unglue("e4c5"), unglue("e4")
    (['rook', 'd1'], ['night', 'see', '3'], ['e', 'three'], ['d4', 'd5'], ['e4', 'c5'], [])
    """
    glued = glued or _glued(ENGLISH)
    piece = glued.piece.fullmatch(word)
    if piece and (piece[2] or piece[3]):
        return [p for p in (piece[1], piece[2]) if p] + (unglue(piece[3], glued) or [piece[3]] if piece[3] else [])
    square = glued.square.fullmatch(word)
    if square and len(word) > 2 and not glued.no_square.fullmatch(word):
        return [square[1], square[2]]
    moves = _GLUED_MOVES.fullmatch(word)
    if moves:
        return [moves[1], moves[2]] if moves[1] else [moves[3] + moves[4], moves[3] + moves[5]]
    return []


def words_between(tokens: Sequence[Token], first: int, last: int) -> str:
    """The words of the tokens from ``first`` up to ``last``, separated by spaces; cut at the talk's ends."""
    return " ".join(t.text for t in tokens[max(0, first) : last])

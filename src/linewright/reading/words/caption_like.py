"""Whether a talk's words were written down by a recogniser, as far as the text shows it.

Captions are often pasted into a text file, so the file's ending says little. What a recogniser leaves is a text with
hardly a full stop or comma, or words that no typist would write where a move is said: each kind of them is a *slip*.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from linewright.language.tables import ENGLISH, Language
from linewright.reading.words.tokens import Token
from linewright.talk.model import Talk, Unit

#: A typed text stops or pauses at least once in so many words; captions without punctuation do nearly never.
WORDS_A_PAUSE = 40
#: Fewer words than this show no habit.
ENOUGH_WORDS = 60
#: A text of a trainer's own has next to none of these slips; a single one may be a typist's.
SLIPS = 2
#: Squares in capitals within a sentence ("knight F3"), and no small ones: recognisers that punctuate write so. Eight
#: show a habit; a typist who writes capitals, too, writes "Nf3" now and then, a recogniser never.
CAPITALS = 8
_CAPITAL_SQUARE = re.compile(r"[A-H][1-8]")
_SMALL_SQUARE = re.compile(r"[a-h][1-8]")
_WRITTEN = re.compile(r"[KQRN][a-h1-8]?x?[a-h][1-8][+#]?")


def is_heard(talk: Talk, words: Sequence[Token], language: Language = ENGLISH) -> bool:
    """The words come from a recogniser, so that they may be garbled."""
    return talk.unit is Unit.SECONDS or looks_heard(words, language)


def looks_heard(words: Sequence[Token], language: Language = ENGLISH) -> bool:
    """The text looks like a recogniser's: next to no punctuation, or slips that no typist makes."""
    if slips(words, language) >= SLIPS or capital_squares(words):
        return True
    pauses = sum(t.stop or t.pause for t in words)
    return len(words) >= ENOUGH_WORDS and pauses * WORDS_A_PAUSE < len(words)


def capital_squares(words: Sequence[Token]) -> bool:
    """All squares within sentences are written in capitals, and no piece by its letter."""
    inside = [t.raw for before, t in pairwise(words) if not before.stop and t.number is None]
    if any(_SMALL_SQUARE.fullmatch(raw) or _WRITTEN.fullmatch(raw) for raw in inside):
        return False
    return sum(bool(_CAPITAL_SQUARE.fullmatch(raw)) for raw in inside) >= CAPITALS


def slips(words: Sequence[Token], language: Language = ENGLISH) -> int:
    """How many places of the text were misheard rather than mistyped."""
    text = " ".join(t.text + ("." if t.stop else "") for t in words)
    return len(language.table("reading/caption_like").regex("slips").findall(text))

"""Whether a talk's words were written down by a recogniser, as far as the text shows it.

Captions are often pasted into a text file, so the file's ending says little. What a recogniser leaves is a text with
hardly a full stop or comma, or the words that it hears for a piece before a square.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from linewright.reading.tokens import Token
from linewright.talk.model import Talk, Unit

#: A typed text stops or pauses at least once in so many words; captions without punctuation do nearly never.
WORDS_A_PAUSE = 40
#: Fewer words than this show no habit.
ENOUGH_WORDS = 60
#: Misheard words for a knight before a square or "takes", of which a text of a trainer's own has none; a single one
#: may be a slip.
_MISHEARD = re.compile(r"\b(?:night|nights|knife) (?:to |takes |on )?[a-h]? ?[1-8]\b|\bcastle's (?:long|short)\b")
MISHEARD = 2


def is_heard(talk: Talk, words: Sequence[Token]) -> bool:
    """The words come from a recogniser, so that they may be garbled."""
    return talk.unit is Unit.SECONDS or looks_heard(words)


def looks_heard(words: Sequence[Token]) -> bool:
    """The text looks like a recogniser's: next to no punctuation, or misheard pieces."""
    if len(_MISHEARD.findall(" ".join(t.text for t in words))) >= MISHEARD:
        return True
    pauses = sum(t.stop or t.pause for t in words)
    return len(words) >= ENOUGH_WORDS and pauses * WORDS_A_PAUSE < len(words)

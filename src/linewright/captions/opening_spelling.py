"""Openings' names in captions, spelled as the catalogue spells them.

A name is looked for by its sound, the more boldly the nearer it lies to what the lesson's board has shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from functools import cache

from ocn import Row
from rapidfuzz import fuzz

from linewright.captions.edits import CorrectionKind, Edit
from linewright.captions.misheard_runs import DETERMINERS, OPENING_NOUNS, VARIETIES, Window, Windows
from linewright.language.name_words import name_words
from linewright.language.sounds import alike, folded, sound
from linewright.lesson.opening import catalogue, full_name
from linewright.lesson.walk import Walk


class Nearness(IntEnum):
    """How near a name lies to the lesson."""

    OWN = 0  # the lesson's own opening
    MET = 1  # named for a position of the lesson
    ANY = 2  # any other opening
    TERM = 3  # a word of the trade, said in any lesson


#: How alike (0-1) heard words and a name must be, by nearness; fitted on the open talks' captions, and so
#: that texts on other things (``tests/publish/test_captions.py``) stay as they are.
ALIKE = {Nearness.OWN: 0.76, Nearness.MET: 0.80, Nearness.ANY: 0.86, Nearness.TERM: 0.69}
#: The same for a word of the trade heard as one word: many an ordinary word is a little like it ("finished").
ALIKE_ONE_WORD_TERM = 0.85
#: Sounds that a name must have at least: shorter ones are like too much.
SOUNDS = {Nearness.OWN: 4, Nearness.MET: 5, Nearness.ANY: 5, Nearness.TERM: 6}
#: How much less alike a name must be after "the exchange ...", "the advance ...".
AFTER_VARIETY = 0.06
#: How much of the likeness is sound; the rest is letters.
SOUND_SHARE = 0.6

_ORDINARY = name_words().ordinary
_TERMS = ("fianchetto", "fianchettoed", "fianchettoes", "zugzwang", "zwischenzug")
_MOVE = re.compile(r".*[0-9].*|O-O.*|\.\.\..*|\(.*|.*\)")


@dataclass(frozen=True, slots=True)
class SpelledName:
    """A name as the catalogue spells it.

    :param common: all its words are ordinary ones ("Four Knights").
    """

    text: str
    near: Nearness
    common: bool = False


def opening_edits(windows: Windows, walk: Walk) -> Iterator[Edit]:
    """The edits that spell openings' names properly."""
    names = _names(walk)
    exact = {folded(name.text): name for name in reversed(names)}
    index = 0
    while index < len(windows.parts):
        found = _best(windows, index, names, exact)
        if found is None:
            index += 1
            continue
        window, name, how = found
        yield _edit(windows, window, name, how)
        index = window.last


def _best(
    windows: Windows, index: int, names: tuple[SpelledName, ...], exact: dict[str, SpelledName]
) -> tuple[Window, SpelledName, str] | None:
    """The name that the words from here are most like, the longest of those spelled right but for looks."""
    options = list(windows.at(index))
    for window in reversed(options):
        name = exact.get(folded(window.text))
        after_name = window.before in exact and not exact[window.before].common
        if name is not None and (not name.common or after_name or _fits_common(window)):
            return window, name, "spelled so in the catalogue"
    scored = [
        (score, -window.last, window, name)
        for window in options
        for name in names
        if (score := _likeness(window, name)) is not None
    ]
    if not scored:
        return None
    score, _, window, name = max(scored, key=lambda s: (s[0], s[1], -s[3].near))
    return window, name, f"sounds like it: {score:.2f}"


def _likeness(window: Window, name: SpelledName) -> float | None:
    """How alike words and name are (0-1); None when not enough for where they stand."""
    if name.common or window.plain or len(sound(name.text)) < SOUNDS[name.near]:
        return None
    heard = alike(window.text, name.text)
    needed = ALIKE[name.near] - (AFTER_VARIETY if window.before in VARIETIES else 0.0)
    if name.near is Nearness.TERM and " " not in window.text:
        needed = ALIKE_ONE_WORD_TERM
    if heard < needed - 0.1:
        return None
    letters = fuzz.ratio(folded(window.text), folded(name.text)) / 100
    score = SOUND_SHARE * heard + (1 - SOUND_SHARE) * letters
    if score < needed:
        return None
    if name.near is Nearness.TERM:
        return score if " " not in window.text or window.before in _MODALS else None
    if name.near is Nearness.OWN:
        return score if _fits(window) else None
    looks_named = window.capital or "-" in window.text or window.following in OPENING_NOUNS
    return score if looks_named or window.before in VARIETIES else None


#: Words before a term of the trade said as several ones ("he can fiend Keto"): "one fine day" is none.
_MODALS = frozenset("can to will could would should may might".split())


def _fits(window: Window) -> bool:
    """It stands where an opening's name may: after a determiner or before an opening's noun."""
    return window.before in DETERMINERS or window.following in OPENING_NOUNS


def _fits_common(window: Window) -> bool:
    """As ``_fits``, more strictly, for names of ordinary words: "the four knights", "Two Knights defence"."""
    return window.capital or window.before in ("the", "a", "into") or window.following in OPENING_NOUNS


def _edit(windows: Windows, window: Window, name: SpelledName, how: str) -> Edit:
    before = windows.parts[window.first].before
    text = before + name.text + window.after
    if name.near is Nearness.TERM and window.text[:1].isupper() and not window.capital:
        text = before + name.text.capitalize() + window.after
    first = window.first
    article = windows.previous(first)
    if article in ("a", "an") and not before:
        wanted = "an" if name.text[0] in "AEIOU" else "a"
        if wanted != article:
            capital = windows.parts[first - 1].core[0].isupper()
            text = f"{windows.parts[first - 1].before}{wanted.capitalize() if capital else wanted} {text}"
            first -= 1
    return Edit(first, window.last, text, CorrectionKind.OPENING, how)


# -- which names ---------------------------------------------------------------------------------------------


def _names(walk: Walk) -> tuple[SpelledName, ...]:
    """All names worth looking for, nearest first, each once."""
    found: dict[str, SpelledName] = {}
    own = (walk.opening.name,) if walk.opening else ()
    met = [full_name(row) for row in _met(walk)]
    layers = ((Nearness.OWN, own), (Nearness.MET, tuple(met)), (Nearness.ANY, _families()))
    for near, names in layers:
        for name in names:
            for text, common in _parts(name, whole=near is Nearness.ANY):
                found.setdefault(folded(text), SpelledName(text, near, common))
    for term in _TERMS:
        found.setdefault(folded(term), SpelledName(term, Nearness.TERM))
    return tuple(found.values())


def _met(walk: Walk) -> tuple[Row, ...]:
    """The catalogue's entries for the positions of the lesson, with those above them."""
    rows: dict[str, Row] = {}
    for node in walk.nodes:
        try:
            here = catalogue().by_fen(node.fen)
        except ValueError:
            continue
        for row in here:
            for entry in (row, *catalogue().parents(row.ocn1)):
                if entry.depth:
                    rows[entry.ocn1] = entry
    return tuple(rows.values())


@cache
def _families() -> tuple[str, ...]:
    """The names of all families of openings."""
    tops = (row for letter in "ABCDE" for row in catalogue().children(letter))
    return tuple(full_name(row) for row in tops)


def _parts(name: str, whole: bool) -> Iterator[tuple[str, bool]]:
    """Names inside a catalogue's name, each with whether its words are all ordinary ones.

    >>> list(_parts("Modern Benoni Classical Czerniak, f3", whole=False))
    [('Modern Benoni', False), ('Benoni', False), ('Czerniak', False)]
    """
    for chunk in name.split(","):
        words = chunk.split()
        for index, word in enumerate(words):
            if _MOVE.match(word):
                continue
            plain = word.lower() in _ORDINARY
            pair = words[index : index + 2]
            if plain and len(pair) == 2 and not _MOVE.match(pair[1]):
                other = pair[1].lower() in _ORDINARY
                if pair[0] in _LEADS and (not other or pair[1] in _NAMED_TOO):
                    yield " ".join(pair), other
            if not plain and len(folded(word)) > 2:
                yield word, False
                yield from ((half, False) for half in _halves(word))


def _halves(word: str) -> tuple[str, ...]:
    """The two people in a name like "Panov-Botvinnik", who are said one by one too."""
    halves = tuple(word.split("-"))
    long = len(halves) == 2 and all(len(half) >= HALF and half.lower() not in _ORDINARY for half in halves)
    return halves if long else ()


#: Letters in each half of a double name at least: "Caro-Kann" is one name.
HALF = 5
#: Ordinary words that begin a name with the word after them.
_LEADS = frozenset("Modern King's Queen's Four Three Two Old East".split())
_NAMED_TOO = frozenset("Knights Indian Gambit".split())

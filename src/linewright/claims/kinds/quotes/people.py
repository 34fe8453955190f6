"""Facts about people: who was world champion, which one in order, and when; decided by the table of champions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.quotes.champions import Champion, champions
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, negated, ruled, undecided
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import phrase

_ORDINALS: Final = (
    "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth fifteenth "
    "sixteenth seventeenth eighteenth"
).split()
_ORDER: Final = {
    **{word: n for n, word in enumerate(_ORDINALS, 1)},
    **{f"{n}{ending}": n for n in range(1, 30) for ending in ("st", "nd", "rd", "th")},
}
_YEAR: Final = r"(1[89]\d\d|20\d\d)"
#: The title, with what may stand before it.
_TITLE: Final = re.compile(
    rf"\b(?:(?P<order>{'|'.join(_ORDER)}) )?(?P<woman>(?:women's|woman|ladies'?|female) )?world champion(?![\w'])"
)
#: Years said behind the title: "from 1921 to 1927", "in 1950", "until 1963", "since 2013".
_YEARS: Final = re.compile(
    r"^(?: (?:title|again|himself|herself|for the first time))*(?: (?:from|between))?"
    rf" {_YEAR} (?:to|until|till|and|through) {_YEAR}"
    rf"|^(?: (?:title|again|himself|herself))*(?P<how> (?:in|until|till|since|from))? (?P<one>{_YEAR})"
)
#: Other titles, or people who only have to do with a champion.
_OTHER: Final = phrase(
    "junior", "senior", "youth", "rapid", "blitz", "correspondence", "computer", "team", "amateur", "problem solving",
    r"under \w+", "almost", "nearly", "never quite", "would have", "could have", "should have", "might have",
    "unofficial", "uncrowned", "another", "some", "any", "every",
)  # fmt: skip
_NOT: Final = phrase("never", "not", "[a-z]+n't")
#: Between a name and the title that it is given: "Euwe, who was the …", "Euwe became …".
_BEING: Final = frozenset(
    "was is became the who had been then later also of course not never a as our wasn't isn't".split()
)
#: Before the title: it had been held, was held, or was going to be.
_WHEN: Final = phrase("former", "later", "future", "ex", "then", "reigning", "current")
#: Words of a name.
LONGEST_NAME: Final = 3


@dataclass(frozen=True, slots=True)
class Title:
    """Somebody is called world champion.

    :param name: as said; ``champion`` is None where the table has no such one.
    :param woman: it is said to be the women's title.
    :param order: the how manieth one; None where it isn't said.
    :param years: from and until; 0 where only one of them is said.
    :param became: the first year is that of winning the title.
    :param denied: it is said that it wasn't so.
    """

    name: str
    champion: Champion | None
    woman: bool
    order: int | None
    years: tuple[int, int] | None
    became: bool
    denied: bool


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[Title]]:
    """What a sentence says of world champions by name."""
    if sentence.asked:
        return
    for match in _TITLE.finditer(sentence.text):
        first, last = sentence.token_range(match.start(), match.end())
        named = _name_after(sentence, scene, last) or _name_before(sentence, scene, first)
        if named is None:
            continue
        name, low, high = named
        start, end = min(first, low), max(last, high)
        texts = [token.text for token in sentence.tokens]
        around = " ".join(texts[max(0, start - 3) : end])
        if _OTHER.search(around):
            continue
        tail = " " + " ".join(texts[end : end + 8])
        when = _YEARS.match(tail)
        length = len(tail[: when.end()].split()) if when else 0
        between = " ".join(texts[low:first])
        became = bool(re.search(r"\b(?:became|become)\b", between))
        title = Title(
            name,
            champions().named(name),
            bool(match["woman"]),
            _ORDER[match["order"]] if match["order"] else None,
            _years(when) if when else None,
            became,
            bool(_NOT.search(around)),
        )
        if title.champion is None and title.order is None and not title.denied:
            continue  # whoever it is, the table says nothing of other titles
        if _WHEN.search(" ".join(texts[max(0, first - 2) : first])) and title.years is None and title.order is None:
            continue  # "the former world champion": of a time that the words leave open
        step = scene.step_at(sentence.tokens[start].first)
        vague = bool(re.search(r"\b(?:i think|i believe|i guess|perhaps|maybe|probably)\b", around))
        yield Found(title, start, end + length, step, Mood(vague=vague))


def _years(match: re.Match[str]) -> tuple[int, int]:
    if match["one"] is None:
        return int(match[1]), int(match[2])
    how, year = (match["how"] or "").strip(), int(match["one"])
    if how in ("until", "till"):
        return 0, year
    return (year, 0) if how in ("since", "from") else (year, year)


def _name_after(sentence: Sentence, scene: Scene, at: int) -> tuple[str, int, int] | None:
    """The name right behind the title: "world champion Max Euwe", "the fifth world champion was Euwe"."""
    texts = [token.text for token in sentence.tokens]
    if at < len(texts) and texts[at] in ("was", "is"):
        at += 1
    return _known(sentence, scene, [(at, last) for last in range(min(len(texts), at + LONGEST_NAME), at, -1)])


def _name_before(sentence: Sentence, scene: Scene, at: int) -> tuple[str, int, int] | None:
    """The name before the title, with "was the" or "who became" between."""
    texts = [token.text for token in sentence.tokens]
    last = at
    while last > 0 and texts[last - 1] in _BEING:
        last -= 1
    if last == at and not (last and sentence.tokens[last - 1].after.strength):
        return None  # "Euwe world champion" without a verb may be two things
    return _known(sentence, scene, [(first, last) for first in range(max(0, last - LONGEST_NAME), last)])


def _known(sentence: Sentence, scene: Scene, spans: list[tuple[int, int]]) -> tuple[str, int, int] | None:
    """The longest of the spans that names a champion, else the longest one written with capitals only."""
    texts = [token.text for token in sentence.tokens]
    for first, last in spans:
        if champions().named(name := " ".join(texts[first:last])):
            return name, first, last
    words = scene.walk.talk.words
    for first, last in spans:
        raw = [words[token.first].text.strip(",.;:()“”\"'") for token in sentence.tokens[first:last]]
        if len(raw) > 1 and all(word[:1].isupper() and word[1:].islower() for word in raw):
            return " ".join(raw), first, last
    return None


def decide(title: Title, _: Facts) -> Ruling:
    """By the table; what it can't tell stays undecided."""
    ruling = _decided(title)
    return negated(ruling) if title.denied else ruling


def _decided(title: Title) -> Ruling:
    table, who = champions(), title.champion
    if who is None:
        asked = table.by_order(title.order, "women" if title.woman else "open") if title.order else None
        if asked is None or title.denied:
            return undecided(f"{title.name} is not in the table of world champions")
        return ruled(False, f"the {_ORDINALS[asked.order - 1]} world champion was {asked.name} ({asked.years})")
    known = f"{who.name}, {_called(who)}, {who.years}"
    if title.woman and who.title != "women":
        return ruled(False, known)
    if title.order is not None:
        if who.title == "fide":
            return undecided(f"{known}: not counted in the order")
        if title.order != who.order:
            other = table.by_order(title.order, who.title)
            return ruled(False, f"{known}" + (f"; the {_ORDINALS[other.order - 1]} was {other.name}" if other else ""))
    if title.years is not None:
        return _dated(title.years, title.became, who, known)
    return ruled(True, known)


def _dated(years: tuple[int, int], became: bool, who: Champion, known: str) -> Ruling:
    first, last = years
    low, high = champions().disputed
    if who.title != "women" and any(low <= year <= high for year in years):
        return undecided(f"{known}; there were two titles from {low} to {high}")
    if became and first == last:
        return ruled(any(first == won for won, _ in who.reigns), known)
    if first == last:
        return ruled(who.held(first), known)
    starts, ends = {won for won, _ in who.reigns}, {lost for _, lost in who.reigns}
    return ruled((not first or first in starts) and (not last or last in ends), known)


def _called(who: Champion) -> str:
    if who.title == "fide":
        return "FIDE world champion"
    order = _ORDINALS[who.order - 1]
    return f"{order} {'women’s ' if who.title == 'women' else ''}world champion"


PEOPLE = ClaimKind(Kind.QUOTE, find, decide)

"""Facts about people: who was world champion, which one in order, and when; decided by the table of champions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.quotes.champions import Champion, champions
from linewright.claims.occurrences import Occurrence, occurrences
from linewright.claims.rulings import Ruling, fails, holds, negated, ruled, undecided
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import Evidence, Ordinal, why
from linewright.language.numbers import ordinal
from linewright.language.wordings import Heard, word_set
from linewright.lesson.finding import Kind

#: The name of the wording.
NAME: Final = "people"
#: Words of a name.
LONGEST_NAME: Final = 3
#: Words before a name and its title in which a doubt or a "not" counts, and behind them in which years do.
BEFORE: Final = 3
BEHIND: Final = 8


@dataclass(frozen=True, slots=True)
class TitleClaim:
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


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[TitleClaim]]:
    """What a sentence says of world champions by name."""
    if not sentence.asked:
        for said in occurrences(NAME, sentence, scene):
            found = _title(said)
            if found is not None:
                yield found


def _title(said: Occurrence) -> Found[TitleClaim] | None:
    sentence, scene = said.sentence, said.scene
    first, last = said.trigger
    named = _name_after(sentence, scene, last) or _name_before(sentence, scene, first)
    if named is None:
        return None
    name, low, high = named
    start, end = min(first, low), max(last, high)
    texts = [token.text for token in sentence.tokens]
    around = " ".join(texts[max(0, start - BEFORE) : end])
    if said.hint("other title", around):
        return None
    years = said.hint("years", " ".join(texts[end : end + BEHIND]))
    title = TitleClaim(
        name,
        champions().named(name),
        bool(said.value("woman")),
        _order(said.value("order")),
        _years(years) if years else None,
        said.hint("became", " ".join(texts[low:first])) is not None,
        said.hint("not", around) is not None,
    )
    if title.champion is None and title.order is None and not title.denied:
        return None  # whoever it is, the table says nothing of other titles
    some_time = said.hint("some time", " ".join(texts[max(0, first - 2) : first]))
    if some_time and title.years is None and title.order is None:
        return None  # "the former world champion": of a time that the words leave open
    length = len(years.text.split()) if years else 0
    step = scene.step_at(sentence.tokens[start].first)
    return Found(title, start, end + length, step, Mood(vague=said.hint("unsure", around) is not None))


def _order(words: str) -> int | None:
    """The how manieth one, as said in a word or in figures."""
    figures = "".join(letter for letter in words if letter.isdigit())
    return int(figures) if figures else ordinal(words)


def _years(said: Heard) -> tuple[int, int]:
    if not said.value("one"):
        return int(said.value("first")), int(said.value("last"))
    how, year = said.value("how"), int(said.value("one"))
    if how == "until":
        return 0, year
    return (year, 0) if how == "since" else (year, year)


def _name_after(sentence: Sentence, scene: Scene, at: int) -> tuple[str, int, int] | None:
    """The name right behind the title: "world champion Max Euwe", "the fifth world champion was Euwe"."""
    texts = [token.text for token in sentence.tokens]
    if at < len(texts) and texts[at] in word_set(f"claims/{NAME}", "equals", scene.language):
        at += 1
    return _known(sentence, scene, [(at, last) for last in range(min(len(texts), at + LONGEST_NAME), at, -1)])


def _name_before(sentence: Sentence, scene: Scene, at: int) -> tuple[str, int, int] | None:
    """The name before the title, with "was the" or "who became" between."""
    texts = [token.text for token in sentence.tokens]
    last = at
    being = word_set(f"claims/{NAME}", "being", scene.language)
    while last > 0 and texts[last - 1] in being:
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


def decide(title: TitleClaim, _: Facts) -> Ruling:
    """By the table; what it can't tell stays undecided."""
    ruling = _decided(title)
    return negated(ruling) if title.denied else ruling


def _decided(title: TitleClaim) -> Ruling:
    table, who = champions(), title.champion
    if who is None:
        asked = table.by_order(title.order, "women" if title.woman else "open") if title.order else None
        if asked is None or title.denied:
            return undecided(why("people.unknown", name=title.name))
        return fails(why("people.by_order", order=Ordinal(asked.order), name=asked.name, years=asked.years))
    known = why("people.known", name=who.name, title=_called(who), years=who.years)
    if title.woman and who.title != "women":
        return fails(known)
    if title.order is not None:
        if who.title == "fide":
            return undecided(why("people.uncounted", known=known))
        if title.order != who.order:
            other = table.by_order(title.order, who.title)
            if other is None:
                return fails(known)
            return fails(why("people.known_other", known=known, order=Ordinal(other.order), name=other.name))
    if title.years is not None:
        return _dated(title.years, title.became, who, known)
    return holds(known)


def _dated(years: tuple[int, int], became: bool, who: Champion, known: Evidence) -> Ruling:
    first, last = years
    low, high = champions().disputed
    if who.title != "women" and any(low <= year <= high for year in years):
        return undecided(why("people.two_titles", known=known, first=low, last=high))
    if became and first == last:
        return ruled(any(first == won for won, _ in who.reigns), known)
    if first == last:
        return ruled(who.held(first), known)
    starts, ends = {won for won, _ in who.reigns}, {lost for _, lost in who.reigns}
    return ruled((not first or first in starts) and (not last or last in ends), known)


def _called(who: Champion) -> Evidence:
    if who.title == "fide":
        return why("people.fide")
    order = Ordinal(who.order)
    return why("people.women", order=order) if who.title == "women" else why("people.open", order=order)


PEOPLE = ClaimKind(Kind.QUOTE, find, decide)

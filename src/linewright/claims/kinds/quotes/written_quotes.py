"""Games quoted in ordinary talk: who, where, when and how it ended, found by the words alone.

Typed talk and good captions write names with capitals, and that is what a name is known by here; the base then says
which player was meant, misheard or not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import number, ordinal, spelled_years
from linewright.language.wordings import Heard, Wording, word_set, wording
from linewright.talk.model import Talk

#: Characters behind the names in which place, year and result are looked for: one breath.
TAIL: Final = 140
#: Characters past the beginning of the year in which the place may still follow it.
PAST_YEAR: Final = 60
#: Characters before and behind the quote in which doubts and denials count.
BEFORE: Final = 40


@dataclass(frozen=True, slots=True)
class GameQuote:
    """A game as it is quoted.

    :param players: one or two names as said, in the order said.
    :param event: place or event as said.
    :param outcome: ``white`` or ``black`` won, the ``first`` or ``second`` one named did, or ``draw``.
    :param length: moves that it is said to have taken.
    :param round: its round, or its number in a match, as said.
    :param first: index of the talk's first word of the quote.
    :param last: index after its last word.
    :param unsure: the speaker says that he isn't sure.
    :param its_moves: the moves on the board are said to be the game's.
    """

    players: tuple[str, ...]
    year: int | None
    event: str | None
    outcome: str | None
    first: int
    last: int
    unsure: bool = False
    its_moves: bool = False
    length: int | None = None
    round: int | None = None


#: Words that are no tokens but join two names.
_DASHES = frozenset("–—-")


class _Text:
    """A sentence as written, its fillers left out, with the word that each character belongs to."""

    def __init__(self, sentence: Sentence, talk: Talk) -> None:
        self.starts: list[tuple[int, int]] = []
        parts: list[str] = []
        at = 0
        tokens = {w for token in sentence.tokens for w in range(token.first, token.last)}
        said = [w for w in range(min(tokens), max(tokens) + 1) if w in tokens or talk.words[w].text in _DASHES]
        years = spelled_years([talk.words[word].text for word in said])
        for place, word in enumerate(said):
            text = years.get(place, talk.words[word].text)
            if not text:
                continue  # a later word of a year said in several
            self.starts.append((at, word))
            parts.append(text)
            at += len(text) + 1
        self.text = " ".join(parts)

    def word(self, at: int) -> int:
        """Index of the talk's word at a character."""
        return max((word for start, word in self.starts if start <= at), default=self.starts[0][1])


def quotes(sentence: Sentence, talk: Talk, language: str) -> Iterator[GameQuote]:
    """The games quoted in a sentence, in order."""
    if sentence.asked:
        return
    text, said = _Text(sentence, talk), wording("claims/quoting", language)
    taken = 0
    for heard in _pairs_and_names(text.text, said):
        if text.word(heard.start) < taken:
            continue
        found = _quoted(text, heard, said, word_set("claims/quoting", "genitive", language))
        if found is not None:
            taken = found.last
            yield found


def _pairs_and_names(text: str, said: Wording) -> list[Heard]:
    """All pairs and lone names, by place, pairs first."""
    pairs = list(said.find(text, "pair", "listed"))
    alone = [h for h in said.find(text, "alone") if not any(pair.start <= h.start < pair.end for pair in pairs)]
    return sorted([*pairs, *alone], key=lambda heard: heard.start)


def _quoted(text: _Text, heard: Heard, said: Wording, genitive: frozenset[str]) -> GameQuote | None:
    lone = heard.form.name == "listed" and said.hint("opponent", text.text[: heard.start].rstrip())
    names = [name for name in ("one",) + ("other",) * (not lone) if heard.value(name)]
    end = heard.span("one")[1] if lone else heard.end
    tail = text.text[end : end + TAIL]
    year = said.hint("year", tail)
    place = _place(tail, year, said)
    outcome, outcome_end = _outcome(heard.value("outcome"), tail, said)
    if not (year or place or outcome) and not _is_game(text, heard, len(names), said):
        return None
    before = max(0, heard.start - BEFORE)
    if said.hint("unreal", text.text[before:end]):
        return None
    end += max(year.end if year else 0, place.end if place else 0, outcome_end)
    around = text.text[before : end + BEFORE]
    return GameQuote(
        tuple(_bare(heard.value(name), genitive) for name in names),
        int(year.text) if year else None,
        place.value("event") if place else None,
        outcome,
        text.word(heard.start),
        text.word(max(heard.start, end - 1)) + 1,
        said.hint("unsure", around) is not None,
        said.hint("its moves", around) is not None,
        _number(said.hint("length", tail)),
        _number(said.hint("round", tail)),
    )


def _is_game(text: _Text, heard: Heard, names: int, said: Wording) -> bool:
    """Whether names without a year, a place or a result are a game's: not so for a double name ("Caro–Kann")."""
    if heard.value("dash"):
        return False
    if names < 2:
        return True
    return said.hint("of a game", text.text[: heard.start].lower()) is not None


def _number(heard: Heard | None) -> int | None:
    """The number or ordinal that was caught."""
    if heard is None:
        return None
    said = heard.value("count").lower().replace("-", " ")
    return ordinal(said) or number(said) or number(said.split()[0])


def _bare(name: str, genitive: frozenset[str]) -> str:
    for ending in genitive:
        name = name.removesuffix(ending)
    return name.strip(" ,.")


def _place(tail: str, year: Heard | None, said: Wording) -> Heard | None:
    """The place or event: behind "in" or "at", or between commas before the year."""
    reach = tail[: year.start + PAST_YEAR] if year else tail
    return said.hint("place", reach) or (said.hint("place of year", reach) if year else None)


def _outcome(how: str, tail: str, said: Wording) -> tuple[str | None, int]:
    """How the game is said to have ended, and where in the tail that ends."""
    if score := said.hint("score", tail):
        return score.value("outcome"), score.end
    if won := said.hint("won", tail):
        return winner(won), won.end
    if how:
        return how, 0
    if drawn := said.hint("drawn", tail):
        return "draw", drawn.end
    return None, 0


def winner(won: Heard) -> str:
    """Who is said to have won, ``white`` or ``black``."""
    side = won.value("side")
    return {"white": "black", "black": "white"}[side] if won.value("lost") else side

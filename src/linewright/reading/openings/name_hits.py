"""Where the words of a talk may be an opening's name: by their letters and, less freely, by their sounds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rapidfuzz import fuzz
from rapidfuzz.distance import Levenshtein

from linewright.language.name_words import name_words
from linewright.language.sounds import sound
from linewright.language.tables import ENGLISH, Language
from linewright.reading.openings.name_context import NameContext, is_move_word
from linewright.reading.openings.opening_index import Freedom, OpeningIndex, OpeningName

#: Words that a name may be heard as.
LONGEST = 5
#: Nats for a name that sounds alike but isn't spelled so; for each share of its sounds that differs; for no letters
#: in common.
ALIKE, SOUND_OFF, LETTERS_OFF = 0.5, 10.0, 2.0
#: How alike (0-1) words and a name must be before an opening's noun, and after a determiner only; chosen so that
#: ordinary words of the given and the seen talks' captions name none. ``SOUND_SHARE`` of it is sound, the rest letters.
NEAR_NOUN, NEAR_DETERMINER = 0.72, 0.80
#: The same for one word after a determiner only ("the notebook"), and for a name that only the catalogue has.
NEAR_ONE_WORD, NEAR_RARE = 0.88, 0.90
SOUND_SHARE = 0.6
#: How alike (0-1) sounds alone must be for a closer look.
LEAST_SOUND = 0.7
#: The same of letters, where the words were typed.
TYPED_LETTERS = 0.80
#: Sounds that a misheard name has at least, beside a noun and elsewhere: shorter ones are like too much.
FEWEST_SOUNDS, FEWEST_ALONE = 4, 6


@dataclass(frozen=True, slots=True)
class _Hit:
    """Tokens ``first`` to ``last`` may be a name; ``cost`` in nats as :attr:`NamedOpening.heard`."""

    first: int
    last: int
    name: OpeningName
    cost: float


@dataclass(frozen=True, slots=True)
class NameHit:
    """Tokens ``first`` to ``last`` may be a name; ``cost`` in nats for how the words differ from it."""

    first: int
    last: int
    name: OpeningName
    cost: float


class NameHits:
    """The names that the words of one talk may be."""

    def __init__(self, around: NameContext, heard: bool, index: OpeningIndex, language: Language = ENGLISH) -> None:
        self.tokens = around.tokens
        self.around = around
        self.heard = heard
        self.index = index
        self.words = name_words(language)
        self.board = self.words.board | self.words.board_verbs
        self.varieties = self.words.varieties | self.words.loose_varieties
        self.no_beginning = self.words.function | self.varieties
        self.letters = [index.plain(token.text).replace(" ", "") for token in self.tokens]
        self.sounds = [sound(letters, language) for letters in self.letters]
        self._known: dict[int, tuple[NameHit, ...]] = {}

    def at(self, first: int) -> tuple[NameHit, ...]:
        """The names that the words from here may be, each once, at its least cost."""
        known = self._known.get(first)
        if known is None:
            found: dict[tuple[int, str], NameHit] = {}
            spelled = tuple(self._spelled(first))
            exact = {hit.name.text for hit in spelled}
            misheard = (*self._alike(first), *self._near(first))
            for hit in (*spelled, *(hit for hit in misheard if hit.name.text not in exact)):
                old = found.get((hit.last, hit.name.text))
                if old is None or hit.cost < old.cost:
                    found[hit.last, hit.name.text] = hit
            known = self._known[first] = tuple(found.values())
        return known

    def _windows(self, first: int) -> Iterator[int]:
        """Where words from here may end: before a comma's or a sentence's end."""
        for last in range(first + 1, min(first + LONGEST, len(self.tokens)) + 1):
            yield last
            token = self.tokens[last - 1]
            if token.stop or token.pause or (last < len(self.tokens) and self.tokens[last].heading != token.heading):
                return

    def _spelled(self, first: int) -> Iterator[NameHit]:
        letters = ""
        for last in self._windows(first):
            letters += self.letters[last - 1]
            name = self.index.names.get(letters)
            if name is not None and name.text not in self.board:
                yield NameHit(first, last, name, 0.0)
            own = self.index.names.get(letters[:-1]) if self._possessive(last) else None
            if own is not None and own.kind in (Freedom.SHY, Freedom.PEOPLE, Freedom.RARE):
                yield NameHit(first, last, own, 0.0)
            if letters not in self.index.beginnings:
                return

    def _possessive(self, last: int) -> bool:
        """The name's last word is a possessive before an opening's noun: "Alekhine's Defence"."""
        following = self.index.plain(self.around.after(last))
        return (
            self.tokens[last - 1].text.endswith(self.words.possessive_endings) and following in self.words.strict_nouns
        )

    def _alike(self, first: int) -> Iterator[NameHit]:
        """Names that sound exactly as the words do."""
        if not self._may_begin(first):
            return
        sounds = ""
        for last in self._windows(first):
            sounds = self._join(sounds, self.sounds[last - 1])
            if sounds not in self.index.sound_beginnings:
                return
            for name in self.index.by_sound.get(sounds, ()):
                if self._may_sound(first, last, name) and self._enough(first, last, name, sounds):
                    least = NEAR_NOUN if self.noun_after(last) else NEAR_DETERMINER
                    least = NEAR_RARE if name.kind is Freedom.RARE else least
                    yield from self._misheard(first, last, name, sounds, sounds, least)

    def _near(self, first: int) -> Iterator[NameHit]:
        """Names that sound almost as the words do, where an opening is called for."""
        if not self._may_begin(first):
            return
        determiner = self._called_for(first)
        sounds = ""
        for last in self._windows(first):
            sounds = self._join(sounds, self.sounds[last - 1])
            noun = self.noun_after(last)
            least = NEAR_NOUN if noun else NEAR_ONE_WORD if last == first + 1 else NEAR_DETERMINER
            if not (noun or determiner) or len(sounds) < (FEWEST_SOUNDS if noun else FEWEST_ALONE):
                continue
            for length in range(len(sounds) - 2, len(sounds) + 3):
                for other in self.index.near_sounds.get((sounds[0], length), ()):
                    if other == sounds or Levenshtein.normalized_similarity(sounds, other) < LEAST_SOUND:
                        continue
                    for name in self.index.by_sound[other]:
                        if name.kind < Freedom.RARE and self._may_sound(first, last, name, exactly=False):
                            yield from self._misheard(first, last, name, sounds, other, least)

    def _misheard(
        self, first: int, last: int, name: OpeningName, sounds: str, meant: str, least: float
    ) -> Iterator[NameHit]:
        letters = "".join(self.letters[first:last])
        share = fuzz.ratio(letters, name.text.replace(" ", "")) / 100
        alike = Levenshtein.normalized_similarity(sounds, meant)
        if (not self.heard and share < TYPED_LETTERS) or SOUND_SHARE * alike + (1 - SOUND_SHARE) * share < least:
            return
        yield NameHit(first, last, name, ALIKE + SOUND_OFF * (1.0 - alike) + LETTERS_OFF * (1.0 - share))

    @staticmethod
    def _join(sounds: str, more: str) -> str:
        return sounds + more[1:] if sounds and more and sounds[-1] == more[0] else sounds + more

    def _may_begin(self, first: int) -> bool:
        """A misheard name may begin here; after a variety's name it is the next word that does."""
        text = self.tokens[first].text
        return text not in self.no_beginning and not is_move_word(text) and not text.isdigit()

    def _may_sound(self, first: int, last: int, name: OpeningName, exactly: bool = True) -> bool:
        """No word of the board is misheard for a part of a name that hasn't it, and none is left over at the end.

        :param exactly: the words sound exactly as the name does; where not, they hold no word of the board at all.
        """
        own = name.text.split() if exactly else []
        spoken = self.letters[first:last]
        if self.tokens[last - 1].text in self.words.function and not self.noun_after(last):
            return False
        if any(token.text[-1:].isdigit() for token in self.tokens[first:last]):
            return False
        if any(word in self.words.strict_nouns and word not in name.text.split() for word in spoken):
            return False
        return all(word in own for word in spoken if word in self.board)

    def noun_after(self, last: int) -> bool:
        return self.index.plain(self.around.after(last)) in self.words.strict_nouns

    def _enough(self, first: int, last: int, name: OpeningName, sounds: str) -> bool:
        """An exact likeness of sound counts: for long names of openings alone, for others where one is called for."""
        if self.noun_after(last):
            return len(sounds) >= FEWEST_SOUNDS
        if name.kind is Freedom.RARE:
            return False
        if name.kind is Freedom.SURE and len(sounds) >= FEWEST_ALONE:
            return True
        return len(sounds) >= FEWEST_ALONE - 1 and self._called_for(first)

    def _called_for(self, first: int) -> bool:
        """An opening's name may follow: after a determiner, a variety ("exchange") or the name of a family."""
        previous = self.around.before(first)
        if previous in self.varieties or self.index.plain(previous) in self.index.family_ends:
            return True
        return self.around.determiner_at(first) is not None and previous not in self.words.languages_of

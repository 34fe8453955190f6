"""Occurrences: where a kind's wording stands in a sentence, with all that is the same for every kind.

A kind says in ``language/<code>/claims/NAME.toml`` how it is said, builds its typed parameters of an occurrence, and
decides. Which clause the words stand in, which step of the walk they speak of, how they are meant (mood) and whose
the thing is, is found here, once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import chess

from linewright.claims.claim_kind import Found
from linewright.claims.rulings import Side
from linewright.claims.sentence.men import Man, color_of, man_of
from linewright.claims.sentence.mood import Mood, mood
from linewright.claims.sentence.owners import party, resolved, side_of
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.wordings import Form, Heard, wording

About = TypeVar("About")
#: Finds the mood of an occurrence; most kinds leave it at :func:`linewright.claims.sentence.mood.mood`.
MoodOf = Callable[["Occurrence"], Mood]


@dataclass(frozen=True)
class Occurrence:
    """A form of a wording in a sentence.

    :param wording: the name of the file.
    :param heard: the match; what it caught is asked by name.
    :param trigger: the half-open range of its own tokens.
    :param clause: that of the clause around them.
    :param step: how many steps of the walk are done at the position it speaks of.
    """

    wording: str
    heard: Heard
    sentence: Sentence
    scene: Scene
    trigger: tuple[int, int]
    clause: tuple[int, int]
    step: int

    @property
    def form(self) -> Form:
        return self.heard.form

    def value(self, name: str) -> str:
        """What was caught under a name; ``""`` for nothing."""
        return self.heard.value(name)

    @cached_property
    def before(self) -> str:
        """The words of its clause before its own."""
        return " ".join(token.text for token in self.sentence.tokens[self.clause[0] : self.trigger[0]])

    @cached_property
    def after(self) -> str:
        """The words of the sentence after its own."""
        return " ".join(token.text for token in self.sentence.tokens[self.trigger[1] :])

    def hint(self, name: str, text: str) -> Heard | None:
        """Where a hint of its wording stands in some words; None where it doesn't."""
        return wording(f"claims/{self.wording}", self.scene.language).hint(name, text)

    @cached_property
    def mood(self) -> Mood:
        return mood(self.scene, self.sentence, self.clause, self.trigger)

    @cached_property
    def side(self) -> Side:
        """Whose the thing named is, by the words around."""
        return side_of(self.scene, self.sentence, self.clause, self.trigger)

    def square(self, name: str) -> chess.Square | None:
        """The square caught under a name."""
        said = self.value(name)
        return chess.parse_square(said) if said else None

    def file(self, name: str) -> int | None:
        """The file caught under a name, 0 for the a-file."""
        said = self.value(name)
        return chess.FILE_NAMES.index(said) if said else None

    def color(self, name: str) -> chess.Color | None:
        """The colour of the side caught under a name; None where the words leave it open."""
        return color_of(self.value(name), self.trigger[0], self.scene, self.sentence)

    def side_named(self, name: str) -> Side | None:
        """The side caught under a name, unclear where the words leave open which; None where none is named."""
        who = party(self.value(name), self.scene.language)
        return resolved(self.scene, self.sentence, self.trigger[0], who) if who else None

    def man(self, prefix: str = "") -> Man:
        """The man that ``{man}`` has caught (``{other=man}``: with the prefix ``other_``)."""
        return man_of(self.heard, prefix, self.scene, self.sentence)

    def found(self, about: About, said_as: Mood | None = None) -> Found[About]:
        """The claim that it is, said of its clause."""
        return Found(about, *self.clause, self.step, said_as or self.mood)


def occurrences(name: str, sentence: Sentence, scene: Scene, *forms: str, apart: bool = False) -> Iterator[Occurrence]:
    """Where a wording stands in a sentence, form by form.

    :param name: of the wording: ``pinned`` for ``claims/pinned.toml`` of the talk's language.
    :param forms: the forms to look for; all when none is given.
    :param apart: words that one form has taken are not looked at again.
    """
    said = wording(f"claims/{name}", scene.language)
    for heard in said.find_apart(sentence.text, *forms) if apart else said.find(sentence.text, *forms):
        yield occurrence(name, heard, sentence, scene)


def occurrence(name: str, heard: Heard, sentence: Sentence, scene: Scene) -> Occurrence:
    """A match of a wording with its clause and its step."""
    trigger = sentence.token_range(heard.start, heard.end)
    clause = scene.clause(sentence, trigger)
    return Occurrence(name, heard, sentence, scene, trigger, clause, scene.step_at(sentence.tokens[trigger[0]].first))


def finder(
    name: str,
    build: Callable[[Occurrence], About | None],
    *forms: str,
    apart: bool = False,
    mood_of: Callable[[Occurrence], Mood] | None = None,
) -> Callable[[Sentence, Scene], Iterator[Found[About]]]:
    """The finder of a kind that is wholly said by its wording: each occurrence of which ``build`` makes something.

    :param apart: words that have made a claim are not looked at again.
    :param mood_of: the mood of a claim; None for its occurrence's own.
    """

    def find(sentence: Sentence, scene: Scene) -> Iterator[Found[About]]:
        done: list[tuple[int, int]] = []
        for each in occurrences(name, sentence, scene, *forms):
            if apart and any(each.heard.overlaps(span) for span in done):
                continue
            about = build(each)
            if about is not None:
                done.append(each.heard.match.span())
                yield each.found(about, mood_of(each) if mood_of else None)

    return find

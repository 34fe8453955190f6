"""Claims that a position transposes: to one shown earlier in the lesson, or to a named opening."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess
from ocn import fen_key

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.occurrences import Occurrence, occurrences
from linewright.claims.rulings import Ruling, negated, ruled, undecided
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import why
from linewright.language.wordings import word_set
from linewright.lesson.finding import Kind
from linewright.lesson.opening import catalogue
from linewright.lesson.walk import ReturnStep

#: Fewer letters than this don't identify an opening.
SHORTEST_NAME: Final = 3


@dataclass(frozen=True, slots=True)
class TranspositionClaim:
    """That the position is one already known by another move order.

    :param earlier: "as before": one that the lesson has shown; else one of a named opening.
    :param name: the words that name the opening, "" for "as before".
    :param telling: those of its words that tell it from others, in lower case without accents.
    """

    earlier: bool
    name: str = ""
    denied: bool = False
    telling: frozenset[str] = frozenset()


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[TranspositionClaim]]:
    """Claims that the position is the same as one before, or belongs to another opening; one for a clause."""
    done: list[tuple[int, int]] = []
    for said in occurrences("transposition", sentence, scene):
        if any(said.clause[0] < last and said.clause[1] > first for first, last in done):
            continue
        about = _earlier(said) if said.form.name == "earlier" else _named(said)
        if about is not None:
            done.append(said.clause)
            yield said.found(about)


def _earlier(said: Occurrence) -> TranspositionClaim | None:
    if _is_return(said):
        return None
    if said.value("back"):
        asserted = said.hint("we_are", said.before) is not None
    else:
        asserted = bool(said.value("transposed") or not said.before or said.hint("asserting", said.before))
    return TranspositionClaim(True, "", said.mood.negated) if asserted else None


def _is_return(said: Occurrence) -> bool:
    """Whether the words belong to a return of the walk ("same position, white knight on d4"): no claim."""
    tokens = said.sentence.tokens
    low, high = tokens[said.clause[0]].first, tokens[said.clause[1] - 1].last
    returns = (step for step in said.scene.walk.steps if isinstance(step, ReturnStep))
    return any(step.said.first < high and step.said.last > low for step in returns)


def _named(said: Occurrence) -> TranspositionClaim | None:
    name = _name_alone(said)
    if len(name) < SHORTEST_NAME or said.hint("no_name", name):
        return None
    loosely = said.value("loosely") or said.hint("loose", said.heard.text)
    if loosely and not said.hint("opening", name):
        return None
    telling = _plain_words(name) - word_set("claims/transposition", "common_words", said.scene.language)
    return TranspositionClaim(False, name, said.mood.negated, telling)


def _name_alone(said: Occurrence) -> str:
    """The name that was caught, without what stands before and after it."""
    name = said.value("name").strip()
    while head := said.hint("head", name):
        name = name[head.end :].strip()
    first, _, rest = name.partition(" ")
    tail = said.hint("tail", rest)
    return f"{first} {rest[: tail.start] if tail else rest}".strip()


def decide(claim: TranspositionClaim, facts: Facts) -> Ruling:
    """Look for the same position among those the lesson has shown, or among those that the catalogue names."""
    if claim.earlier and facts.elsewhere:
        ruling = ruled(True, why("transposition.same_as", line=facts.elsewhere[0]))
        return negated(ruling) if claim.denied else ruling
    if claim.earlier and facts.times > 1:
        return ruled(not claim.denied, why("transposition.same_line"))
    if claim.earlier:
        return undecided(why("transposition.none_earlier"))
    names = catalogued(facts.board)
    known = why("transposition.catalogued", name=names[0]) if names else why("transposition.no_name")
    if claim.telling and any(claim.telling <= _plain_words(name) for name in names):
        return ruled(not claim.denied, known)
    return undecided(why("transposition.moves_to_follow", known=known, name=claim.name))


def catalogued(board: chess.Board) -> tuple[str, ...]:
    """The catalogue's names for exactly this position, however it was reached."""
    return tuple(row.canonical_name for row in catalogue().by_fen_key(fen_key(board.fen())))


def _plain_words(text: str) -> frozenset[str]:
    """The words in lower case without accents."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return frozenset(re.findall(r"\w+", bare.lower()))


TRANSPOSITION = ClaimKind(Kind.TRANSPOSITION, find, decide)

"""Quoted games in captions without capitals, names misheard: the words around a cue that the base knows as players.

``kinds/quote.py`` knows a name by its capital. Here nothing tells a name, so every word near "against" and a year may
be one; the base decides: two who met, best in a game through the position on the board. Where it knows no such
meeting, the words are taken for no quote at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found, Library
from linewright.claims.kinds.quotes import quote
from linewright.claims.kinds.quotes.quoting import Quoted, quotes
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.games.api import Meeting, parse_name
from linewright.language.patterns import phrase

#: How like (0-1) both names must be to a player's: of a game through the position in the year said; of one through
#: it in another year, or where many games went; of one that never was on the board. A wrong name of six letters is at
#: 0.5 to 0.65, one misheard letter leaves 0.83 to 0.9 (edit distance).
ON_THE_BOARD, THROUGH, ANYWHERE = 0.68, 0.85, 0.94
#: Games through a position from which on it tells little of who is meant.
MANY_GAMES = 300
#: Words before the year in which the players may be said, after it in which the result may.
BEFORE_YEAR, AFTER_YEAR = 14, 9
#: Words of a name at most.
LONGEST_NAME = 3
#: Words before the year among which two names side by side must begin: names, a place of two words.
SIDE_BY_SIDE = 5
#: Letters of a name at least, spaces left out: shorter ones are like too much, but for an exact one before a verb.
SHORTEST_NAME = 4

_YEAR: Final = re.compile(r"1[89]\d\d|20\d\d")
_MET: Final = {
    "against": "", "versus": "", "vs": "", "beat": "first", "beats": "first", "defeated": "first",
    "defeats": "first", "crushed": "first",
}  # fmt: skip
#: Words of two that mean a meeting, by their second one.
_MET_TWO: Final = {("lost", "to"): "second", ("drew", "with"): "draw", ("drew", "against"): "draw"}
_DRAWN: Final = phrase("(?:a|agreed|was|were|and|it) (?:draw|drew|drawn)", "a draw", "drawn")
_WON: Final = re.compile(r"\b(white|black) (won|wins|resigned|resigns|lost)\b")
_UNREAL: Final = phrase("never", "didn't", "not", "imagine", "suppose", "would", "if")
_UNSURE: Final = phrase(
    "i think", "i believe", "i guess", "perhaps", "maybe", "probably", "or was it", "if i (?:remember|recall)",
    "something like", "about", "around",
)  # fmt: skip
#: Words that never are a name, nor a part of one.
_COMMON: Final = frozenset(
    "a an the this that these those it its he him his she her we us our i my you your they them their who whom whose "
    "what which when where why how and or but so because if then than as of in on at to from by for with without into "
    "against versus vs is was are were be been am isn't wasn't has have had do does did done will would can could "
    "may might must shall should not no yes never ever also too very just only even still already once again later "
    "now here there up down out over off back away well okay right really here's that's it's there's he's one two "
    "three four five six seven eight nine ten first second third game games match round move moves moved line lines "
    "position variation played plays playing won wins win lost loses lose drew drawn draw beat beats defeated "
    "resigned resigns world champion championship olympiad tournament cup open final candidates white black pawn "
    "pawns knight knights bishop bishops rook rooks queen queens king kings castles castle takes take took check "
    "checks mate square file side exchange attack defence year famous great young old like see look know think say "
    "said went go goes going came come comes put got get gets make made much many more most some any all both each "
    "same other another new long short hand end ending course next last".split()
)
#: Words that may stand between a player and "against".
_SKIPPED: Final = frozenset(
    "played plays play chose tried used won lost drew it this that here exactly game the same move line a had has "
    "once also famous his in with".split()
)
_SQUARE: Final = re.compile(r"[a-h][1-8]|\d+")


@dataclass(frozen=True, slots=True)
class Heard:
    """Words that may tell of a game.

    :param slots: for each player, the words that may be the name, longest first.
    :param quoted: the rest as ``kinds/quote.py`` wants it, players still empty.
    :param line: the moves said, in UCI, for it.
    :param places: words before the year that may say where.
    :param bare: moves of the line said by words that fit other moves too.
    """

    slots: tuple[tuple[str, ...], tuple[str, ...]]
    quoted: Quoted
    line: tuple[str, ...]
    places: tuple[str, ...] = ()
    bare: frozenset[int] = frozenset()


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[Heard]]:
    """Each year with a meeting near it, but for those that are written with capitals."""
    years = [i for i, token in enumerate(sentence.tokens) if _YEAR.fullmatch(token.text)]
    if not years or sentence.asked:
        return
    written = [(q.first, q.last) for q in quotes(sentence, scene.walk.talk)]
    low = 0
    for year in years:
        start, low = max(low, year - BEFORE_YEAR), year + 1
        token = sentence.tokens[year]
        if any(first <= token.first < last for first, last in written):
            continue
        for heard in _heard(sentence, start, year, scene):
            if not any(a <= sentence.tokens[heard.first].first < b for a, b in written):
                yield heard


def _heard(sentence: Sentence, start: int, year: int, scene: Scene) -> Iterator[Found[Heard]]:
    """What may be a meeting before a year: around a word for it, else two names set side by side."""
    texts = [token.text for token in sentence.tokens]
    for cue in range(year - 1, start, -1):
        two = _MET_TWO.get((texts[cue - 1], texts[cue]))
        how = _MET.get(texts[cue], two)
        if how is None:
            continue
        left, first = _ending(texts, start, cue - (two is not None))
        right = _starting(texts, cue + 1, year)
        if left and right:
            yield _found(sentence, (left, right), (first, year), how, scene)
            return
    for cue in range(year - 1, max(start, year - SIDE_BY_SIDE), -1):
        left, right = _names(texts, range(max(start, cue - 2), cue), cue), _starting(texts, cue, min(year, cue + 2))
        if left and right and texts[cue] not in _COMMON and texts[cue - 1] not in _COMMON:
            yield _found(sentence, (left, right), (cue - 1, year), "", scene)


def _found(
    sentence: Sentence, slots: tuple[tuple[str, ...], tuple[str, ...]], span: tuple[int, int], how: str, scene: Scene
) -> Found[Heard]:
    first, year = span
    texts = [token.text for token in sentence.tokens]
    if first >= 2 and texts[first - 2] in ("that", "this", "it") and texts[first - 1] in ("was", "is"):
        first -= 2
    tail = texts[year + 1 : year + 1 + AFTER_YEAR]
    outcome, length = _outcome(" ".join(tail), how)
    last = year + 1 + length
    around = " ".join(texts[max(0, first - 5) : last])
    low, high = sentence.tokens[first].first, sentence.tokens[last - 1].last
    told = Quoted(
        (), int(texts[year]), None, outcome, low, high, bool(_UNSURE.search(around)),
        bool(re.search(r"\b(?:that|this|it)(?:'s| was| is)\b", around)),
    )  # fmt: skip
    named = {word for slot in slots for words in slot[-1:] for word in words.split()}
    places = tuple(w for w in texts[first:year] if w not in _COMMON | named)
    step = scene.step_at(low)
    mood = Mood(unreal=bool(_UNREAL.search(around)), vague=told.unsure)
    line = _line(scene, step)
    bare = scene.bare_moves(step) if line else frozenset()
    return Found(Heard(slots, told, line, places, bare), first, last, step, mood)


def _line(scene: Scene, step: int) -> tuple[str, ...]:
    return scene.moves(step) if scene.walk.start == chess.STARTING_FEN else ()


def _outcome(tail: str, how: str) -> tuple[str | None, int]:
    """How the game is said to have ended, and how many words after the year that takes."""
    if won := _WON.search(tail):
        lost = won[2].startswith(("resign", "lost"))
        side = {"white": "black", "black": "white"}[won[1]] if lost else won[1]
        return side, len(tail[: won.end()].split())
    if how:
        return how, 0
    if drawn := _DRAWN.search(tail):
        return "draw", len(tail[: drawn.end()].split())
    return None, 0


def _ending(texts: Sequence[str], start: int, cue: int) -> tuple[tuple[str, ...], int]:
    """What may be a name before a word for a meeting, and where it may begin."""
    at = cue
    while at > start and texts[at - 1] in _SKIPPED:
        at -= 1
    first = at
    while first > max(start, at - LONGEST_NAME) and texts[first - 1] not in _COMMON:
        first -= 1
    if first == at and at > start and at == cue and cue < len(texts) and texts[cue] in _MET:
        first = at - 1  # "so beat ding": a word that is a name right before a verb
        return ((texts[first],) if texts[first] == "so" and _MET[texts[cue]] else ()), first
    return _names(texts, range(first, at), at), first


def _starting(texts: Sequence[str], at: int, year: int) -> tuple[str, ...]:
    """What may be a name from a place on."""
    last = at
    while last < min(year, at + LONGEST_NAME) and texts[last] not in _COMMON:
        last += 1
    return tuple(w for w in (" ".join(texts[at:n]) for n in range(last, at, -1)) if _may_name(w))


def _names(texts: Sequence[str], firsts: range, last: int) -> tuple[str, ...]:
    return tuple(w for w in (" ".join(texts[n:last]) for n in firsts) if _may_name(w))


def _may_name(words: str) -> bool:
    parts = words.split()
    joined = "".join(parts)
    return len(joined) >= SHORTEST_NAME and not any(part in _COMMON or _SQUARE.fullmatch(part) for part in parts)


def decide(heard: Heard, facts: Facts) -> Ruling | None:
    """Which players are meant, then the quote as if it had been written; None where the base knows no such meeting."""
    meeting = _met(heard, facts, facts.library) if facts.library is not None else None
    if meeting is None:
        return None
    names = (meeting.game.white, meeting.game.black)
    players = tuple(" ".join(parse_name(n).surname) for n in (names if meeting.straight else names[::-1]))
    told = heard.quoted
    named = {word for player in players for word in player.split()}
    where = (
        [word for word in heard.places if word in facts.library.places and word not in named] if facts.library else []
    )
    quoted = replace(told, players=players, event=" ".join(where) or None)
    return quote.decide(quote.QuoteClaim(quoted, heard.line, heard.bare), facts)


def _met(heard: Heard, facts: Facts, library: Library) -> Meeting | None:
    """The likeliest meeting: through the position on the board, else one of the year said whose names are beyond
    doubt."""
    slots = [(*words, *(w.replace(" ", "") for w in words if " " in w)) for words in heard.slots]
    year = heard.quoted.year
    here = library.meetings(slots, ON_THE_BOARD, facts.board)
    known = here.through < MANY_GAMES
    near = [m for m in here.found if m.like >= THROUGH or (known and m.game.year == year)]
    if not near:
        near = [m for m in library.meetings(slots, ANYWHERE).found if m.game.year == year]
    return max(near, key=lambda m: (m.game.year == year, m.like), default=None)


HEARD_QUOTE = ClaimKind(Kind.QUOTE, find, decide)

"""Players' names in captions, spelled as the games base spells them, where a game is quoted."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import log10
from typing import Protocol

import chess
from rapidfuzz import fuzz

from linewright.captions.edits import CorrectionKind, Edit
from linewright.captions.misheard_runs import FUNCTION, Window, Windows
from linewright.games.api import Player
from linewright.language.sounds import alike, folded, sound
from linewright.lesson.walk import Walk


class Players(Protocol):
    """Who played whom; a :class:`linewright.games.api.GamesBase` answers it."""

    def players(self) -> tuple[Player, ...]: ...

    def opponents(self, name: str, year: int | None = None, through: chess.Board | None = None) -> tuple[str, ...]: ...


class _Nobody:
    """No base: no names to spell."""

    def players(self) -> tuple[Player, ...]:
        return ()

    def opponents(self, name: str, year: int | None = None, through: chess.Board | None = None) -> tuple[str, ...]:
        return ()


NO_PLAYERS: Players = _Nobody()

#: Words between the names of two who met, and words that one name stands before.
_MET = frozenset("against beat beats versus defeated defeats vs".split())
_PLAYED = frozenset("played won lost drew".split())
#: How many words after a name its year may be said.
YEAR_WITHIN = 12
#: How alike (0-1) heard words and a name must be: with a year that the player was active in; without one (then
#: only well-known players are thought of).
WITH_YEAR, WITHOUT_YEAR = 0.74, 0.86
#: The same, with a year, for one with fewer games than ``KNOWN``.
LITTLE_KNOWN, KNOWN = 0.92, 20
#: What ten times as many games add to a name's likeness: the better-known one is meant more often.
FAME = 0.05
#: The same for a well-known name anywhere in the words before a year: "Fisher, at the Olympiad in 1962".
BEFORE_YEAR = 0.90
#: The same for the opponent whom a named player met in that year, and for one met in the very line on the board.
MET_THAT_YEAR, MET_ON_THE_BOARD = 0.50, 0.35
#: What the opponent must be ahead of the next one.
AHEAD = 0.06
#: Moves before the position on the board from which a quoted game may go another way.
PLIES_BACK = 4
#: Games in the base that make a player known without a year.
WELL_KNOWN = 100
#: Years before a player's first and after the last game in the base in which games may be missing.
YEARS_AROUND = 3
#: A name that stands in the base already is only taken for another that sounds the same with this many times
#: its games, or whose bearers alone were active in the year.
MUCH_BETTER_KNOWN = 20
#: Names with fewer sounds are like too much.
FEWEST_SOUNDS = 4


_YEAR = re.compile(r"(1[89]|20)[0-9]{2}")


@dataclass(frozen=True, slots=True)
class _Surname:
    """Everyone of one surname together; ``spellings`` as the base has them."""

    text: str
    games: int
    spellings: tuple[Player, ...]

    def active(self, year: int) -> bool:
        return any(
            p.first_year is not None
            and p.last_year is not None
            and p.first_year - YEARS_AROUND <= year <= p.last_year + YEARS_AROUND
            for p in self.spellings
        )


@dataclass(frozen=True, slots=True)
class _Found:
    window: Window
    surname: _Surname
    score: float


def player_edits(windows: Windows, walk: Walk, players: Players) -> Iterator[Edit]:
    """The edits that spell the names of those who met."""
    slots = [i for i, p in enumerate(windows.parts) if p.low in _MET | _PLAYED or _YEAR.fullmatch(p.core)]
    surnames = _surnames(players.players()) if slots else ()
    for slot in slots:
        year = _year(windows, slot)
        if windows.parts[slot].low in _MET:
            yield from _pair(windows, walk, slot, surnames, players, year)
        elif windows.parts[slot].low in _PLAYED:
            found = _resolve(_ending(windows, slot), surnames, year)
            yield from [_edit(windows, found, _known(found, year))] if found else []
        else:
            yield from _before_year(windows, slot, surnames, int(windows.parts[slot].core))


def _pair(
    windows: Windows, walk: Walk, verb: int, surnames: Sequence[_Surname], players: Players, year: int | None
) -> Iterator[Edit]:
    """The names of two who met; the surer one helps to find the other."""
    slots = (_ending(windows, verb), _starting(windows, verb))
    found = [_resolve(slot, surnames, year) for slot in slots]
    whys = [_known(f, year) if f else "" for f in found]
    known = [f for f in found if f is not None and f.surname.games >= WELL_KNOWN]
    if known and year is not None:
        sure = max(known, key=lambda f: f.score)
        other = 1 - found.index(sure)
        met = _met(slots[other], _opponents(walk, verb, sure.surname, players, year))
        if met is not None:
            found[other], whys[other] = met, f"met {sure.surname.text} in {year}"
    for one, why in zip(found, whys, strict=True):
        if one is not None:
            yield _edit(windows, one, why)


def _before_year(windows: Windows, at: int, surnames: Sequence[_Surname], year: int) -> Iterator[Edit]:
    """Well-known names, said with a capital, in the words before a year."""
    for first in range(max(0, at - YEAR_WITHIN), at):
        options = [w for w in windows.at(first) if w.last <= at and windows.parts[first].core[:1].isupper()]
        found = _resolve(options, [s for s in surnames if s.games >= WELL_KNOWN], year)
        if found is not None and _likeness(found.window, found.surname) >= BEFORE_YEAR:
            yield _edit(windows, found, _known(found, year))


def _known(found: _Found, year: int | None) -> str:
    """Why a name may be meant."""
    games = f"{found.surname.games} game{'s' if found.surname.games > 1 else ''} in the base"
    return f"{games}, active in {year}" if year is not None else games


def _edit(windows: Windows, found: _Found, why: str) -> Edit:
    window = found.window
    text = windows.parts[window.first].before + found.surname.text + window.after
    return Edit(window.first, window.last, text, CorrectionKind.PLAYER, why)


def _year(windows: Windows, verb: int) -> int | None:
    """The year said soon after."""
    for p in windows.parts[verb : verb + 1 + YEAR_WITHIN]:
        if _YEAR.fullmatch(p.core):
            return int(p.core)
    return None


def _ending(windows: Windows, verb: int) -> list[Window]:
    """The windows that end just before the verb."""
    found = (windows.of(first, verb) for first in range(max(0, verb - 3), verb))
    opened = [w for w in found if w is not None]
    if verb >= 2 and windows.parts[verb - 2].low == "but":  # "That was but vindic against ..."
        opened += [w for w in [_forced(windows, verb - 2, verb)] if w is not None]
    return opened


def _forced(windows: Windows, first: int, last: int) -> Window | None:
    """A window that begins with a word which names seldom begin with."""
    rest = windows.of(first + 1, last)
    if rest is None:
        return None
    text = f"{windows.parts[first].core} {rest.text}"
    return replace(rest, first=first, text=text, before="", capital=False)


def _starting(windows: Windows, verb: int) -> list[Window]:
    """The windows that begin just after the verb."""
    if verb + 1 >= len(windows.parts) or windows.parts[verb].after:
        return []
    return [w for w in windows.at(verb + 1) if w.last - w.first <= 3]


def _resolve(options: Sequence[Window], surnames: Sequence[_Surname], year: int | None) -> _Found | None:
    """The surname that a slot's words are most like."""
    best: _Found | None = None
    for window in options:
        for surname in surnames:
            score = _score(window, surname, year)
            if score is not None and (best is None or score > best.score):
                best = _Found(window, surname, score)
    if best is None:
        return None
    said = next((s for s in surnames if s.text.lower() == best.window.text.lower()), None)
    if said is not None and said is not best.surname:
        better = best.surname.games >= MUCH_BETTER_KNOWN * said.games
        active = year is not None and best.surname.active(year) and not said.active(year)
        return best if better or active else None
    return best


def _score(window: Window, surname: _Surname, year: int | None) -> float | None:
    """How alike a slot's words and a surname are, with a little for being well known; None when not enough."""
    if window.plain or (year is None and (surname.games < WELL_KNOWN or not window.text[:1].isupper())):
        return None
    heard = alike(window.text, surname.text)
    if heard < 0.7 or len(sound(surname.text)) < FEWEST_SOUNDS or (year is not None and not surname.active(year)):
        return None
    score = _likeness(window, surname)
    needed = WITHOUT_YEAR if year is None else WITH_YEAR if surname.games >= KNOWN else LITTLE_KNOWN
    return score + FAME * log10(surname.games) if score >= needed else None


def _opponents(walk: Walk, word: int, one: _Surname, players: Players, year: int) -> tuple[float, tuple[_Surname, ...]]:
    """Whom a player met in a year, in the line on the board if possible, and how alike the words must be."""
    node = walk.nodes[walk.node_after(walk.step_at(word))]
    boards: list[chess.Board | None] = []
    while node.parent is not None and len(boards) <= PLIES_BACK:
        boards.append(chess.Board(node.fen))
        node = walk.nodes[node.parent]
    for board in (*boards, None):
        names = sorted({name for p in one.spellings for name in players.opponents(p.name, year, board)})
        if names:
            people = _surnames(tuple(Player(name, 1, year, year) for name in names))
            return (MET_THAT_YEAR if board is None else MET_ON_THE_BOARD), people
    return 1.0, ()


def _met(options: Sequence[Window], opponents: tuple[float, tuple[_Surname, ...]]) -> _Found | None:
    """The opponent whose name the slot's words are most like, when they are like no other's."""
    needed, people = opponents
    scored = sorted(
        (
            _Found(window, surname, _likeness(window, surname))
            for window in options
            if window.capital or window.first == 0
            for surname in people
            if len(sound(surname.text)) >= FEWEST_SOUNDS
        ),
        key=lambda found: -found.score,
    )
    if not scored or scored[0].score < needed:
        return None
    rival = next((f for f in scored if f.surname != scored[0].surname), None)
    return scored[0] if rival is None or scored[0].score - rival.score >= AHEAD else None


def _likeness(window: Window, surname: _Surname) -> float:
    """Half sound, half letters, 0-1."""
    letters = fuzz.ratio(folded(window.text), folded(surname.text)) / 100
    return float(alike(window.text, surname.text) + letters) / 2


def _surnames(players: Sequence[Player]) -> tuple[_Surname, ...]:
    """Players by surname: what stands before the comma, else before the last word or initial."""
    by: dict[str, list[Player]] = {}
    for player in players:
        surname = player.name.split(",")[0].strip()
        if "," not in player.name:
            surname = re.sub(r"(\s+[A-Z]\.?)+$", "", surname)
        if surname and surname.lower() not in FUNCTION:
            by.setdefault(surname, []).append(player)
    return tuple(_Surname(text, sum(p.games for p in people), tuple(people)) for text, people in by.items())

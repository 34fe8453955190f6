"""Which spellings of a pupil's name in a file of games are one pupil: only where nothing speaks against it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from linewright.games.api import Spelling, parse_name, same_players


@dataclass(frozen=True, slots=True)
class GameSide:
    """One player's part in a game.

    :param sitting: event, date and round together, where all are known: nobody plays two games in one; else "".
    :param year: 0 where unknown; ``rating`` too.
    """

    name: str
    against: str
    sitting: str
    year: int
    rating: int


@dataclass(slots=True)
class _SpellingSeen:
    """What the games say of one spelling."""

    games: int = 0
    years: list[int] = field(default_factory=list)
    ratings: list[int] = field(default_factory=list)
    sittings: set[str] = field(default_factory=set)
    against: set[str] = field(default_factory=set)


def join_spellings(entries: Iterable[GameSide]) -> dict[str, str]:
    """The spellings that mean another spelling's player, each with the name to count it under.

    As the base joins spellings (``same_players``: the same name written another way, or an
    initial that fits one player of the file only; years and ratings must allow it, and two who met are never one), but
    stricter, for brothers and sisters play in one club: "Jan" and "Janek" stay two, and so do two who each had a game
    in one round.
    """
    seen: dict[str, _SpellingSeen] = defaultdict(_SpellingSeen)
    for entry in entries:
        if not entry.name:
            continue
        one = seen[entry.name]
        one.games += 1
        one.years += [entry.year] if entry.year else []
        one.ratings += [entry.rating] if entry.rating else []
        one.sittings |= {entry.sitting} - {""}
        one.against.add(entry.against)
    same = same_players(_spellings(seen), {name: frozenset(one.against) for name, one in seen.items()})
    groups: dict[str, list[str]] = defaultdict(list)
    for name, other in sorted(same.items()):
        groups[other].append(name)
    return {name: other for other, names in groups.items() for name in _joined(other, names, seen)}


def _joined(other: str, names: Sequence[str], seen: Mapping[str, _SpellingSeen]) -> Iterator[str]:
    """The spellings of those that the base would join to ``other`` which surely mean it."""
    several = any(not _alike(name, other) for name in names)  # Jan and Janek: an initial may be either's
    sittings = set(seen[other].sittings)
    for name in names:
        if name == other or not (_same(name, other) if several else _alike(name, other)):
            continue
        if not sittings & seen[name].sittings:
            sittings |= seen[name].sittings
            yield name


def _spellings(seen: dict[str, _SpellingSeen]) -> Iterator[Spelling]:
    for name, one in seen.items():
        rating = sum(one.ratings) / len(one.ratings) if one.ratings else None
        yield Spelling(name, one.games, min(one.years, default=None), max(one.years, default=None), rating)


def _alike(name: str, other: str) -> bool:
    """First names are the same, or one is an initial; a missing second one says nothing."""
    surname = parse_name(other).surname
    pairs = zip(_given(name, surname), _given(other, surname), strict=False)
    return all(one == two or 1 in (len(one), len(two)) for one, two in pairs)


def _same(name: str, other: str) -> bool:
    """The same words in another order or with other signs."""
    return sorted(parse_name(name).words) == sorted(parse_name(other).words)


def _given(name: str, surname: Sequence[str]) -> tuple[str, ...]:
    """The words of a name beside a surname."""
    left = list(parse_name(name).words)
    for word in surname:
        if word in left:
            left.remove(word)
    return tuple(left)

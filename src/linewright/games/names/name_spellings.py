"""Which spellings of names mean one player, and which names are like enough for a game to be the same.

Games write names in many ways: ``Surname, First``, ``Surname,F``, ``F Surname``, ``First Surname``.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import duckdb
from rapidfuzz import fuzz

from linewright.games.ingest.columns import objects
from linewright.games.names.name_lookup import may_be, parse_name

#: Likeness (0-100, rapidfuzz's ratio) from which surnames may be spellings of one: transliterations such as
#: Yusupov and Jusupow reach 71, different surnames of one length seldom 60.
LIKE_SURNAMES: Final = 70

#: Years between two spellings' careers up to which they can be one player's: people pause.
MOST_YEARS_APART: Final = 10

#: Points between two spellings' mean ratings up to which they can be one player's: a career's growth from a
#: club player to a master.
MOST_POINTS_APART: Final = 400

_SPELLINGS: Final = """
SELECT name, count(*), min(year), max(year), avg(rating)
FROM (SELECT white AS name, year, white_rating AS rating FROM games
    UNION ALL SELECT black, year, black_rating FROM games)
WHERE name <> '' GROUP BY name
"""
_MET: Final = """
SELECT DISTINCT white, black FROM games JOIN namesakes a ON white = a.name JOIN namesakes b ON black = b.name
WHERE a.surname = b.surname
"""


@lru_cache(maxsize=1 << 14)
def like_names(one: str, other: str) -> bool:
    """Can the two be spellings of one name? An unknown name is like any."""
    if not one or not other or may_be(one, other):
        return True
    a, b = _parts(one), _parts(other)
    return _agree(a[1], b[1]) and fuzz.ratio(" ".join(a[0]), " ".join(b[0])) >= LIKE_SURNAMES


@dataclass(frozen=True, slots=True)
class Spelling:
    """What the games tell about one spelling of a name.

    :param games: how many have it.
    :param first: year of the first dated one, and ``last``.
    :param rating: mean over the rated ones.
    """

    name: str
    games: int
    first: int | None
    last: int | None
    rating: float | None


def same_players(spellings: Iterable[Spelling], met: Mapping[str, frozenset[str]]) -> dict[str, str]:
    """Which spellings mean one player: each spelling with the fullest, else most used, of its player's.

    Spellings with the same parts are one player's. A shorter one ("Birch, B") is joined to a fuller one only
    where no second player fits it. Years and ratings must allow it, and two who met in a game are never one.

    :param met: for each spelling, those that it played against.
    """
    by_surname: dict[tuple[str, ...], list[Spelling]] = defaultdict(list)
    for spelling in spellings:
        by_surname[_parts(spelling.name)[0]].append(spelling)
    found: dict[str, str] = {}
    for group in by_surname.values():
        for player in _players(group, met):
            best = max(player, key=lambda one: (_fullness(one), one.games, one.name))
            found |= {spelling.name: best.name for spelling in player}
    return found


def note_spellings(con: duckdb.DuckDBPyConnection) -> None:
    """Bring the table ``spellings`` up to date with the games: names that stand for another spelling's player."""
    spellings = [Spelling(*row) for row in con.execute(_SPELLINGS).fetchall()]
    often = Counter(_parts(spelling.name)[0] for spelling in spellings)
    unclear = [spelling for spelling in spellings if often[_parts(spelling.name)[0]] > 1]
    names = [spelling.name for spelling in unclear]
    met: dict[str, set[str]] = defaultdict(set)
    con.register("namesakes", _texts(name=names, surname=[" ".join(_parts(name)[0]) for name in names]))
    for white, black in con.execute(_MET).fetchall():
        met[white].add(black)
        met[black].add(white)
    con.unregister("namesakes")
    same = same_players(unclear, {name: frozenset(others) for name, others in met.items()})
    other = sorted((name, player) for name, player in same.items() if name != player)
    con.execute("DELETE FROM spellings")
    con.register("same", _texts(name=[row[0] for row in other], player=[row[1] for row in other]))
    con.execute("INSERT INTO spellings SELECT name, player FROM same")
    con.unregister("same")


def _texts(**columns: list[str]) -> dict[str, Any]:
    return {name: objects(column) for name, column in columns.items()}


@lru_cache(maxsize=1 << 17)
def _parts(name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Surname and given names; of a name without comma that ends in initials ("Birch B"), what is before them."""
    parsed = parse_name(name)
    words = parsed.words
    if parsed.sure or len(words) < 2 or len(words[-1]) > 1:
        return parsed.surname, parsed.given
    end = len(words)
    while end > 1 and len(words[end - 1]) == 1:
        end -= 1
    return words[:end], words[end:]


def _agree(one: Sequence[str], other: Sequence[str]) -> bool:
    return all(
        a == b or ((a.startswith(b) or b.startswith(a)) and a.isalpha() and b.isalpha())  # Mi1 is not Mi, but another
        for a, b in zip(one, other, strict=False)
    )


def _fullness(spelling: Spelling) -> int:
    return len("".join(_parts(spelling.name)[1]))


def _players(group: list[Spelling], met: Mapping[str, frozenset[str]]) -> list[list[Spelling]]:
    """The spellings of one surname, grouped into players: the fullest names found them, shorter ones join."""
    players: list[list[Spelling]] = []
    for spelling in sorted(group, key=lambda one: (-_fullness(one), -one.games, one.name)):
        given = _parts(spelling.name)[1]
        fitting = [player for player in players if _agree(given, _parts(player[0].name)[1])]
        alike = [player for player in fitting if _parts(player[0].name)[1] == given]
        possible = [player for player in alike or fitting if _can_join(spelling, player, met)]
        # A surname alone fits everyone of that name: it says too little to join anyone but its like.
        telling = bool(given) or bool(alike)
        if telling and len(possible) == 1 and (alike or len(fitting) == 1):
            possible[0].append(spelling)
        else:
            players.append([spelling])
    return players


def _can_join(spelling: Spelling, player: list[Spelling], met: Mapping[str, frozenset[str]]) -> bool:
    against = met.get(spelling.name, frozenset())
    return all(other.name not in against and _careers_agree(spelling, other) for other in player)


def _careers_agree(one: Spelling, other: Spelling) -> bool:
    """Do years and ratings, where known, allow that the two are one player?"""
    if one.first and one.last and other.first and other.last:
        apart = max(one.first, other.first) - min(one.last, other.last)
        if apart > MOST_YEARS_APART:
            return False
    if one.rating is not None and other.rating is not None:
        return abs(one.rating - other.rating) <= MOST_POINTS_APART
    return True

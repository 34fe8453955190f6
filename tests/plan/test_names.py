"""Which spellings are one pupil: invented names."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from linewright.plan.pupils.pupil_names import GameSide, join_spellings
from tests.games.games import pgn
from tests.plan.test_commands import FRENCH, folder, made, run  # noqa: F401


def entry(name: str, against: str = "Elm, Eve", sitting: str = "", year: int = 2024, rating: int = 0) -> GameSide:
    return GameSide(name, against, sitting, year, rating)


@pytest.mark.parametrize(
    ("names", "joined"),
    [
        (("Birch, Bo", "Birch,Bo"), 1),
        (("Birch, Bo", "Birch, B"), 1),
        (("Birch, Bo", "B. Birch"), 1),
        (("Birch, Bo", "Birch B"), 1),
        (("Bírch, Bo", "Birch, Bo"), 1),
        (("Birch, Bo", "Birch, Ben"), 0),
        (("Birch, Bo", "Birch, Ben", "Birch, B"), 0),  # whose initial?
        (("Birch, Jan", "Birch, Janek"), 0),  # one begins like the other: brothers, for all we know
        (("Birch, Jan", "Birch, Janek", "Birch, J"), 0),
        (("Birch, Bo", "Birch"), 0),  # a surname alone fits the whole family
        (("Birch, Bo", "Beech, Bo"), 0),
    ],
)
def test_only_what_is_unambiguous_is_joined(names: tuple[str, ...], joined: int) -> None:
    found = join_spellings(map(entry, names))
    assert len(found) == joined
    assert set(found.values()) <= set(names) - set(found)


def test_what_speaks_against_it_keeps_two_apart() -> None:
    one, two = "Birch, Bo", "Birch, B"
    assert join_spellings([entry(one), entry(two)]) == {two: one}
    assert not join_spellings([entry(one, against=two), entry(two, against=one)])  # they met
    assert not join_spellings([entry(one, sitting="Open 2024.05.01 3"), entry(two, sitting="Open 2024.05.01 3")])
    assert not join_spellings([entry(one, rating=1900), entry(two, rating=1100)])
    assert not join_spellings([entry(one, year=1990), entry(two, year=2024)])


def test_the_command_counts_one_and_says_so(folder: Path) -> None:  # noqa: F811
    (folder / "club.pgn").write_text(
        pgn(FRENCH + "3. Nc3 Nf6 4. e5 Nfd7 5. f4", "1-0", White="Birch, Bo", Black="Elm, Eve", Round="1")
        + pgn(FRENCH + "3. Nc3 Nf6 4. Bg5", "1-0", White="Birch, B", Black="Elm, Eve", Round="2")
    )
    words = ("pupils", "check", "club.pgn", "--lesson", "french.md")
    told = run(*words).stdout
    assert "“Birch, B” counts as “Birch, Bo”" in told and "Birch, Bo: 2 games, left first in 1" in told
    document = json.loads(run(*words, "--json").stdout)
    assert document["same"] == [{"name": "Birch, B", "counted_as": "Birch, Bo"}]
    apart = run(*words, "--apart").stdout
    assert "counts as" not in apart and "Birch, B: 1 game, left first in 1" in apart
    assert "Birch, Bo: 2 games" in run(*words, "--pupil", "Birch, Bo").stdout

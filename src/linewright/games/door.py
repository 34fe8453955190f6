"""The way to the games: the user's own base where there is one, else the starter table. All go through here."""

from __future__ import annotations

from pathlib import Path

from linewright.games.query.open_base import Base
from linewright.games.starter.table import ADD_GAMES, StarterTable
from linewright.support.errors import UnusableInput

#: What questions that are answered by counting are asked of.
AnyBase = Base | StarterTable


def open_games(path: Path, named: bool = False) -> AnyBase:
    """Open the user's base at ``path``, or the starter table where there is none. Close it, or use it with ``with``.

    :param named: the user named this very base, so that nothing else will do.
    :raises UnusableInput: for a base that can't be used; one that is missing only where it was named.
    """
    return Base.open(path) if named or path.exists() else StarterTable.load()


def open_base(path: Path, named: bool = False) -> Base:
    """Open the user's base for what needs whole games.

    :raises UnusableInput: as :func:`open_games`, and where there is only the starter table.
    """
    games = open_games(path, named)
    if isinstance(games, StarterTable):
        raise UnusableInput(
            f"there is no games base at {path}, and the starter table holds counts, not games", ADD_GAMES
        )
    return games

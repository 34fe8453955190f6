"""Opening the games: the user's own base where there is one, else the starter table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from linewright.games.values import ADD_GAMES
from linewright.support.errors import UnusableInput

if TYPE_CHECKING:
    from linewright.games.game_source import GameSource
    from linewright.games.games_base import GamesBase


def open_games(path: Path, named: bool = False) -> GameSource:
    """Open the user's base at ``path``, or the starter table where there is none. Close it, or use it with ``with``.

    :param named: the user named this very base, so that nothing else will do.
    :raises UnusableInput: for a base that can't be used; one that is missing only where it was named.
    """
    if named or path.exists():
        from linewright.games.games_base import GamesBase  # not needed without a base

        return GamesBase.open(path)
    from linewright.games.starter.table import StarterTable  # not needed with one

    return StarterTable.load()


def open_base(path: Path, named: bool = False) -> GamesBase:
    """Open the user's base for what needs whole games.

    :raises UnusableInput: as :func:`open_games`, and where there is only the starter table.
    """
    from linewright.games.games_base import GamesBase

    if not (named or path.exists()):
        raise UnusableInput(
            f"there is no games base at {path}, and the starter table holds counts, not games", ADD_GAMES
        )
    return GamesBase.open(path)

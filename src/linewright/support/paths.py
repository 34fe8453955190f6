"""Where Linewright keeps what it remembers: the user's data folder, or ``LINEWRIGHT_HOME``."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

#: File name of the games base inside the home folder.
BASE_FILE = "games.duckdb"
#: File name of the engine's remembered verdicts.
VERDICTS_FILE = "verdicts.sqlite"
#: File name of the user's settings, a TOML file with one table per folder of the program, e.g. ``[engine]``.
SETTINGS_FILE = "settings.toml"
#: File name of the user's own theme, for talks without one beside them.
OWN_THEME_FILE = "theme.toml"


def home() -> Path:
    """The folder for the base and settings; it need not exist yet."""
    named = os.environ.get("LINEWRIGHT_HOME")
    return Path(named).expanduser() if named else Path(platformdirs.user_data_dir("linewright", appauthor=False))


def base_path(named: Path | None = None) -> Path:
    """The base file: as named on the command line, else the one in the home folder."""
    return named if named is not None else home() / BASE_FILE


def verdicts_path() -> Path:
    """The file of the engine's remembered verdicts; it need not exist yet."""
    return home() / VERDICTS_FILE

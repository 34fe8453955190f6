"""How an engine is run: where it lies, how much it works, and after how long it counts as hung."""

from __future__ import annotations

import os
import shutil
import tomllib
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, Final

from linewright.support.errors import UnusableInput
from linewright.support.paths import SETTINGS_FILE, home

#: Names that free UCI engines are installed under, strongest first.
NAMES: Final = ("stockfish", "fruit", "toga2", "glaurung")
#: Where they lie when PATH doesn't say: Debian keeps games apart, the rest are the package managers' folders.
PLACES: Final = ("/usr/games", "/usr/local/games", "/usr/local/bin", "/usr/bin", "/opt/homebrew/bin", "/snap/bin")
#: The environment variable that names an engine.
VARIABLE: Final = "LINEWRIGHT_ENGINE"

#: Positions looked at per question: about a second on one core. Enough to see tactics that a trainer can see, and
#: a fixed count, so that the same question gets the same answer on every machine.
NODES: Final = 1_000_000
#: Lines per question: the main reply, and what a trainer might have meant instead.
LINES: Final = 3
#: Memory for the engine's hash table in megabytes. Part of the work: another size can change the answer.
HASH_MB: Final = 32

#: The engine's processes that work side by side, at most: the machine's cores, but no more than a laptop can spare.
PROCESSES: Final = min(4, os.cpu_count() or 1)

_INSTALL: Final = (
    "Install one (Debian, Ubuntu: apt install stockfish), name it with --engine PATH, or check with --no-engine."
)


@dataclass(frozen=True, slots=True)
class EngineSettings:
    """The table ``[engine]`` of the settings file.

    :param path: the engine's program; None for the first one found.
    :param nodes: positions to look at per question, at least 1.
    :param lines: how many lines to ask for, at least 1.
    :param hash_mb: the hash table of each of the engine's processes in megabytes, at least 1.
    :param processes: how many of them work side by side, at least 1.
    """

    path: Path | None = None
    nodes: int = NODES
    lines: int = LINES
    hash_mb: int = HASH_MB
    processes: int = PROCESSES


@dataclass(frozen=True, slots=True)
class Patience:
    """After how long an engine counts as hung, in seconds. Our choices, wide: a slow machine is not a hung engine.

    :param start: from starting the program to its readiness (a large network on a slow disk).
    :param least: for one question, at least.
    :param nodes_per_second: slower than this for a whole question, and it hangs: a weak machine does ten times this.
    :param leave: from asking it to quit to ending it.
    """

    start: float = 20.0
    least: float = 15.0
    nodes_per_second: float = 15_000.0
    leave: float = 2.0

    def question(self, nodes: int) -> float:
        """Seconds allowed for a question of that many nodes."""
        return max(self.least, nodes / self.nodes_per_second)


def load(path: Path | None = None) -> EngineSettings:
    """The engine's settings from the settings file (``home()/settings.toml`` unless named); the defaults where there
    is none. The environment variable ``LINEWRIGHT_ENGINE`` goes before the file's ``path``.

    :raises UnusableInput: for a file that can't be read, a setting that doesn't exist or makes no sense.
    """
    file = path if path is not None else home() / SETTINGS_FILE
    try:
        table = tomllib.loads(file.read_text(encoding="utf-8")).get("engine", {})
    except FileNotFoundError:
        table = {}
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise UnusableInput(f"the settings {file} can't be read: {error}", "Fix the file, or move it away.") from None
    known = {field.name for field in fields(EngineSettings)}
    if not isinstance(table, dict) or (strange := sorted(set(table) - known)):
        what = f"[engine] {strange[0]}" if isinstance(table, dict) else "engine"
        raise UnusableInput(f"{file}: unknown setting {what}", f"[engine] has {', '.join(sorted(known))}.")
    settings = EngineSettings(**{name: _checked(file, name, value) for name, value in table.items()})
    named = os.environ.get(VARIABLE)
    return replace(settings, path=Path(named).expanduser()) if named else settings


def _checked(file: Path, name: str, value: Any) -> Any:
    if name == "path":
        if isinstance(value, str) and value:
            return Path(value).expanduser()
        raise UnusableInput(
            f"{file}: [engine] path = {value!r} is not a path", 'Write it as path = "/usr/games/stockfish".'
        )
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise UnusableInput(f"{file}: [engine] {name} = {value!r} is not a count", "Use a whole number from 1 on.")
    return value


def find(named: Path | None = None) -> Path:
    """The engine's program: the one named, else the first of ``NAMES`` on PATH or in ``PLACES``.

    :raises UnusableInput: when there is none, or the one named isn't there or can't be run.
    """
    if named is not None:
        found = shutil.which(named.expanduser())
        if found is None:
            state = "can't be run" if named.expanduser().exists() else "is not there"
            raise UnusableInput(f"the engine {named} {state}", "Name another one with --engine PATH.")
        return Path(found)
    for name in NAMES:
        found = shutil.which(name) or shutil.which(name, path=os.pathsep.join(PLACES))
        if found is not None:
            return Path(found)
    raise UnusableInput("no chess engine was found", _INSTALL)

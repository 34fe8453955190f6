"""The packages of the optional extras, such as ``linewright[film]``, asked for only when they are needed."""

from __future__ import annotations

import importlib
from typing import Any, Final

from linewright.support.errors import UnusableInput

#: What each extra of ``pyproject.toml`` is for, as the words before "needs".
WORK: Final = {
    "club": "PostgreSQL",
    "cluster": "working on a cluster",
    "film": "a film",
    "fit": "fitting to a class",
    "hear": "hearing",
}


def extra(module: str, name: str) -> Any:
    """Import a module of an extra.

    :param name: the extra's, as in :data:`WORK`.
    :raises UnusableInput: when the extra is not installed, or does not fit this machine.
    """
    try:
        return importlib.import_module(module)
    except ImportError as error:
        missing = isinstance(error, ModuleNotFoundError)
        why = "is not installed" if missing else f"does not load ({error})"
        package = module.partition(".")[0].replace("_", "-")
        raise UnusableInput(f"{WORK[name]} needs {package}, which {why}", how_to_install(name)) from None


def how_to_install(name: str) -> str:
    """What to type for an extra; in quotes, since square brackets mean something to shells."""
    return f"Install it with: pip install 'linewright[{name}]'"

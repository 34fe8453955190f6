"""The packages of the optional extra ``linewright[hear]``, asked for only when they are needed."""

from __future__ import annotations

import importlib
from typing import Any

from linewright.errors import UnusableInput


def extra(module: str) -> Any:
    """Import a module of the extra.

    :raises UnusableInput: when the extra is not installed, or does not fit this machine.
    """
    try:
        return importlib.import_module(module)
    except ImportError as error:
        missing = isinstance(error, ModuleNotFoundError)
        why = "is not installed" if missing else f"does not load ({error})"
        raise UnusableInput(f"hearing needs {module.replace('_', '-')}, which {why}", INSTALL) from None


#: Quoted, since square brackets mean something to shells.
INSTALL = "Install it with: pip install 'linewright[hear]'"

"""Where each language's files are: those that ship with Linewright, and others made known by their folder."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Final

#: The language of a talk that names none.
DEFAULT: Final = "en"
_ADDED: dict[str, Path] = {}


def add_language(code: str, folder: Path) -> None:
    """Make a language known that doesn't ship with Linewright.

    :param code: as in BCP 47; the language is asked for by it.
    :param folder: holds its files, named as ``docs/languages.md`` says.
    :raises ValueError: when the code is taken by another folder.
    """
    if _ADDED.get(code, folder) != folder or (files("linewright.language") / code).is_dir():
        raise ValueError(f"the language {code!r} is known already; give {folder} another code")
    _ADDED[code] = folder


def language_folder(code: str) -> Traversable:
    """The folder of a language's files; it may not exist."""
    return _ADDED.get(code) or files("linewright.language") / code

"""ES modules joined into one classic script, for pages in one file, where modules can't import each other."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from importlib.resources.abc import Traversable

#: How the pages' modules import each other, and what they export; nothing else is used in those that are joined.
_IMPORT = re.compile(r'^import \{[^}]*\} from "\./([\w-]+\.js)";\n', re.M)
_EXPORT = re.compile(r"^export (?=(?:const|function|class)\b)", re.M)


def joined_modules(folder: Traversable, entries: Iterable[str]) -> str:
    """Modules and all that they import, each once and after those that it needs, without imports and exports.

    Their top-level names share one scope, so no two modules may have the same.

    :param folder: where they lie.
    :param entries: names of files in it.
    """
    return "\n".join(_EXPORT.sub("", _IMPORT.sub("", _text(folder, name))) for name in _ordered(folder, entries, set()))


def _ordered(folder: Traversable, names: Iterable[str], seen: set[str]) -> Iterator[str]:
    for name in names:
        if name not in seen:
            seen.add(name)
            yield from _ordered(folder, _IMPORT.findall(_text(folder, name)), seen)
            yield name


def _text(folder: Traversable, name: str) -> str:
    return folder.joinpath(name).read_text(encoding="utf-8")

"""A language as tables of data: ``load("en")`` gives the words that reading and claims ask for by name.

A language is a folder of TOML and JSON files; ``docs/languages.md`` says what it holds. Tables are read when they are
first asked for, and kept. What a table doesn't hold is empty: a language need not have a word for everything.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources.abc import Traversable
from typing import Any, TypeVar, get_origin, get_type_hints

from linewright.language.folders import DEFAULT, language_folder
from linewright.language.templates import Lexicon, Pattern, compile_template
from linewright.support.errors import UnusableInput

Made = TypeVar("Made")

NEVER = re.compile(r"(?!)")


class Table:
    """One file of a language, by its keys.

    :param values: as TOML or JSON gives them; ``name`` as the file's, for messages.
    """

    def __init__(self, values: Mapping[str, Any], name: str = "") -> None:
        self.values = values
        self.name = name

    def get(self, key: str, default: Any = None) -> Any:
        """What stands under a key; keys of tables within tables are joined by dots."""
        at: Any = self.values
        for part in key.split("."):
            if not isinstance(at, Mapping) or part not in at:
                return default
            at = at[part]
        return at

    def listed(self, key: str) -> tuple[str, ...]:
        """Words in their order: a text of words separated by spaces, or a list of phrases."""
        value = self.get(key, "")
        return tuple(value.split()) if isinstance(value, str) else tuple(map(str, value))

    def words(self, *keys: str) -> frozenset[str]:
        """The words under all of these keys."""
        return frozenset(word for key in keys for word in self.listed(key))

    def mapping(self, key: str) -> dict[str, str]:
        """A table of single values, e.g. ``knight = "N"``."""
        return {str(name): str(value) for name, value in (self.get(key) or {}).items()}

    def sorted_out(self, key: str) -> dict[str, str]:
        """Each word with the name it stands under: ``N = "knight horse"`` gives ``knight`` and ``horse`` as ``N``."""
        return {word: name for name in (self.get(key) or {}) for word in self.listed(f"{key}.{name}")}

    def phrases(self, key: str, end: str = "letter") -> Pattern | None:
        """A pattern of the templates under a key (see :mod:`linewright.language.templates`), None where there are none.

        A template may refer to this table's ``parts`` (templates) and ``raw`` (regular expressions).

        :param end: how the match ends, a key of :data:`linewright.language.templates.ENDS`.
        """
        found = self.get(key) or ()
        if not found:
            return None
        known = Lexicon(self.mapping("parts"), self.mapping("raw"))
        return compile_template(found if isinstance(found, str) else " | ".join(found), known, end)

    def regex(self, key: str) -> re.Pattern[str]:
        """The regular expression of the templates under a key; it never matches where there are none."""
        pattern = self.phrases(key)
        return NEVER if pattern is None else pattern.regex

    def filled(self, shape: type[Made], **others: object) -> Made:
        """A dataclass filled by its fields' names and types: ``frozenset`` of words, ``tuple`` of words or phrases in
        their order, ``dict`` of single values, ``re.Pattern`` of templates, ``str``.

        :param others: fields that are given rather than read; a trailing ``_`` isn't part of a key.
        """
        readers: dict[object, Callable[[str], object]] = {
            frozenset: self.words,
            tuple: self.listed,
            dict: self.mapping,
            re.Pattern: self.regex,
            str: lambda key: str(self.get(key, "")),
        }
        for name, kind in get_type_hints(shape).items():
            if name not in others:
                others[name] = readers[get_origin(kind) or kind](name.rstrip("_"))
        return shape(**others)


class Language:
    """A language's tables. Compared by identity, so that what is made of it can be kept with it as the key.

    :param code: as in BCP 47, e.g. ``"en"``.
    :param folder: holds its files.
    """

    def __init__(self, code: str, folder: Traversable) -> None:
        self.code = code
        self.folder = folder
        self._tables: dict[str, Table] = {}

    def table(self, name: str) -> Table:
        """The table of a TOML or JSON file by its path without ending, e.g. ``reading/context``; empty without one."""
        if name not in self._tables:
            self._tables[name] = Table(self._read(name), f"{self.code}/{name}")
        return self._tables[name]

    def text(self, name: str) -> str:
        """A file as it stands, ``""`` where there is none."""
        file = self.folder.joinpath(*name.split("/"))
        return file.read_text("utf-8") if file.is_file() else ""

    def _read(self, name: str) -> Mapping[str, Any]:
        if text := self.text(name + ".toml"):
            return tomllib.loads(text)
        found: Mapping[str, Any] = json.loads(self.text(name + ".json") or "{}")
        return found


@cache
def load(code: str = DEFAULT) -> Language:
    """A language by its code; see :func:`linewright.language.folders.add_language` for those that don't ship.

    :raises UnusableInput: when there is none of that code.
    """
    folder = language_folder(code)
    if not code or not folder.is_dir():
        raise UnusableInput(
            f"no language {code!r} is known", "Name another, or add its folder as docs/languages.md says."
        )
    return Language(code, folder)


#: The language of a talk that says nothing else.
ENGLISH = load(DEFAULT)

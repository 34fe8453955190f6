"""Wordings by language: the templates of ``language/<code>/claims/*.toml``, compiled once and asked for by name.

A file holds lists of words, parts and forms::

    [words]
    still = "now still also already"             # any one of these words

    [parts]
    hanging = "hanging | en prise"               # a template for use in others

    [raw]
    rank = "[1-8]"                               # a regular expression, short and without groups

    [[form]]
    name = "state"
    say = "{man} is {still}* {hanging}"          # one template, or several, tried in this order
    end = "word"                                 # see templates.ENDS; "letter" unless given
    begin = "any"                                # not only where a word begins
    any_case = true                              # for texts with capitals
    heard = ["the knight is now hanging"]        # examples that a test reads …
    passed = ["the knight hangs around"]         # … and some that only look so

    [[hint]]                                     # written like a form, but no claim: looked for in the words around one
    name = "having"
    say = "has | with"

What else a form holds is handed on as ``data``. ``common.toml`` is known to all files of a
language, ``notation.toml`` to those of all; what a file itself says comes first.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any, Final

from linewright.language.folders import DEFAULT as DEFAULT
from linewright.language.folders import language_folder
from linewright.language.templates import Lexicon, Pattern, compile_template

_NEVER: Final = Pattern(re.compile(r"(?!)"), {})
_OWN: Final = frozenset({"name", "say", "end", "begin", "any_case", "heard", "passed"})


@dataclass(frozen=True, slots=True)
class Form:
    """One form of a wording.

    :param data: what else its table holds, e.g. the degree that it speaks of.
    """

    name: str
    pattern: Pattern
    data: Mapping[str, Any] = field(default_factory=dict)
    heard: tuple[str, ...] = ()
    passed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Heard:
    """A form found in a text."""

    form: Form
    match: re.Match[str]

    @property
    def start(self) -> int:
        """Characters before it."""
        return self.match.start()

    @property
    def end(self) -> int:
        return self.match.end()

    @property
    def text(self) -> str:
        return self.match[0]

    def value(self, name: str) -> str:
        """What was caught under a name: its words, or the value that the template names; ``""`` for nothing."""
        return self.form.pattern.value(self.match, name)

    def values(self) -> dict[str, str]:
        """All that was caught, by name."""
        return self.form.pattern.values(self.match)

    def span(self, name: str) -> tuple[int, int]:
        """Where the words caught under a name stand; ``(-1, -1)`` for nothing."""
        group = self.form.pattern.group(self.match, name)
        return self.match.span(group) if group else (-1, -1)

    def overlaps(self, other: tuple[int, int]) -> bool:
        """Whether it shares characters with a range."""
        return self.start < other[1] and self.end > other[0]


@dataclass(frozen=True, slots=True)
class Wording:
    """The forms and hints of one file, in its order.

    :param code: its language. English has every hint that is asked for; what another language hasn't brought never
        stands in a text.
    """

    name: str
    forms: tuple[Form, ...]
    hints: tuple[Form, ...] = ()
    code: str = DEFAULT

    def find(self, text: str, *names: str) -> Iterator[Heard]:
        """All matches, form by form.

        :param names: of the forms to look for; all when none is given.
        """
        for form in self.forms:
            if not names or form.name in names:
                for match in form.pattern.regex.finditer(text):
                    yield Heard(form, match)

    def find_apart(self, text: str, *names: str) -> Iterator[Heard]:
        """The matches that share no characters; what an earlier form takes, a later one leaves."""
        return keep_apart(self.find(text, *names))

    def hint(self, name: str, text: str) -> Heard | None:
        """Where a hint first stands in a text; None where it doesn't.

        :raises KeyError: when English has no hint of that name.
        """
        return next(self.hints_in(name, text), None)

    def hints_in(self, name: str, text: str) -> Iterator[Heard]:
        """All places where a hint stands in a text."""
        form = self._hint(name)
        return (Heard(form, match) for match in form.pattern.regex.finditer(text))

    def says(self, name: str, text: str) -> bool:
        """Whether a hint stands in a text."""
        return self.hint(name, text) is not None

    def is_all(self, name: str, text: str) -> bool:
        """Whether a hint takes a text as a whole."""
        return self._hint(name).pattern.regex.fullmatch(text) is not None

    def without(self, name: str, text: str, mask: str = "") -> str:
        """A text with a space for each match of a hint, or with as many of ``mask`` as it is long."""
        return self._hint(name).pattern.regex.sub(lambda match: mask * len(match[0]) or " ", text)

    def _hint(self, name: str) -> Form:
        for form in self.hints:
            if form.name == name:
                return form
        if self.code == DEFAULT:
            raise KeyError(f"{self.name}: no hint {name!r}")
        return Form(name, _NEVER)


def keep_apart(found: Iterable[Heard]) -> Iterator[Heard]:
    """Of matches that share characters the first one."""
    done: list[tuple[int, int]] = []
    for heard in found:
        if not any(heard.overlaps(span) for span in done):
            done.append(heard.match.span())
            yield heard


@cache
def wording(name: str, code: str = DEFAULT) -> Wording:
    """The wording of a file, e.g. ``claims/pinned``; without forms where another language hasn't brought it yet.

    :param code: the language, as its folder is named.
    :raises FileNotFoundError: when English has no such file.
    :raises TemplateFault: when a template can't be compiled.
    """
    common, own = _brought("claims/common", code), _brought(name, code)
    raw = _notation() | common.get("raw", {}) | own.get("raw", {})
    lexicon = Lexicon(_parts(common) | _parts(own), raw)
    forms, hints = (tuple(_form(entry, lexicon) for entry in own.get(key, ())) for key in ("form", "hint"))
    return Wording(name, forms, hints, code)


@cache
def _notation() -> dict[str, str]:
    """Patterns of what every language writes alike."""
    raw: dict[str, str] = tomllib.loads((files("linewright.language") / "notation.toml").read_text("utf-8"))["raw"]
    return raw


@cache
def table(name: str, code: str = DEFAULT) -> dict[str, Any]:
    """A language's table, as it stands in its file ``NAME.toml``.

    :raises FileNotFoundError: when the language has no such file.
    """
    return tomllib.loads(language_folder(code).joinpath(*f"{name}.toml".split("/")).read_text("utf-8"))


def _brought(name: str, code: str) -> dict[str, Any]:
    """A table that English must have; empty where another language has none."""
    try:
        return table(name, code)
    except FileNotFoundError:
        if code == DEFAULT:
            raise
        return {}


@cache
def word_set(name: str, entry: str, code: str = DEFAULT) -> frozenset[str]:
    """One of the lists under ``[words]`` of a file of wordings; empty where another language doesn't have it.

    :param name: of the file, e.g. ``claims/pinned``.
    :raises KeyError: when English has no such list.
    """
    listed = _brought(name, code).get("words", {})
    return frozenset((listed[entry] if code == DEFAULT else listed.get(entry, "")).split())


def _parts(source: Mapping[str, Any]) -> dict[str, str]:
    listed = {name: " | ".join(words.split()) for name, words in source.get("words", {}).items()}
    return listed | {name: _alternatives(say) for name, say in source.get("parts", {}).items()}


def _alternatives(say: str | list[str]) -> str:
    return say if isinstance(say, str) else " | ".join(say)


def _form(entry: Mapping[str, Any], lexicon: Lexicon) -> Form:
    how = {key: entry[key] for key in ("end", "begin", "any_case") if key in entry}
    pattern = compile_template(_alternatives(entry["say"]), lexicon, **how)
    data = {key: value for key, value in entry.items() if key not in _OWN}
    return Form(entry["name"], pattern, data, tuple(entry.get("heard", ())), tuple(entry.get("passed", ())))

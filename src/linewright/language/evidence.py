"""Evidence: why a verdict is as it is, as typed values, said in a language only when somebody reads it.

    why("attacked_defended.attacked", man=ManOn("knight", "c3"), by=Men((ManOn("pawn", "d4"),)))

names the sentence ``attacked`` of ``language/<code>/evidence/attacked_defended.toml`` ("{man}: attacked by {by}") and
what fills it. Whoever decides knows no language; a page in German says the same in German.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Final, TypeAlias

from linewright.language.wordings import DEFAULT, table

#: What separates pieces of evidence that stand beside each other, in every language.
BESIDE: Final = "; "


@dataclass(frozen=True, slots=True)
class Term:
    """A word of the trade by its English name (``white``, ``isolated``), as ``evidence/terms.toml`` says it."""

    name: str


@dataclass(frozen=True, slots=True)
class ManOn:
    """A man on its square: ``knight c3``; the bare square where ``name`` is empty."""

    name: str
    square: str


@dataclass(frozen=True, slots=True)
class Men:
    """Several men, as a list with articles: ``the knight c3 and the pawn d4``, ``nothing``."""

    men: tuple[ManOn, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """Squares, files, moves or other values in a row: ``c3 d4``.

    :param word: the term that stands between them: ``c3 and d4``; with spaces around it, instead of ``by``.
    :param none: the term for an empty row.
    """

    items: tuple[Value, ...]
    by: str = " "
    none: str = "none"
    word: str = ""


@dataclass(frozen=True, slots=True)
class Options:
    """One or the other, such as moves that words may mean: ``Nf6 or Bc5``.

    :param more: there are others, left out.
    """

    items: tuple[str, ...]
    more: bool = False


@dataclass(frozen=True, slots=True)
class Count:
    """A number with its noun, which ``[counts]`` of ``evidence/terms.toml`` gives for one and for several, and before
    these for none where that is said otherwise than in figures (``no pawns``)."""

    number: int
    noun: str


@dataclass(frozen=True, slots=True)
class Ordinal:
    """A place in a row: ``third``, as ``[ordinals]`` of ``evidence/terms.toml`` says it."""

    number: int


@dataclass(frozen=True, slots=True)
class Percent:
    """A share of 0-1, or so many ``of`` so many.

    :param strict: never "0 %" or "100 %" where it isn't exact, but "under 1 %" or "over 99 %".
    """

    share: float
    digits: int = 0
    strict: bool = False
    of: float = 1.0


@dataclass(frozen=True, slots=True)
class Number:
    """A number in a format of :func:`format`, e.g. ``+.1f``."""

    value: float
    form: str = ","


@dataclass(frozen=True, slots=True)
class Evidence:
    """A sentence with what fills it.

    :param key: ``FILE.NAME``; empty for ``parts`` alone.
    :param values: by name; a plain text (a move, a player's name) is the same in every language.
    :param parts: evidence that stands beside each other instead.
    """

    key: str
    values: tuple[tuple[str, Value], ...] = ()
    parts: tuple[Evidence, ...] = ()

    def say(self, code: str = DEFAULT) -> str:
        """The sentence in a language; in English where the language has none yet."""
        if not self.key:
            return BESIDE.join(part.say(code) for part in self.parts)
        name, _, entry = self.key.partition(".")
        code = code if entry in _sentences(name, code) else DEFAULT
        return _sentences(name, code)[entry].format_map({key: _said(value, code) for key, value in self.values})

    def __str__(self) -> str:
        return self.say()

    def __bool__(self) -> bool:
        return bool(self.key) or any(self.parts)


Value: TypeAlias = str | int | Term | ManOn | Men | Row | Options | Count | Ordinal | Percent | Number | Evidence

NOTHING: Final = Evidence("")


def why(key: str, **values: Value) -> Evidence:
    """A piece of evidence; see :class:`Evidence`."""
    return Evidence(key, tuple(values.items()))


def plain(text: str) -> Evidence:
    """Words that are the same in every language, such as an engine's line."""
    return why("terms.plain", text=text) if text else NOTHING


def together(parts: Iterable[Evidence]) -> Evidence:
    """Several pieces, each once, in order."""
    listed = tuple(dict.fromkeys(part for part in parts if part))
    return listed[0] if len(listed) == 1 else Evidence("", (), listed)


@cache
def _sentences(name: str, code: str) -> dict[str, str]:
    try:
        return {key: text for key, text in table(f"evidence/{name}", code).items() if isinstance(text, str)}
    except FileNotFoundError:
        return {}


@cache
def _terms(kind: str, code: str) -> dict[str, str | list[str]]:
    try:
        return dict(table("evidence/terms", code).get(kind, {}))
    except FileNotFoundError:
        return {}


def _term(name: str, code: str) -> str:
    return str(_terms("terms", code).get(name, name))


def _man(man: ManOn, code: str) -> str:
    return f"{_term(man.name, code)} {man.square}" if man.name else man.square


def _said(value: Value, code: str) -> str:
    """A value as a language says it."""
    if isinstance(value, Evidence):
        return value.say(code)
    if isinstance(value, Term):
        return _term(value.name, code)
    if isinstance(value, ManOn):
        return _man(value, code)
    if isinstance(value, Men):
        return _listed([_sentences("terms", code)["the"].format(man=_man(man, code)) for man in value.men], code)
    if isinstance(value, Row):
        between = f" {_term(value.word, code)} " if value.word else value.by
        return between.join(_said(item, code) for item in value.items) if value.items else _term(value.none, code)
    if isinstance(value, Count):
        forms = _terms("counts", code).get(value.noun, ["{number} " + value.noun])
        form = forms[0] if len(forms) == 3 and not value.number else forms[-2 if value.number == 1 else -1]
        return form.format(number=f"{value.number:,}")
    if isinstance(value, Ordinal):
        return _ordinal(value.number, code)
    if isinstance(value, Percent):
        return _percent(value, code)
    if isinstance(value, Options):
        return f" {_term('or', code)} ".join(value.items) + (" …" if value.more else "")
    return format(value.value, value.form) if isinstance(value, Number) else str(value)


def _ordinal(number: int, code: str) -> str:
    listed = _terms("ordinals", code).get("listed", [])
    return listed[number - 1] if 0 < number <= len(listed) else _sentences("terms", code)["nth"].format(number=number)


def _percent(value: Percent, code: str) -> str:
    percent, entry = 100 * value.share / value.of, "percent"
    if value.strict and 0 < percent < 1:
        percent, entry = 1, "percent_under"
    elif value.strict and 99.5 <= percent < 100:
        percent, entry = 99, "percent_over"
    return _sentences("terms", code)[entry].format(number=f"{percent:.{value.digits}f}")


def _listed(names: list[str], code: str) -> str:
    if not names:
        return _term("nothing", code)
    if len(names) == 1:
        return names[0]
    return _sentences("terms", code)["and"].format(first=", ".join(names[:-1]), last=names[-1])

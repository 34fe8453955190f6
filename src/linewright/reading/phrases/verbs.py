"""Forms of the verbs that moves are described with."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from linewright.language.tables import ENGLISH, Language


@dataclass(frozen=True, slots=True)
class VerbForms:
    """The forms of a verb that describe a move: base, third person in the present, simple past."""

    base: str
    third: str
    past: str


def forms(bases: Iterable[str], language: Language = ENGLISH) -> dict[str, str]:
    """The forms of these verbs: ``third`` person, ``past``, ``base``, or ``past or base`` where both look alike."""
    out: dict[str, str] = {}
    for verb in (verb_forms(base, language) for base in bases):
        out[verb.base] = "past or base" if verb.past == verb.base else "base"
        out[verb.third] = "third"
        if verb.past != verb.base:
            out[verb.past] = "past"
    return out


def verb_forms(base: str, language: Language = ENGLISH) -> VerbForms:
    """The forms of a verb: those of ``verbs.toml``, else by the language's rule."""
    table = language.table("verbs")
    by_rule = VERB_RULES[table.get("rule", "none")](base, table.words("doubled"))
    third = str(table.get(f"third.{base}", by_rule.third))
    return VerbForms(base, third, str(table.get(f"past.{base}", by_rule.past)))


def _english(base: str, doubled: frozenset[str]) -> VerbForms:
    """The regular forms of an English verb: "pushes", "pushed"; "carries", "hopped"."""
    changes_y = base.endswith("y") and base[-2] not in "aeiou"
    stem = base[:-1] + "i" if changes_y else base
    third = stem + ("es" if changes_y or base.endswith(("s", "sh", "ch", "x", "z", "o")) else "s")
    past = base + "d" if base.endswith("e") else stem + (base[-1] if base in doubled else "") + "ed"
    return VerbForms(base, third, past)


def _listed_only(base: str, doubled: frozenset[str]) -> VerbForms:
    """A language whose forms all stand in its table; the base form stands for those that are missing."""
    return VerbForms(base, base, base)


#: How a language forms what its table doesn't list, by the name that ``verbs.toml`` gives.
VERB_RULES: dict[str, Callable[[str, frozenset[str]], VerbForms]] = {"english": _english, "none": _listed_only}

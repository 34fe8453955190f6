"""The wordings of each language: every example is heard, every counterexample passed over; all evidence has words."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from string import Formatter

import pytest

from linewright.language.wordings import table, word_set, wording

LANGUAGES = Path(str(files("linewright.language")))
CLAIMS = [
    (path.relative_to(LANGUAGES).parts[0], "/".join(path.relative_to(LANGUAGES).with_suffix("").parts[2:]))
    for path in sorted(LANGUAGES.glob("*/claims/**/*.toml"))
    if path.stem != "common"
]
SOURCES = sorted(LANGUAGES.parent.rglob("*.py"))
#: why("file.entry", first=…, second=…)
_WHY = re.compile(r"\bwhy\(\s*\"([a-z_]+)\.([a-z_]+)\"")


@pytest.mark.parametrize(("code", "name"), CLAIMS)
def test_examples_are_heard_and_counterexamples_passed_over(code: str, name: str) -> None:
    said = wording(f"claims/{name}", code)
    for form in said.forms + said.hints:
        for text in form.heard:
            assert form.pattern.regex.search(text), f"{name}.toml, {form.name}: “{text}” isn't heard"
        for text in form.passed:
            assert not form.pattern.regex.search(text), f"{name}.toml, {form.name}: “{text}” is heard"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.stem)
def test_every_piece_of_evidence_has_its_sentence(path: Path) -> None:
    for name, entry in _WHY.findall(path.read_text("utf-8")):
        assert entry in table(f"evidence/{name}"), f"{path.name}: evidence/{name}.toml has no “{entry}”"


@pytest.mark.parametrize("path", sorted(LANGUAGES.glob("*/evidence/*.toml")), ids=lambda path: path.stem)
def test_other_languages_fill_in_the_same(path: Path) -> None:
    """A sentence in another language takes what the English one takes."""
    own, english = table(f"evidence/{path.stem}", path.parents[1].name), table(f"evidence/{path.stem}")
    for entry, text in own.items():
        if isinstance(text, str):
            assert _fields(text) <= _fields(english[entry]), f"{path}: {entry}"


def test_a_plain_list_is_a_set_of_words() -> None:
    assert {"pawn", "king"} <= word_set("claims/common", "piece_name")


def _fields(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}

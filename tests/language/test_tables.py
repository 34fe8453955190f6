"""A language's tables: what they give, and that nothing stands in the English ones that nobody asks for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from linewright.language.tables import ENGLISH, NEVER, Language, Table

TABLE = Table(
    {
        "men": "knight bishop",
        "tries": ["back to", "more from"],
        "by_letter": {"N": "knight horse", "B": "bishop"},
        "single": {"defense": "defence", "4": "four"},
        "returns": ["go back", "{again} from"],
        "parts": {"again": "(once more | again)"},
    }
)


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        (TABLE.listed("men"), ("knight", "bishop")),
        (TABLE.listed("tries"), ("back to", "more from")),
        (TABLE.words("men", "nothing"), frozenset({"knight", "bishop"})),
        (TABLE.sorted_out("by_letter"), {"knight": "N", "horse": "N", "bishop": "B"}),
        (TABLE.mapping("single"), {"defense": "defence", "4": "four"}),
        (TABLE.get("by_letter.N"), "knight horse"),
        (TABLE.get("by_letter.Q", "none"), "none"),
        (TABLE.regex("returns").findall("we go back, once more from here, backwards"), ["go back", "once more from"]),
        (TABLE.regex("nothing"), NEVER),
        (TABLE.phrases("nothing"), None),
    ],
)
def test_what_a_table_gives(given: object, wanted: object) -> None:
    assert given == wanted


def test_a_dataclass_is_filled_by_its_fields() -> None:
    @dataclass
    class Words:
        men: frozenset[str]
        tries: tuple[str, ...]
        single: dict[str, str]
        returns: re.Pattern[str]
        given: int

    # Annotations of a class made within a function can't be looked up by name, so they are handed over as types.
    Words.__annotations__ = {
        "men": frozenset[str], "tries": tuple[str, ...], "single": dict[str, str], "returns": re.Pattern[str],
        "given": int,
    }  # fmt: skip
    words = TABLE.filled(Words, given=3)
    assert (words.men, words.tries, words.given) == (frozenset({"knight", "bishop"}), ("back to", "more from"), 3)
    assert words.returns.search("again from")


def test_a_file_that_is_not_there_is_empty(tmp_path: Path) -> None:
    assert Language("none", tmp_path).table("reading/context").words("plan") == frozenset()


#: Tables that reading asks for, and keys that are not asked for by name: what templates refer to.
OWN = "moves numbers pieces sides negation names tokens sound_alikes sounds verbs hearing".split()
BY_TEMPLATES = {"parts", "raw"}


def test_every_english_word_list_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read through a fresh copy of English, so that every table is asked for what it holds."""
    asked: dict[str, set[str]] = {}
    get = Table.get

    def noted(self: Table, key: str, default: object = None) -> object:
        asked.setdefault(self.name, set()).add(key.split(".")[0])
        return get(self, key, default)

    monkeypatch.setattr(Table, "get", noted)
    english = Language("en-copy", ENGLISH.folder)
    ask_for_everything(english)
    names = [
        *OWN,
        *(f"reading/{file.name[:-5]}" for file in (ENGLISH.folder / "reading").iterdir() if ".toml" in file.name),
    ]
    for name in names:
        there = set(english.table(name).values) - BY_TEMPLATES
        wanted = asked.get(f"en-copy/{name}", set())
        assert there <= wanted, f"{name}.toml: nobody asks for {sorted(there - wanted)}"
        if name != "verbs":
            assert wanted <= there | BY_TEMPLATES, f"{name}.toml lacks {sorted(wanted - there)}"


def ask_for_everything(language: Language) -> None:
    """Make all that is made of a language's words."""
    from linewright.language.name_words import name_words
    from linewright.language.numbers import number_words, year_words
    from linewright.language.sounds import consonants, sound
    from linewright.reading.phrases.context_words import context_words
    from linewright.reading.phrases.lattice_walk import finding_words
    from linewright.reading.phrases.manner import manner_words
    from linewright.reading.phrases.mentions import mention_words
    from linewright.reading.phrases.plain_rows import plain_rows, plain_vocabulary
    from linewright.reading.phrases.speaker_side import guess_side, persons
    from linewright.reading.search.unsaid import hints
    from linewright.reading.words import soundalikes
    from linewright.reading.words.caption_like import looks_heard
    from linewright.reading.words.tokens import tokens
    from linewright.reading.words.units import units
    from linewright.reading.words.vocabulary import vocabulary
    from tests.support import plain_talk

    makers = (
        name_words, number_words, year_words, context_words, finding_words, manner_words, mention_words, plain_rows,
        plain_vocabulary, hints, soundalikes.table, units, vocabulary,
    )  # fmt: skip
    for make in makers:
        make(language)
    sound("night", language), consonants("night", language)
    words = tokens(plain_talk("e4, night f3, um, c6"), language)
    looks_heard(words, language), guess_side(words, language), persons(words, "white", language)
    soundalikes.rhymes.sounds_like("casals", language)
    for table, key in (("hearing", "manner"), ("pieces", "nicknames"), ("sound_alikes", "in_captions")):
        language.table(table).get(key)  # asked for where modules are loaded

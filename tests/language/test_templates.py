"""Templates: each sign of the language in ``language/templates.py``, and what can't be compiled."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.language.templates import Lexicon, TemplateFault, compile_template

LEXICON = Lexicon(
    {"end": "$ | , | now", "still": "now | still", "man": "(who: his | our)? (man: knight | rook)", "loop": "a {loop}"},
    {"square": "[a-h][1-8]", "word": r"\w+"},
)

#: template, text, what is matched ("" for nothing)
FOUND = [
    ("a | b c", "x b c", "b c"),
    ("a b? c", "a c", "a c"),
    ("a b? c", "a b c", "a b c"),
    ("b? c", "b c", "b c"),
    ("b? c", "c", "c"),
    ("{still}* up", "now still up", "now still up"),
    ("x {still}* up", "x up", "x up"),
    ("x {still}+ up", "x up", ""),
    ("x {word}~2 up", "x a b up", "x a b up"),
    ("x {word}~2 up", "x a b c up", ""),
    ("x {word}~2 up", "x up up", "x up up"),
    ("x {word}~2? up", "x up up", "x up"),
    ("pawn[s] fall", "pawns fall", "pawns fall"),
    ("pawn[s] fall", "pawn fall", "pawn fall"),
    ("hanging !(pawns | in the air)", "hanging pawns", ""),
    ("hanging !(pawns | in the air)", "hanging pieces", "hanging"),
    ("better &($ | here)", "better", "better"),
    ("better &($ | here)", "better here", "better"),
    ("better &($ | here)", "better placed", ""),
    ("better &(,)", "better\nthey", "better"),
    ("better &({end})", "better", "better"),
    ("better &({end})", "better\nthey", "better"),
    ("better &({end} | placed)", "better placed", "better"),
    ("better &({end})", "better placed", ""),
    ("better !({still} there)", "better still there", ""),
    ("<!(on | and) {square} is", "on d4 is", ""),
    ("<!(on | and) {square} is", "so d4 is", "d4 is"),
    ("<&(it's) always", "it's always", "always"),
    ("<&(it's) always", "he always", ""),
    ("^ (and | so)* equal", "and so equal", "and so equal"),
    ("^ equal", "so equal", ""),
    ("{square}-pawn", "the e4-pawn", "e4-pawn"),
    ("word", "words", ""),
]


@pytest.mark.parametrize(("template", "text", "matched"), FOUND)
def test_a_sign_means_what_the_table_says(template: str, text: str, matched: str) -> None:
    match = compile_template(template, LEXICON).regex.search(text)
    assert (match[0] if match else "") == matched


def test_what_is_caught_is_known_by_name_and_by_value() -> None:
    pattern = compile_template("{man} (state=hangs: en prise | hangs) (by {other=man})?", LEXICON)
    match = pattern.regex.search("his knight en prise by our rook")
    assert match is not None
    assert pattern.values(match) == {
        "who": "his",
        "man": "knight",
        "state": "hangs",
        "other_who": "our",
        "other_man": "rook",
    }
    assert pattern.value(match, "nobody") == ""


@pytest.mark.parametrize(
    ("template", "why"),
    [
        ("a {nowhere}", "nowhere"),
        ("{loop}", "contains itself"),
        ("(a | b", "isn't closed"),
        ("a = b", "no sign"),
        ("a?", "must be there"),
        ("<!(a | {word}) b", "look-behind"),
    ],
)
def test_what_is_wrong_is_named(template: str, why: str) -> None:
    with pytest.raises(TemplateFault, match=why):
        compile_template(template, LEXICON)


@given(st.lists(st.sampled_from(["rook", "takes", "e5", "he's"]), min_size=1, max_size=5))
def test_plain_words_match_themselves_and_nothing_longer(words: list[str]) -> None:
    text = " ".join(words)
    regex = compile_template(text, LEXICON).regex
    assert regex.fullmatch(text)
    assert not regex.search(re.sub(r"$", "x", text))

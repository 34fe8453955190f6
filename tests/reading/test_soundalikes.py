"""Sound-alikes: what heard words may have been; the table that ships and how it is made."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.language.tokens import take_apart
from linewright.reading.words import soundalikes
from linewright.reading.words.lattice import lattice
from linewright.reading.words.soundalikes import Meaning, SoundAlikes, meanings
from linewright.reading.words.tokens import Token, tokens
from linewright.reading.words.units import KINDS, atoms, talked, units
from linewright.reading.words.vocabulary import DIGITS, LETTERS
from linewright.talk.load import TalkFormat, load_text

BENCH = Path(__file__).parents[2] / "bench" / "soundalikes"

#: A small table by hand: nats of each heard form, and of its words in ordinary talk.
SMALL = SoundAlikes.of(
    {
        "heard": {
            "d": {"d": 0.2, "e": 3.2}, "e": {"e": 0.2}, "4": {"4": 0.1}, "to": {"2": 5.0}, "9": {"knight": 2.0},
            "90": {"knight d": 2.5, "knight e": 3.0}, "before": {"e 4": 3.0, "b 4": 4.0},
            "this should": {"bishop": 3.0},
            "8": {"8": 0.1, "takes": 4.0}, "takes": {"takes": 0.1}, "night": {"knight": 2.0}, "rookie": {"rook e": 2.0},
            "1": {"1": 0.1}, "6": {"6": 0.1},
        },
        "talk": {"to": -4.0, "before": -6.0, "this": -5.0, "should": -6.0, "9": -7.0, "8": -7.0},
        "other": -10.0, "evidence": 6.0, "dearest": 6.0, "most": 10, "trust": [1.2, -0.6],
    }
)  # fmt: skip


def heard(words: str, confidence: float | None = None) -> list[Token]:
    """Tokens as captions give them; a comma pauses, a full stop stops."""
    return [
        Token(w.lower().strip(",."), w.strip(",."), i, w.endswith("."), w.endswith(","), confidence=confidence)
        for i, w in enumerate(words.split())
    ]


def told(words: str, table: SoundAlikes = SMALL, confidence: float | None = None) -> dict[str, float]:
    """``kind value @end`` → cost of what begins at the first word."""
    found = meanings(heard(words, confidence), 0, table)
    return {f"{m.kind} {m.value} @{m.end}": round(m.cost, 2) for m in found}


@pytest.mark.parametrize(
    ("word", "units"),
    [
        ("d4", ("d", "4")),
        ("bd7", ("b", "d", "7")),
        ("97", ("90", "7")),  # said "ninety seven", like "knight d seven"
        ("12", ("12",)),
        ("20", ("20",)),
        ("9g4", ("9", "g", "4")),
        ("b62", ("b", "60", "2")),
        ("rx8", ("r", "x", "8")),
        ("four", ("4",)),
        ("take", ("takes",)),
        ("before", ("before",)),
        ("he", ("he",)),
        ("be", ("be",)),
        ("2015", ("2015",)),
        ("", ()),
    ],
)
def test_units(word: str, units: tuple[str, ...]) -> None:
    assert atoms(word) == units


@given(st.text(max_size=12))
@settings(deadline=None)
def test_units_keep_letters_and_digits(word: str) -> None:
    """Cutting loses nothing: but for tens and number words, the units together are the word."""
    plain = take_apart(word.lower()).core
    units = atoms(plain)
    if not any(c.isdigit() for c in plain) and units and units[0] not in DIGITS | {"takes", "castles", "mate"}:
        assert "".join(units) == plain or units[0].isdigit()
    assert all(units)


@pytest.mark.parametrize(
    ("words", "meaning", "cost", "comment"),
    [
        ("D4", "square d4 @1", 0.0, "plain"),
        ("D4", "square e4 @1", 3.0, "a rhyming letter: 3.2 - 0.2"),
        ("D 4", "square d4 @2", 0.0, "letter and figure apart"),
        ("D, 4", "square d4 @2", 0.0, "a stray comma costs alike for all meanings of the words"),
        ("94", "pieceto Nd4 @1", 0.0, "ninety four"),
        ("94", "pieceto Ne4 @1", 0.5, "the same, less often"),
        ("rookie one", "pieceto Re1 @2", 0.0, "two words that were one piece, file and figure"),
        ("rookie", "piecefile Re @1", 0.0, "the piece with its file"),
        ("9", "piece N @1", 1.0, "6 + 2 - 7: a number is common in talk"),
        ("night", "piece N @1", 0.0, "6 + 2 - 10: this word is not"),
        ("before", "square e4 @1", 3.0, "6 + 3 - 6: ordinary talk says so often enough"),
        ("before", "square b4 @1", 4.0, "one nat less probable than e4"),
        ("this should", "piece B @2", 0.0, "6 + 3 - 11 + company 2"),
        ("D8", "filetakes d @1", 3.9, "d takes"),
        ("e to", "square e2 @2", 0.0, "6 + 5.2 - 14"),
    ],
)
def test_meanings(words: str, meaning: str, cost: float, comment: str) -> None:
    assert told(words).get(meaning) == pytest.approx(cost), (comment, told(words))


@pytest.mark.parametrize(
    ("words", "comment"),
    [
        ("D. 4", "a sentence ends between"),
        ("hello", "no chess word"),
        ("to", "a digit's homophone alone is ordinary talk"),
        ("this", "half of a run"),
    ],
)
def test_no_meaning(words: str, comment: str) -> None:
    assert not any(m.startswith(("square", "piece", "rank")) for m in told(words)), comment


def test_doubted_words_are_misheard_more_easily() -> None:
    plain = told("D4")["square e4 @1"]
    assert told("D4", confidence=0.2)["square e4 @1"] < plain < told("D4", confidence=0.99)["square e4 @1"]
    assert told("D4", confidence=0.99)["square d4 @1"] == 0.0
    sure = [told("D4", confidence=p / 20)["square e4 @1"] for p in range(21)]
    assert sure == sorted(sure)


WORDS = st.sampled_from(
    [
        *sorted(units().classes),
        *soundalikes.table().talk,
        "D4",
        "97",
        "BD7",
        "Rk1",
        "b62",
        "this",
        "should",
        "rookie",
        "uh",
        "Kf2.",
    ]
)


@given(st.lists(WORDS, min_size=1, max_size=6), st.sampled_from([None, 0.1, 0.6, 0.99]))
@settings(deadline=None)
def test_laws_of_the_shipped_table(words: list[str], confidence: float | None) -> None:
    """Costs lie within the table's bound, ends within the words and the sentence; the lattice stays small."""
    table, talk = soundalikes.table(), heard(" ".join(words), confidence)
    for index in range(len(talk)):
        found = meanings(talk, index, table)
        assert len(found) <= table.most
        assert [m.cost for m in found] == sorted(m.cost for m in found)
        assert len({(m.end, m.kind, m.value) for m in found}) == len(found)
        for m in found:
            assert 0.0 <= m.cost <= table.dearest
            assert index < m.end <= len(talk)
            assert m.kind in KINDS.values()
            assert not any(t.stop for t in talk[index : m.end - 1])


@pytest.mark.parametrize("square", [f + r for f in "abcdefgh" for r in "12345678"])
def test_plain_squares_cost_nothing(square: str) -> None:
    edges = lattice(heard(square.upper()), True)[0]
    assert min(e.cost for e in edges if (e.kind, e.value) == ("square", square)) == 0.0


def test_rhyming_letters_are_mixed_up() -> None:
    """B, C, D, E, G, P, T, V (Z) rhyme: the "e-set", the hardest letters for recognisers (R. Cole et al., "The
    ISOLET spoken letter database", 1990, from memory)."""
    rhyming = set("bcdeg")
    for letter in rhyming:
        squares = {m.value: m.cost for m in meanings(heard(letter + "5"), 0, soundalikes.table()) if m.kind == "square"}
        others = sorted((cost, square[0]) for square, cost in squares.items() if square[0] != letter)
        assert others and others[0][1] in rhyming, (letter, others)


@pytest.mark.parametrize(
    ("words", "meaning", "comment"),
    [
        ("night F3", Meaning(1, "piece", "N", 0.0), "knight"),
        ("97", Meaning(1, "pieceto", "Nd7", 0.0), "knight d7"),
        ("rookie one", Meaning(2, "pieceto", "Re1", 0.0), "rook e1"),
        ("this should B4", Meaning(2, "piece", "B", 0.0), "bishop"),
        ("castiles", Meaning(1, "castles", "", 0.0), "castles"),
        ("before", Meaning(1, "square", "e4", 0.0), "e4"),
        ("B3", Meaning(1, "square", "e3", 0.0), "e3"),
        ("R1", Meaning(1, "pieceto", "Re1", 0.0), "rook e1"),
        ("of 6", Meaning(2, "square", "f6", 0.0), "night of 6"),
    ],
)
def test_shipped_table_knows(words: str, meaning: Meaning, comment: str) -> None:
    found = {(m.end, m.kind, m.value) for m in meanings(heard(words), 0, soundalikes.table())}
    assert (meaning.end, meaning.kind, meaning.value) in found, comment


def test_typed_talks_know_no_soundalikes() -> None:
    talk = tokens(load_text("Before the night we play d4.", TalkFormat.TYPED, "talk.txt"))
    kinds = {(e.kind, e.value) for edges in lattice(talk, False) for e in edges}
    assert ("square", "d4") in kinds
    assert not kinds & {("square", "b4"), ("square", "e4"), ("piece", "N")}


@pytest.mark.parametrize(("word", "said"), [("four", "4"), ("27", "#"), ("before", "before"), ("d4", "d4")])
def test_talked(word: str, said: str) -> None:
    assert talked(word) == said


# -- how the table is made -------------------------------------------------------------------------------


def maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("soundalikes_make", BENCH / "make.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_shipped_table_is_the_one_made_from_the_counts() -> None:
    make = maker()
    made = make.make(json.loads((BENCH / "counts.json").read_text("utf-8")))
    shipped = json.loads(make.TABLE.read_text("utf-8"))
    assert made["heard"] == shipped["heard"]
    assert made["talk"] == shipped["talk"]
    assert made["trust"] == pytest.approx(shipped["trust"], abs=0.05)  # fitted


def test_what_is_heard_more_often_costs_less() -> None:
    make = maker()
    few = {
        "x": {"meant": {"e": 100}, "pairs": {"e": {"e": 95, "d": 5}}, "words": {"so": 900}, "trust": [[0.5, True, 1]]}
    }
    many = json.loads(json.dumps(few))
    many["x"]["pairs"]["e"] = {"e": 70, "d": 30}
    one, two = make.make(few)["heard"], make.make(many)["heard"]
    assert two["d"]["e"] < one["d"]["e"] < one["c"]["e"]
    assert two["e"]["e"] > one["e"]["e"]


def test_shares_of_what_is_heard_are_probabilities() -> None:
    """For each meaning the shares of its forms sum to one at most (some are never written down at all)."""
    make = maker()
    meant, pairs, _, _ = make.pooled(json.loads((BENCH / "counts.json").read_text("utf-8")), ())
    for unit, forms in make.spoken(meant, pairs).items():
        if unit in LETTERS | DIGITS:
            assert 0.85 < sum(forms.values()) <= 1.001, unit


def test_a_source_can_be_left_out() -> None:
    make = maker()
    counts = json.loads((BENCH / "counts.json").read_text("utf-8"))
    assert any("rough" in source.split() for source in counts)
    assert make.make(counts, ["rough"])["heard"] != make.make(counts)["heard"]


def test_no_unseen_talk_is_counted() -> None:
    """The unseen talks are for measuring only."""
    unseen = {p.name.split(".")[0] for p in (BENCH.parent / "talks" / "unseen").glob("*.talk")}
    counts = json.loads((BENCH / "counts.json").read_text("utf-8"))
    assert unseen
    assert not [source for source in counts if unseen & set(source.split())]

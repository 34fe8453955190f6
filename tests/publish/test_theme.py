"""Themes: one small file, refused with words to mend it by, readable by everyone."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

from linewright.lesson.finding import Kind, Verdict
from linewright.lesson.spoken import in_words
from linewright.publish.html.board_element import picture_labels
from linewright.publish.html.markup import figurines
from linewright.publish.page.lesson_page import MARK_SHAPES, SPOKEN_BY_SCRIPT
from linewright.publish.theme import PLAIN, Theme, contrast, labels, load_theme
from linewright.support.errors import UnusableInput

WHOLE = """
trainer = "Odile Brandt"
mark = "lamp.svg"
paper = "letter"
columns = 1
language = "de"
pieces = "letters"
ground = "#ffffff"
ink = "#222222"
accent = "#7a1f1f"
"""


def test_a_whole_theme(tmp_path: Path) -> None:
    (tmp_path / "lamp.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>')
    (tmp_path / "theme.toml").write_text(WHOLE)
    theme = load_theme(tmp_path / "theme.toml")
    assert theme == Theme(
        "Odile Brandt", (tmp_path / "lamp.svg").resolve(), "letter", 1, "de", "letters", "#ffffff", "#222222", "#7a1f1f"
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('trainer = "A', "no TOML"),
        ('colour = "red"', "unknown setting “colour”"),
        ('paper = "a3"', "a4, letter"),
        ("columns = 3", "1, 2"),
        ("columns = true", "1, 2"),
        ('language = "it"', "en, de, fr, es"),
        ('ink = "black"', "#1d1a16"),
        ('ink = "#999999"', "contrast of 2."),
        ('accent = "#f5e9d0"', "4.5:1"),
        ('ground = "#000000"\nink = "#ffffff"\naccent = "#ffffff"', "darker than ink"),
        ("trainer = 3", "not text"),
        ('mark = "none.svg"', "not an SVG or PNG file"),
    ],
)
def test_refused_in_words(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "theme.toml"
    path.write_text(text)
    with pytest.raises(UnusableInput) as caught:
        load_theme(path)
    assert says in str(caught.value)
    assert str(path) in str(caught.value)


def test_a_missing_theme(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="can't be read"):
        load_theme(tmp_path / "none.toml")


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # WCAG 2.2: contrast runs from 1 to 21; #767676 on white passes AA, #777777 does not (common practice).
        ("#000000", "#ffffff", 21.0),
        ("#ffffff", "#ffffff", 1.0),
        ("#767676", "#ffffff", 4.54),
        ("#777777", "#ffffff", 4.48),
    ],
)
def test_contrast(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.01)
    assert contrast(other, one) == contrast(one, other)


def test_every_language_has_every_label_with_the_same_gaps() -> None:
    english = labels()["en"]
    for language, table in labels().items():
        assert table.keys() == english.keys(), language
        for key, text in table.items():
            gaps = {part for part in ("{side}", "{squares}", "{wing}", "{files}") if part in text}
            assert gaps == {p for p in ("{side}", "{squares}", "{wing}", "{files}") if p in english[key]}, key


@pytest.mark.parametrize(
    ("language", "written"),
    # Piece letters king, queen, rook, bishop, knight: PGN standard (1994), letters by language.
    [("en", "Nbxd4 Q R B K"), ("de", "Sbxd4 D T L K"), ("fr", "Cbxd4 D T F R"), ("es", "Cbxd4 D T A R")],
)
def test_piece_letters(language: str, written: str) -> None:
    theme = Theme(language=language, pieces="letters")  # type: ignore[arg-type]
    assert [theme.san(san) for san in ("Nbxd4", "Q", "R", "B", "K")] == written.split()
    assert theme.san("O-O") == "O-O"
    assert theme.san("e8=Q") == "e8=" + written.split()[1]
    assert PLAIN.move("8/8/8/8/8/8/8/8 b - - 0 12", "Nf6") == "12…♘f6"


SPOKEN = [
    ("en", "Qxh7+", "queen takes h7, check"),
    ("de", "Qxh7+", "Dame schlägt h7, Schach"),
    ("fr", "Nbd7", "cavalier b d7"),
    ("es", "O-O-O", "enroque largo"),
    ("de", "exd8=N#", "e schlägt d8, Umwandlung in Springer, matt"),
    ("fr", "hello", "hello"),
]


@pytest.mark.parametrize(("language", "san", "said"), SPOKEN)
def test_moves_are_said_in_the_theme_s_language(language: str, san: str, said: str) -> None:
    assert Theme(language=language).words(san) == said  # type: ignore[arg-type]


@pytest.mark.parametrize("san", ["e4", "Nf3", "Qxh7+", "O-O", "O-O-O#", "exd8=N#", "R1xd4", "not a move"])
def test_english_words_are_the_lesson_s(san: str) -> None:
    assert PLAIN.words(san) == in_words(san)


def test_the_page_s_script_says_labels_only() -> None:
    """What a reader sees or hears comes from the theme: no words of any language stand in the script's strings."""
    script = (files("linewright.web") / "lesson" / "page.js").read_text(encoding="utf-8")
    code = re.sub(r"//.*|/\*.*?\*/", "", script)
    strings = re.findall(r"`([^`]*)`|\"([^\"]*)\"", code)
    said = [re.sub(r"\$\{[^}]*\}", "", one or other) for one, other in strings]
    assert not [text for text in said if re.search(r"\b[A-Z][a-z]+ [a-z]+", text)]
    assert set(re.findall(r"data\.say\.(\w+)", script)) <= set(SPOKEN_BY_SCRIPT)
    assert set(picture_labels()["marks"]) == set(MARK_SHAPES)


def test_piece_letters_on_the_page() -> None:
    """With ``pieces = "letters"`` the page writes the language's own letters (PGN standard 1994, table of letters)."""
    assert figurines("Nxd5", Theme(language="de", pieces="letters")) == "Sxd5"
    assert figurines("Nxd5", Theme(language="fr")) == '<i class="fig">N</i>xd5'


def test_every_kind_and_verdict_of_a_finding_has_a_label() -> None:
    for language, table in labels().items():
        missing = (
            {f"kind_{kind}" for kind in Kind} | {f"verdict_{v}" for v in Verdict} | {f"means_{v}" for v in Verdict}
        )
        assert missing <= table.keys(), language

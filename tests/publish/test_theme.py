"""Themes: one small file, refused with words to mend it by, readable by everyone."""

from __future__ import annotations

from pathlib import Path

import pytest

from linewright.errors import UnusableInput
from linewright.publish.theme import PLAIN, Theme, contrast, labels, load_theme

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
        ("trainer = 3", "no text"),
        ('mark = "none.svg"', "no SVG or PNG file"),
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

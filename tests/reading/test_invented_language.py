"""A language of two dozen invented words is read by its data alone: no English is left in the logic."""

from __future__ import annotations

from pathlib import Path

import pytest

from linewright.language.folders import add_language
from linewright.language.tables import Language, load
from linewright.lesson.walk import ReturnStep
from linewright.reading.reader import read_talk
from linewright.reading.search.search_setup import ReadingOptions
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text

FOLDER = Path(__file__).parents[1] / "language" / "invented"


@pytest.fixture(scope="module")
def invented() -> Language:
    add_language("invented", FOLDER)
    return load("invented")


@pytest.mark.parametrize(
    ("text", "line", "comment"),
    [
        ("E kal, e pen, tam f3, tam c sis, oku b5.", "e4 e5 Nf3 Nc6 Bb5", "pieces, files and figures in words"),
        ("E4, d5, grel, lira grel d5, tam c3.", "e4 d5 exd5 Qxd5 Nc3", "captures"),
        ("E4 e5 tam f3 tam c6 oku c4 oku c5 vash brevi.", "e4 e5 Nf3 Nc6 Bc4 Bc5 O-O", "castling"),
        ("E4 e5 tam f3 tam c6 oku b5. Nor ze tam c6. Oku c4, oku c5.", "e4 e5 Nf3 Nc6 Bb5 < Bc4 Bc5", "a return"),
        ("E4 e5 lira h5 tam c6 oku c4 tam f6 lira grel f7 mor.", "e4 e5 Qh5 Nc6 Bc4 Nf6 Qxf7#", "mate"),
        ("E4 e5 tam f3 tam c6 d4 grel tam grel d4, volas oku c4.", "e4 e5 Nf3 Nc6 d4 exd4 Nxd4", "a plan"),
        ("E4 d5 grel, noka regrel.", "e4 d5 exd5 Qxd5", "plain words"),
        ("E4 e5 tam f3, hmu, tam hmu c6.", "e4 e5 Nf3 Nc6", "fillers"),
    ],
)  # fmt: skip
def test_an_invented_language_is_read(invented: Language, text: str, line: str, comment: str) -> None:
    walk = read_talk(load_text(text, TalkFormat.TYPED, "talk.txt"), options=ReadingOptions(language=invented))
    assert " ".join("<" if isinstance(s, ReturnStep) else s.san for s in walk.steps) == line, comment


def test_english_words_mean_nothing_in_it(invented: Language) -> None:
    text = "Knight takes, castles kingside, check, the queen comes out, White accepts, rook to the open file."
    walk = read_talk(load_text(text, TalkFormat.TYPED, "talk.txt"), options=ReadingOptions(language=invented))
    assert walk.steps == () and walk.unread == ()


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(UnusableInput, match="no language 'martian' is known"):
        load("martian")

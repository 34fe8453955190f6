"""The hand-out: a tagged PDF with its fonts inside, set as a chess book, nothing over the margin."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import chess
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.lesson.walk import BoardMark, Walk
from linewright.publish.games_shown import ENOUGH_GAMES, gather, model_games, score_of
from linewright.publish.handout.book import Bit, Depth, book, tidy
from linewright.publish.handout.exercises import ANSWER, exercises
from linewright.publish.handout.handout import handout_data, handout_pdf, typeset_data
from linewright.publish.handout.takeaways import facts, plans
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.typesetter import set_pictures
from tests.lesson.test_pgn import small
from tests.lesson.walks import walks
from tests.publish.games import FewGames
from tests.publish.samples import doubtful, lesson
from tests.support import needs_shared, plain_talk

pikepdf = pytest.importorskip("pikepdf", reason="needs pikepdf (pip install linewright[dev])")
image = pytest.importorskip("PIL.Image", reason="needs Pillow, which pikepdf brings")

FOUR = ["panov", "scotch", "slav", "benoni"]
#: Points (1/72 inch): ISO 216 A4 is 210 by 297 mm, ANSI/ASME Y14.1 A ("Letter") 8.5 by 11 inches.
SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}


def opened(pdf: bytes) -> Any:
    return pikepdf.open(io.BytesIO(pdf))


def fonts(document: Any) -> Iterator[Any]:
    """The font descriptors of all pages."""
    for page in document.pages:
        for font in page.Resources.get("/Font", {}).values():
            for descendant in font.get("/DescendantFonts", [font]):
                yield descendant.FontDescriptor


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_pdf_is_tagged_and_carries_its_fonts(name: str) -> None:
    """PDF/UA-1 (ISO 14289-1): tagged (7.1), title shown, language given (7.2), fonts embedded (7.21.4)."""
    walk, found = lesson(name)
    with opened(handout_pdf(walk, found)) as document:
        root = document.Root
        assert root.MarkInfo.Marked
        assert root.StructTreeRoot
        assert root.ViewerPreferences.DisplayDocTitle
        assert str(root.Lang) == "en"
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
            assert metadata["dc:title"] == walk.title
        found_fonts = list(fonts(document))
        assert found_fonts
        assert all(any(key in font for key in ("/FontFile", "/FontFile2", "/FontFile3")) for font in found_fonts)
        assert any("LinewrightFigurines" in str(font.FontName) for font in found_fonts)
        assert 3 <= len(document.pages) <= 12


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("columns", [1, 2])
def test_paper_and_the_same_bytes_twice(paper: Any, columns: int) -> None:
    theme = Theme(paper=paper, columns=columns, trainer="Odile Brandt")
    walk = small("e4 then e5, a ring there", ("e4", "e4"), ("e5,", "e5"))
    pdf = handout_pdf(walk, theme=theme)
    assert pdf == handout_pdf(walk, theme=theme)
    with opened(pdf) as document:
        box = [float(number) for number in document.pages[0].MediaBox]
        assert box[2:] == pytest.approx(SIZES[paper], abs=0.5)


@needs_shared
@pytest.mark.parametrize("name", FOUR)
@pytest.mark.parametrize(("columns", "language"), [(1, "de"), (2, "fr")])
def test_no_line_runs_over_the_margin(name: str, columns: int, language: Any) -> None:
    """The outer 15 mm (of 17) of every page are bare, as rendered."""
    walk, found = lesson(name)
    theme = Theme(columns=columns, language=language, trainer="Odile Brandt")
    dots = 50
    data = typeset_data([handout_data(doubtful(walk), found, theme=theme, level=Depth.FULL)])
    for page in set_pictures("linewright.publish.handout", "handout.typ", data, dots):
        with image.open(io.BytesIO(page)) as picture:
            grey = picture.convert("L")
            edge = round(15 / 25.4 * dots)
            for left in (0, grey.width - edge):
                strip = grey.crop((left, 0, left + edge, grey.height))
                assert strip.getextrema()[0] > 250


def nodes_in(bits: tuple[Bit, ...]) -> Iterator[int]:
    for bit in bits:
        yield bit.node
        for aside in bit.asides:
            yield from nodes_in(aside)


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_a_book_holds_every_move_once(walk: Walk) -> None:
    for level in (Depth.CLUB, Depth.FULL):
        sections = book(walk, level)
        held = [node for section in sections for node in nodes_in(section.bits)]
        assert sorted(held) == [node.id for node in walk.nodes[1:]]
        labels = [section.label for section in sections]
        assert len(labels) == len(set(labels))
    for section in sections:
        assert walk.nodes[section.bits[0].node].parent == section.parent
        for bit in section.bits:
            assert all(walk.nodes[node].parent == walk.nodes[bit.node].parent for _, node in bit.refs)


@given(walks(most=14))
@settings(deadline=None, max_examples=12, suppress_health_check=list(HealthCheck))
def test_any_walk_can_be_set(walk: Walk) -> None:
    assert handout_pdf(walk, level=Depth.FULL).startswith(b"%PDF-1.7")


def test_a_talk_without_moves_can_be_set() -> None:
    assert handout_pdf(Walk(plain_talk("Nothing yet."), ())).startswith(b"%PDF")


LINES = (
    "e4 e5 f4 d5 — back to e4 c5 Nf3 — back to c5 c3 — back to Nf3 d6 g3 — back to d6 b3 — back to b3",
    *(("e4", "e4"), ("e5", "e5"), ("f4", "f4"), ("d5", "d5")),
    *(("back to e4", "<1"), ("c5", "c5"), ("Nf3", "Nf3")),
    *(("back to c5", "<5"), ("c3", "c3")),
    *(("back to Nf3", "<6"), ("d6", "d6"), ("g3", "g3")),
    *(("back to d6", "<8"), ("b3", "b3")),
)


def test_lines_are_lettered_as_a_book_letters_them() -> None:
    walk = small(*LINES)
    sections = book(walk)
    told = {s.label: [walk.nodes[bit.node].san for bit in s.bits] for s in sections}
    assert told == {"": ["e4", "e5", "f4", "d5"], "A": ["c5", "Nf3", "d6", "g3"], "A1": ["c3"], "A2": ["b3"]}
    assert [s.depth for s in sections] == [0, 1, 2, 2]
    assert sections[0].bits[1].refs == (("A", 5),)
    outline = book(walk, Depth.OUTLINE)
    assert [s.label for s in outline] == ["", "A"]


def test_levels_keep_more_and_more_words() -> None:
    text = "e4 leaning on the centre. The kettle boils. Black has an isolated pawn on d5. Good. So e5 thanks."
    walk = small(text, ("e4", "e4"), ("e5", "e5"))
    kept = [book(walk, level)[0].bits[0].comment for level in Depth]
    assert kept == [
        "",
        "Leaning on the centre. Black has an isolated pawn on d5.",
        "Leaning on the centre. The kettle boils. Black has an isolated pawn on d5. Good.",
    ]


@pytest.mark.parametrize(
    ("words", "set_as"),
    [(", leaning on it.", "Leaning on it."), ("e5 is weak", "e5 is weak."), ("why?", "Why?"), ("don't", "Don’t.")],
)
def test_sentences_stand_alone(words: str, set_as: str) -> None:
    assert tidy(words) == set_as


GAMES = FewGames(
    tuple([("e4 e5 f4 d5 exd5 e4 d3", "1-0")] * 30 + [("e4 e5 f4 exf4", "0-1")] * 10 + [("e4 c5 c3", "1/2-1/2")])
)


def test_scores_are_seen_from_the_lessons_side_and_rest_on_enough_games() -> None:
    walk = small(*LINES)
    main = book(walk)[0]
    score = score_of(walk, main, GAMES)
    assert score is not None
    assert (walk.nodes[score.node].san, score.games, score.score) == ("d5", 30, 1.0)
    other = score_of(replace(walk, side="black"), main, GAMES)
    assert other is not None
    assert (other.score, other.low, other.high) == pytest.approx((1 - score.score, 1 - score.high, 1 - score.low))
    few = score_of(walk, book(walk)[1], GAMES)
    assert few is not None
    assert (few.games, few.score) == (1, 0.5)
    assert few.games < ENOUGH_GAMES
    assert few.high - few.low > 0.5, "one game tells next to nothing, and its whisker says so"


def test_model_games_go_to_their_end() -> None:
    walk = small(*LINES)
    games = model_games(walk, book(walk), GAMES)
    first = games[0]
    assert (walk.nodes[first.node].san, first.moves, first.whole) == ("d5", ("e4d5", "e5e4", "d2d3"), True)
    long = FewGames((("e4 e5 f4 exf4 Nf3 g5 h4 g4 Ne5 Nf6 d4 d6 Nd3 Nxe4", "1-0"),))
    assert model_games(walk, book(walk), long)[0].moves[-1] == "f6e4", "asked for a few moves at a time"


def test_table_games_and_sign_come_from_what_is_known() -> None:
    walk = small(*LINES)

    class Known:
        def sign(self, fen: str) -> str | None:
            return "⩲" if " w " in fen else None

    evidence = gather(walk, book(walk), GAMES, Known())
    data = handout_data(walk, (), evidence)
    assert [row["label"] for row in data["summary"]] == ["Main line", "A", "A1", "A2"]
    assert data["summary"][0]["games"] == "30 after 2…d5"
    assert [row["sign"] for row in data["summary"]] == ["⩲", "", "", ""]
    assert data["models"][0]["heading"] == "Lind – Novak, Harbour Open 1998"
    assert handout_pdf(walk, (), evidence) != handout_pdf(walk)
    bare = handout_data(walk)
    assert not bare["whisker"] and not bare["models"]
    assert {row["games"] for row in bare["summary"]} == {""}


def test_marked_positions_are_printed_with_their_marks() -> None:
    walk = small("e4 e5 look here", ("e4", "e4"), ("e5", "e5"))
    mark = BoardMark("ring", ("e5",), 2, walk.talk.words[2].place)
    data = handout_data(replace(walk, marks=(mark,)))
    boards = [item for item in data["sections"][0]["items"] if item["kind"] == "board"]
    assert len(boards) == 1
    assert '<circle cx="50" cy="50" r="43"/>' in boards[0]["svg"]
    assert data["legend"].startswith("Marks")
    assert "rnbqkbnr/pppp1ppp" in boards[0]["alt"]


@given(walks())
@settings(deadline=None, max_examples=40, suppress_health_check=list(HealthCheck))
def test_exercises_ask_moves_of_the_lesson(walk: Walk) -> None:
    for exercise in exercises(walk):
        board = chess.Board(walk.nodes[exercise.node].fen)
        assert 1 <= len(exercise.answer) <= ANSWER
        for node in exercise.answer:
            board.push(chess.Move.from_uci(walk.nodes[node].uci))
            assert board.fen() == walk.nodes[node].fen


@needs_shared
def test_exercises_of_an_open_talk() -> None:
    walk, _ = lesson("panov")
    asked = exercises(walk)
    assert 4 <= len(asked) <= 6
    mates = [e for e in asked if e.task == "mate"]
    assert mates
    assert any("#" in walk.nodes[node].san for node in mates[0].answer)
    assert all(walk.nodes[e.node].fen.split()[1] == "w" for e in asked), "told from White's side"
    data = handout_data(walk)
    for shown, answer in zip(data["exercises"], data["answers"], strict=True):
        assert answer["moves"][0] not in shown["caption"] + shown["alt"]


@needs_shared
def test_what_fails_is_not_to_be_remembered() -> None:
    walk, found = lesson("panov")
    kept = " ".join(point.text for point in plans(walk, found))
    assert "The threat will be queen d3" in kept
    assert "isolated pawn on d4" in kept
    assert "isolated pawn of his own on e6" not in kept, "that claim fails"


def test_structure_is_told_in_the_language_of_the_theme() -> None:
    """An isolated queen's pawn and the open c file (common practice)."""
    board = chess.Board("r4rk1/pp3ppp/4p3/8/3P4/8/PP3PPP/R4RK1 w - - 0 1")
    assert "White: isolated pawn on d4" in list(facts(board, PLAIN))
    assert "Weiß: isolierter Bauer auf d4" in list(facts(board, Theme(language="de")))
    assert "Open: the c file" in list(facts(board, PLAIN))


@given(st.text(max_size=60))
@settings(deadline=None, max_examples=15)
def test_any_title_can_be_set(title: str) -> None:
    walk = replace(small("e4", ("e4", "e4")), talk=replace(plain_talk("e4"), title=title))
    assert handout_pdf(walk).startswith(b"%PDF")

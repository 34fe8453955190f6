"""Whole talks: small ones with every feature, and laws of any reading."""

from __future__ import annotations

import chess
import chess.polyglot
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.claims.reading_findings import describe_doubt
from linewright.lesson.walk import MoveStep, ReturnStep, Walk
from linewright.reading.answers import Answer
from linewright.reading.reader import read_talk
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text


def read(text: str) -> Walk:
    return read_talk(load_text(text, TalkFormat.TYPED, "talk.md"))


def told(walk: Walk) -> str:
    """Moves in order, "<" for a return."""
    return " ".join("<" if isinstance(s, ReturnStep) else s.san for s in walk.steps)


TALKS = [
    ("e4 e5 knight f3 knight c6", "e4 e5 Nf3 Nc6", "plain"),
    ("1.e4 e5 2.Nf3 Nc6 3.Bb5", "e4 e5 Nf3 Nc6 Bb5", "written"),
    ("E4, d5, takes, takes, knight c3.", "e4 d5 exd5 Qxd5 Nc3", "bare captures"),
    (
        "e4 c6 d4 d5 e5. Let's go back to d5. Instead of e5, White can play knight c3.",
        "e4 c6 d4 d5 e5 < Nc3",
        "a return that is announced and named",
    ),
    (
        "e4 e5 knight f3 knight c6 bishop b5 a6 bishop a4. Instead of bishop b5, bishop c4, and bishop c5.",
        "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 < Bc4 Bc5",
        "a return named by the move that is not played",
    ),
    (
        "e4 e5 knight f3 knight c6 bishop b5, what a bishop, a6, bishop a4, knight f6",
        "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6",
        "a piece's name before a comma is no part of the next move",
    ),
    ("e4, e5, knight c3, sorry, knight f3, knight c6", "e4 e5 Nf3 Nc6", "a correction"),
    ("e4 e5 knight f3. The pawn on e5 hangs. Knight c6.", "e4 e5 Nf3 Nc6", "a mention"),
    ("e4 e5 knight f3 knight c6. White would like d4 later. Bishop c4.", "e4 e5 Nf3 Nc6 Bc4", "a plan"),
    ("e4 e5. Knight f3, that's right, knight f3, and knight c6.", "e4 e5 Nf3 Nc6", "said twice, played once"),
    ("1.e4 e5 2.Nf3 Nc6 3.Bb5 a6 3...Nf6 4.O-O", "e4 e5 Nf3 Nc6 Bb5 a6 < Nf6 O-O", "a number goes back"),
    ("e4 e5 {here: A} Nf3 Nc6 {back: A} Nc3", "e4 e5 Nf3 Nc6 < Nc3", "a named position"),
    ("1.e4 e5 2.Nf3 Nc6 {back: 1...e5} f4", "e4 e5 Nf3 Nc6 < f4", "a return to a move"),
    ("1.e4 e5 {back: start} d4", "e4 e5 < d4", "a return to the start"),
    ("{start: 6k1/5ppp/8/8/8/8/8/R5K1 w - - 0 1} rook a8 is mate", "Ra8#", "another start position"),
    (
        "# Two ways\n\n1.e4 e5 2.Nf3 Nc6\n\n## After 1.e4 c5\n\nKnight f3, d6.",
        "e4 e5 Nf3 Nc6 < e4 c5 Nf3 d6",
        "a heading carries a line",
    ),
]


@pytest.mark.parametrize(("text", "line", "comment"), TALKS, ids=[row[2] for row in TALKS])
def test_small_talks(text: str, line: str, comment: str) -> None:
    assert told(read(text)) == line, comment


def test_an_impossible_move_is_unread_with_its_reason() -> None:
    walk = read("e4 e5 knight d5 knight f3")
    assert told(walk) == "e4 e5 Nf3"
    assert [(u.said.words, u.why.split(":")[0]) for u in walk.unread] == [("knight d5", "no knight can reach d5")]
    assert walk.unread[0].why.endswith("w KQkq - 0 2")


def test_marks_stand_where_they_were_set() -> None:
    walk = read("e4 e5 {ring: e5 d5} {path: g1-f3} Nf3 {cross: z9}")
    assert [(m.shape, m.squares, m.step) for m in walk.marks] == [
        ("ring", ("e5",), 2),
        ("ring", ("d5",), 2),
        ("path", ("g1", "f3"), 2),
    ]


def test_the_side_comes_from_the_mark_or_the_words() -> None:
    assert read("{side: black} e4 e5").side == "black"
    assert read("We look at it from the black side. e4 e5").side == "black"
    assert read("e4 e5").side == ""


@pytest.mark.parametrize("fen", ["nonsense", "8/8/8/8/8/8/8/8 w - - 0 1", "kk6/8/8/8/8/8/8/K7 w - - 0 1"])
def test_an_impossible_start_is_refused_with_its_place(fen: str) -> None:
    with pytest.raises(UnusableInput, match=r"^talk\.md:1:1: the start position"):
        read(f"{{start: {fen}}} e4")


def test_a_talk_without_moves_gives_an_empty_walk() -> None:
    assert read("Good evening.").steps == ()


def test_places_point_at_the_words() -> None:
    walk = read("Hello.\n\nWe play e4, then\nknight f6.")
    assert [(m.said.words, m.said.place.line, m.said.place.column) for m in walk.moves] == [
        ("e4,", 3, 9),
        ("knight f6.", 4, 1),
    ]


WORDS = st.sampled_from(
    "knight bishop rook queen king pawn e4 e5 d4 d5 c4 f3 c6 g6 takes castles check back instead so and the on to "
    "black white he we a b h , . Nf3 1.e4 4...d5 O-O mate other with".split()
)


@settings(deadline=None, max_examples=60)
@given(st.lists(WORDS, min_size=1, max_size=40).map(" ".join))
def test_whatever_is_read_is_legal_and_hangs_together(text: str) -> None:
    """Laws: every move is legal from its FEN; the tree and the steps agree; sure is a probability."""
    walk = read(text)
    at = 0
    for step in walk.steps:
        if isinstance(step, MoveStep):
            board = chess.Board(step.before)
            move = board.parse_uci(step.uci)
            assert board.san(move) == step.san
            board.push(move)
            assert board.fen() == step.after
            assert step.parent == at
            assert walk.nodes[step.parent].fen == step.before
            assert 0.0 <= step.sure <= 1.0
            assert all(0.0 <= other.sure <= 1.0 for other in step.instead)
        at = step.node
    starts = [s.said.first for s in walk.moves]
    assert starts == sorted(starts)


ANSWERED = "e4 e5 knight f3 knight c6 bishop c4 bishop c5"
OPEN_GAME = "rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2"


@pytest.mark.parametrize(
    "answer",
    [Answer(2, 4, "Nc3"), Answer(6, 8, ""), Answer(6, 8, "Bb5"), Answer(4, 6, "d4", OPEN_GAME)],
    ids=["another move", "no move", "another piece", "a return"],
)
def test_answers_are_obeyed(answer: Answer) -> None:
    walk = read_talk(load_text(ANSWERED, TalkFormat.TYPED, "talk.md"), answers=(answer,))
    settled = [m for m in walk.moves if m.said.first == answer.first]
    assert [m.san for m in settled] == ([answer.san] if answer.san else [])
    assert all(m.sure == 1.0 and not m.instead and m.before == (answer.before or m.before) for m in settled)


def test_an_impossible_answer_is_not_obeyed_and_spoils_nothing() -> None:
    walk = read_talk(load_text(ANSWERED, TalkFormat.TYPED, "talk.md"), answers=(Answer(2, 4, "Ra5"),))
    assert told(walk).startswith("e4 e5")
    assert all(m.said.first != 2 for m in walk.moves)


class Games:
    """A scripted base: after 1.e4 most play 1...e5."""

    def moves_played(self, keys: object) -> dict[int, dict[str, int]]:
        board = chess.Board()
        board.push_san("e4")
        return {chess.polyglot.zobrist_hash(board): {"e7e5": 80, "c7c5": 20}}


def test_a_move_that_went_unsaid_is_put_in_but_never_sure() -> None:
    walk = read_talk(load_text("1.e4, 2.Nf3 Nc6 3.Bb5 a6 4.Ba4 Nf6 5.O-O", TalkFormat.TYPED, "talk.md"), Games())
    assert told(walk) == "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O"
    unsaid = walk.moves[1]
    assert unsaid.said.words == "" and unsaid.sure <= 0.5
    assert "was not said" in str(describe_doubt(unsaid))
    assert "e5" not in told(read("1.e4, knight f3")), "without games nothing is obvious"

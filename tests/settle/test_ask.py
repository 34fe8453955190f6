"""Settling doubts: what is asked, what an answer does, the two dialogues, the file beside the talk."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from linewright.cli.main import app
from linewright.reading.answers import Answer, obeyed, parse
from linewright.reading.reader import read_talk
from linewright.settle.answers_file import answers_path, kept, load_answers, save_answers
from linewright.settle.machine import dialogue
from linewright.settle.places import PlaceKind, SettledMove
from linewright.settle.session import CannotBe, Session
from linewright.settle.terminal import doubts_left, ended, talk_through
from linewright.settle.text_board import board_text
from linewright.settle.typed_moves import named
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat as Format
from linewright.talk.load import load_text
from linewright.talk.model import Talk

#: Without games "bishop c5" may be said of either side's reply; the return after "or" is only hinted at.
TALK = (
    "e4 e5 knight f3 knight c6 bishop c4 bishop c5 castles knight f6 d3. The hole on h6 is no worry. "
    "Or rook e1, and then castles, and takes on f7."
)


def talk_of(text: str = TALK) -> Talk:
    return load_text(text, Format.TYPED, "talk.md")


def session_of(text: str = TALK, answers: Sequence[Answer] = (), **more: Any) -> Session:
    talk = talk_of(text)
    return Session(talk, lambda answers: read_talk(talk, answers=answers), answers, **more)


def told(session: Session) -> str:
    return " ".join(m.san for m in session.walk.moves)


def words(session: Session, answer: Answer) -> str:
    return session.talk.quote(answer.first, answer.last)


# -- questions ------------------------------------------------------------------------------------------------


def test_what_settles_most_is_asked_first_and_every_place_can_be_asked() -> None:
    session = session_of()
    found = session.open()
    assert [q.worth for q in found] == sorted((q.worth for q in found), reverse=True)
    assert all(0 < q.place.doubt <= 1 for q in found)
    spoken = {m.said.first for m in session.walk.moves if m.said.words}
    assert spoken <= {q.first for q in found}
    assert {"h6"} <= {q.place.said.words for q in found if q.place.kind is PlaceKind.PASSED}


def test_choices_are_legal_begin_with_the_reading_and_hold_no_move_and_other_positions() -> None:
    session = session_of()
    for _ in range(6):
        question = session.question()
        assert question is not None
        read = tuple(move for place in question.places for move in place.moves)
        assert question.choices[0].moves == read
        assert sum(not c.moves for c in question.choices) == 1
        assert len(question.choices) == len({tuple((m.san, m.before) for m in c.moves) for c in question.choices})
        for choice in question.choices[1:]:
            board = chess.Board(choice.moves[0].before) if choice.moves else chess.Board()
            for move in choice.moves:
                assert board.fen().split()[:4] == move.before.split()[:4]
                board.push_san(move.san)
        session.skip()


def test_sitting_ends_when_all_is_settled() -> None:
    session = session_of()
    asked = 0
    before = told(session)
    while session.question() is not None:
        session.choose(0)
        asked += 1
        assert asked < 40
    assert told(session) == before, "keeping everything as read changes nothing"
    assert session.asked == asked
    assert not session.unfit() and not session.doubtful()
    assert all(m.sure == 1.0 for m in session.walk.moves)


# -- answers --------------------------------------------------------------------------------------------------


def to(session: Session, said: str) -> None:
    """Skip to the question about some words."""
    for _ in range(40):
        question = session.question()
        assert question is not None, f"{said!r} is never asked about"
        if question.place.said.words.strip(".,") == said:
            return
        session.skip()
    raise AssertionError(said)


ANSWERS: list[tuple[str, Callable[[Session], None], list[tuple[str, str]], str]] = [
    ("h6", lambda s: s.nothing(), [("h6", "")], "no move"),
    ("h6", lambda s: s.tell(named(s, "after 4.O-O: h6")), [("h6", "h6")], "a move from another position"),
    (
        "knight c6",
        lambda s: s.tell([SettledMove("Na6")]),
        [("knight c6", "Na6")],
        "another move from the same position",
    ),
    ("e5", lambda s: s.tell(named(s, "d6")), [("e5", "d6")], "a pawn move"),
]


@pytest.mark.parametrize(("said", "act", "settled", "comment"), ANSWERS, ids=[row[3] for row in ANSWERS])
def test_answers_are_obeyed(
    said: str, act: Callable[[Session], None], settled: list[tuple[str, str]], comment: str
) -> None:
    session = session_of()
    to(session, said)
    act(session)
    assert [(words(session, a).strip(".,"), a.san) for a in session.answers] == settled
    assert all(obeyed(session.walk, a) for a in session.answers)


def test_an_answer_replaces_the_one_for_the_same_words_and_undo_brings_it_back() -> None:
    stored: list[tuple[Answer, ...]] = []
    session = session_of(keep=lambda old, new: stored.append(tuple(new)))
    first = session.walk
    to(session, "h6")
    session.nothing()
    after = session.answers
    assert session.undo() and session.answers == () and told(session) == " ".join(m.san for m in first.moves)
    assert stored == [after, ()]
    again = Session(session.talk, lambda a: read_talk(session.talk, answers=a), after)
    assert "h6" not in {q.place.said.words for q in again.open()}


def test_skipping_can_be_undone_and_settles_nothing() -> None:
    session = session_of()
    question = session.question()
    assert question is not None
    session.skip()
    assert session.answers == () and session.question() != question
    assert session.undo() and session.question() == question
    assert not session.undo()


def test_one_move_is_told_by_the_words_in_question() -> None:
    session = session_of()
    to(session, "rook e1")
    session.tell(named(session, "after start: d4"))
    assert [(words(session, a), a.san) for a in session.answers] == [("rook e1,", "d4")]


def test_several_moves_are_shared_out_over_the_words_passed_over() -> None:
    session = session_of("e4 e5. And then uh before nine free, yes, he goes knight c6 and bishop b5.")
    to(session, "knight c6")
    session.tell(named(session, "after 1.e4: e5 Nf3 Nc6"))
    assert [a.san for a in session.answers] == ["e5", "Nf3", "Nc6"]
    one, two, three = session.answers
    assert (words(session, one), words(session, three)) == ("e5.", "knight c6")
    assert one.last <= two.first and two.last <= three.first
    assert told(session).startswith("e4 e5 Nf3 Nc6 Bb5")


IMPOSSIBLE: list[tuple[Callable[[Session], None], str, str]] = [
    (lambda s: s.choose(99), "no choice 99", "no such choice"),
    (lambda s: s.choose(-1), "no choice -1", "a negative choice"),
    (lambda s: s.tell([SettledMove("Ra5")]), "Ra5 can't be played from any earlier position", "illegal everywhere"),
    (
        lambda s: s.tell([SettledMove("Nf3", chess.Board().fen()), SettledMove("Nf3")]),
        "can't be played from that",
        "illegal second",
    ),
    (lambda s: s.tell([SettledMove("Nf3", "somewhere")]), "not a valid FEN", "no FEN"),
    (lambda s: s.tell([]), "no move was named", "nothing"),
    (lambda s: s.tell([SettledMove("e4", "", (5, 5))]), "range of the talk's words", "no words"),
    (lambda s: s.tell(named(s, "hello there")), "names no move", "chat"),
    (lambda s: s.tell(named(s, "after 40.Ke2: Nf3")), "not in this lesson", "a move not told"),
    (
        lambda s: s.tell([SettledMove("Nf3" if i % 2 == 0 else "Nf6") for i in range(1)] * 90),
        "can't be played",
        "too many",
    ),
]


@pytest.mark.parametrize(("act", "says", "comment"), IMPOSSIBLE, ids=[row[2] for row in IMPOSSIBLE])
def test_what_cannot_be_is_refused_and_changes_nothing(act: Callable[[Session], None], says: str, comment: str) -> None:
    session = session_of()
    question = session.question()
    with pytest.raises(CannotBe, match=says):
        act(session)
    assert session.answers == () and session.question() == question and session.asked == 0


def test_a_wrong_board_leads_further_back() -> None:
    session = session_of()
    to(session, "d3")
    session.further_back()
    question = session.question()
    assert question is not None and question.last <= session.talk.text.index("d3")
    assert question.place.said.words in ("knight f6", "castles", "bishop c5", "bishop c4")


NAMED = [
    ("Nf3", "Nf3", "notation"),
    ("1.e4 e5 2.Nf3", "e4 e5 Nf3", "numbers"),
    ("e4, e5, Nf3!?", "e4 e5 Nf3", "commas and praise"),
    ("knight f3", "Nf3", "words"),
    ("pawn to e four and e five", "e4 e5", "words that play on"),
    ("1. e4", "e4", "a number of its own"),
]


@pytest.mark.parametrize(("text", "moves", "comment"), NAMED, ids=[row[2] for row in NAMED])
def test_moves_are_understood_as_typed(text: str, moves: str, comment: str) -> None:
    session = session_of("e4 e5 knight f3 knight c6")
    to(session, "e4")
    assert " ".join(m.san for m in named(session, text)) == moves


def test_a_move_that_may_be_two_is_not_guessed() -> None:
    session = session_of("d4 d5 knight f3 knight f6 bishop f4 e6 e3 knight d2")
    to(session, "knight d2")
    with pytest.raises(CannotBe, match="Nbd2 or Nfd2"):
        named(session, "knight d2")


# -- the board ------------------------------------------------------------------------------------------------


@given(st.integers(0, 2**32), st.booleans())
@settings(deadline=None, max_examples=50)
def test_the_board_shows_what_the_chess_library_shows(seed: int, below: bool) -> None:
    board = chess.Board()
    while seed and (moves := list(board.legal_moves)):
        board.push(moves[seed % len(moves)])
        seed //= len(moves)
    shown = board_text(board.fen(), below, figurines=False).splitlines()[:8]
    plain = [line[3:].ljust(16)[::2].replace(" ", ".") for line in shown]
    theirs = [row.replace(" ", "") for row in str(board).splitlines()]
    assert plain == ([row[::-1] for row in theirs[::-1]] if below else theirs)


def test_figurines_stand_for_pieces_and_dark_squares_are_hatched() -> None:
    rows = board_text(chess.STARTING_FEN).splitlines()
    assert rows[0] == " 8 ♜ ♞░♝ ♛░♚ ♝░♞ ♜░"
    assert rows[-1].split() == list("abcdefgh")


# -- the dialogue in the terminal -----------------------------------------------------------------------------


def typed(session: Session, *lines: str) -> str:
    """What the dialogue shows when these lines are typed; then the input ends."""
    out: list[str] = []
    waiting = iter(lines)

    def ask(prompt: str) -> str:
        try:
            return next(waiting)
        except StopIteration:
            raise EOFError from None

    talk_through(session, ask, out.append)
    return "\n".join(out)


def test_a_question_shows_place_words_board_and_choices() -> None:
    session = session_of()
    question = session.question()
    assert question is not None
    shown = typed(session, "q")
    place = question.place.said.place
    assert f"talk.md:{place.line}:{place.column}:" in shown
    assert f"[{question.place.said.words}]" in shown
    assert " to move" in shown and "a b c d e f g h" in shown
    assert "Enter  as read: " in shown and "no move, only mentioned" in shown
    assert "0 answered" in shown.splitlines()[-1]


def test_captions_show_the_time_and_black_sits_below_in_blacks_lesson() -> None:
    text = (
        "WEBVTT\n\n00:01.000 --> 00:09.000\nFor the black side: e4 c6 d4 d5\n\n"
        "01:11.000 --> 01:19.000\nor knight c3 and uh takes\n"
    )
    talk = load_text(text, Format.WEBVTT, "talk.vtt")
    session = Session(talk, lambda answers: read_talk(talk, answers=answers))
    shown = typed(session, *["s"] * 30)
    assert session.walk.side == "black"
    assert "(1:1" in shown and "h g f e d c b a" in shown


def test_typing_settles_skips_undoes_and_explains() -> None:
    session = session_of(f"{TALK} Maybe bishop b6, or a6, or knight a5. The pin on g5 is a nuisance.")
    shown = typed(session, "?", "", "foo bar", "77", "0", "s", "u", "u", "u", "1", "q")
    assert "Enter" in shown and "further back" in shown
    assert "names no move" in shown and "no choice 77" in shown and "nothing to undo" in shown
    assert "read again:" in shown
    assert session.asked == 1 and session.answers


def test_the_dialogue_ends_by_itself_when_nothing_doubtful_is_left() -> None:
    session = session_of("1.e4 e5 2.Nf3 Nc6 3.Bb5")
    shown = typed(session, *[""] * 20)
    assert "0 doubtful places left" in shown.splitlines()[-1]


@pytest.mark.parametrize(
    ("left", "words"), [(0, "0 doubtful places"), (1, "1 doubtful place"), (2, "2 doubtful places")]
)
def test_doubtful_places_are_counted_in_english(left: int, words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    session = session_of("1.e4 e5 2.Nf3 Nc6 3.Bb5")
    monkeypatch.setattr(Session, "doubtful", lambda _: left)
    monkeypatch.setattr(Session, "unfit", lambda _: [None] * left)
    assert doubts_left(session) == f"{words} left"
    assert ended(session).endswith(
        {0: "left", 1: ", 1 answer no longer fits the reading", 2: ", 2 answers no longer fit the reading"}[left]
    )


# -- the machine interface ------------------------------------------------------------------------------------


def machine(session: Session, *answers: Any) -> list[dict[str, Any]]:
    lines = (a if isinstance(a, str) else json.dumps(a) for a in answers)
    return [json.loads(line) for line in dialogue(session, lines)]


def test_questions_go_out_and_answers_come_in_a_line_each() -> None:
    session = session_of()
    out = machine(session, {"choose": 0}, {"do": "skip"}, {"do": "undo"}, {"moves": []}, {"do": "stop"})
    assert [next(iter(o)) for o in out] == ["question"] * 5 + ["done"]
    first = out[0]
    assert session.talk.quote(first["first"], first["last"]) == first["words"]
    assert TALK[int(first["start"]) : int(first["end"])] == first["words"]
    assert first["places"][0]["words"] == first["words"]
    assert [c["san"] for c in first["choices"][0]] == [m for p in first["places"] for m in p["moves"]]
    assert out[1]["question"] == 2 and out[2]["question"] == 3 and out[3]["question"] == 2
    assert out[1]["words"] == out[3]["words"]
    assert out[-1]["done"]["asked"] == 2 and out[-1]["done"]["settled"] == len(session.answers)


def test_moves_come_with_positions_and_words() -> None:
    session = session_of("e4 e5 knight f3 knight c6")
    before = chess.Board("rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2").fen()
    out = machine(session, {"moves": [{"san": "Nc3", "from": before, "words": [2, 4]}, "Nf6"], "note": "mine"})
    assert "for all moves" in out[1]["error"]
    told_so = [
        {"san": "e4", "from": chess.STARTING_FEN, "words": [0, 1]},
        {"san": "e5", "from": "rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq - 0 1", "words": [1, 2]},
        {"san": "Nc3", "from": before, "words": [2, 4]},
    ]
    out = machine(session, {"moves": told_so}, {"do": "stop"})
    assert "error" not in out[1]
    assert Answer(2, 4, "Nc3", " ".join(before.split()[:4])) in session.answers
    assert told(session).startswith("e4 e5 Nc3")


WRONG = [
    ("nonsense", "not a JSON object"),
    ("[1]", "an answer has"),
    ('{"choose": "1"}', "an answer has"),
    ('{"choose": 1234}', "no choice 1234"),
    ('{"do": "dance"}', "an answer has"),
    ('{"moves": [7]}', "7 is not a move"),
    ('{"moves": [{"san": "Nf3", "words": "all"}]}', "is not a move"),
    ('{"moves": ["Ra5"]}', "can't be played"),
    ('{"do": "undo"}', "nothing to undo"),
    ('{"moves": "Nf3"}', "an answer has"),
]


@pytest.mark.parametrize(("line", "says"), WRONG, ids=[row[0] for row in WRONG])
def test_wrong_answers_are_told_and_the_question_stays(line: str, says: str) -> None:
    session = session_of()
    question, error, done = machine(session, line, {"do": "stop"})
    assert says in error["error"]
    assert "question" in question and done["done"]["asked"] == 0


@given(st.lists(st.recursive(st.none() | st.booleans() | st.integers() | st.text(max_size=5), st.lists, max_leaves=4)))
@settings(deadline=None, max_examples=25)
def test_no_json_breaks_the_machine_interface(answers: list[Any]) -> None:
    session = session_of("e4 e5 knight f3")
    out = machine(session, *({"choose": a, "moves": a} for a in answers), {"do": "stop"})
    assert list(out[-1]) == ["done"]


# -- the file beside the talk ---------------------------------------------------------------------------------


def test_answers_are_stored_and_found_again(tmp_path: Path) -> None:
    path = tmp_path / "talk.md"
    path.write_text(TALK)
    talk = talk_of()
    assert load_answers(path, talk).answers == ()
    new = (Answer(2, 4, "Nc3"), Answer(16, 20, ""))
    save_answers(path, talk, (), new)
    assert load_answers(path, talk).answers == new
    assert answers_path(path).name == "talk.md.answers"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["talk.md", "talk.md.answers"]


def test_a_sitting_writes_each_answer_once(tmp_path: Path) -> None:
    path = tmp_path / "talk.md"
    talk = talk_of()
    session = session_of(keep=lambda old, new: save_answers(path, talk, old, new))
    to(session, "h6")
    session.nothing()
    while session.question() is not None and len(session.answers) < 4:
        session.choose(0)
    session.undo()
    lines = [line for line in answers_path(path).read_text().splitlines() if not line.startswith("#")]
    assert len(lines) == len(set(lines)) == len(session.answers)
    assert load_answers(path, talk).answers == session.answers
    assert not load_answers(path, talk).troubles


def test_what_the_user_wrote_stays_when_answers_change(tmp_path: Path) -> None:
    path = tmp_path / "talk.md"
    talk = talk_of()
    one, two = Answer(2, 4, "Nc3"), Answer(4, 6, "Nf6")
    save_answers(path, talk, (), (one,))
    file = answers_path(path)
    mine = "# mine, \udcff not UTF-8\r\nnot an answer\r\n0:0 | Nf3 | nowhere [to be found at all] here\r\n"
    file.write_bytes((file.read_text().replace("\n", "\r\n") + mine).encode("utf-8", "surrogateescape"))
    save_answers(path, talk, (one,), (two,))
    text = file.read_bytes().decode("utf-8", "surrogateescape")
    assert text.endswith(mine) or mine.splitlines()[0] in text
    assert all(line in text for line in mine.splitlines()) and "\n" not in text.replace("\r\n", "")
    held = load_answers(path, talk)
    assert held.answers == (two,)
    number = text.splitlines().index("not an answer") + 1
    assert any(f"{file}:{number}: can't be read as an answer" in t for t in held.troubles)
    assert any(f"{file}:{number + 1}: the place of this answer can't be found" in t for t in held.troubles)


def test_of_two_answers_for_the_same_words_the_later_counts(tmp_path: Path) -> None:
    text = "1:1 | Nc3 | e5 [knight f3] knight\n1:1 | Nh3 | [f3] knight c6"
    held = kept(tmp_path / "t.answers", text, talk_of())
    assert [a.san for a in held.answers] == ["Nh3"]
    assert len(held.troubles) == 1 and "t.answers:1: line 2 settles the same words" in held.troubles[0]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(UnusableInput, match="can't be written"):
            save_answers(tmp_path / "talk.md", talk_of(), (), (Answer(0, 1, ""),))
    finally:
        tmp_path.chmod(0o700)


def test_a_failed_write_leaves_the_file_and_the_sitting_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "talk.md"
    talk = talk_of()
    save_answers(path, talk, (), (Answer(2, 4, "Nc3"),))
    before = answers_path(path).read_bytes()
    session = session_of(
        answers=load_answers(path, talk).answers, keep=lambda old, new: save_answers(path, talk, old, new)
    )

    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(UnusableInput, match="No space left"):
        session.choose(0)
    assert answers_path(path).read_bytes() == before
    assert session.answers == (Answer(2, 4, "Nc3"),) or session.answers[0].san == "Nc3"
    assert [p.name for p in tmp_path.iterdir()] == ["talk.md.answers"]


# -- the commands ---------------------------------------------------------------------------------------------


@pytest.fixture
def talk_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    path = tmp_path / "talk.md"
    path.write_text(TALK)
    yield path


def run(*arguments: object, typed: str = "") -> Result:
    return CliRunner().invoke(app, [str(a) for a in arguments], input=typed)


def test_answers_given_in_the_terminal_count_in_every_command(talk_path: Path, tmp_path: Path) -> None:
    result = run("read", talk_path, "--ask", typed="after 4.O-O: h6\nq\n")
    assert result.exit_code == 0, result.output
    answers = answers_path(talk_path)
    assert " | h6 | " in answers.read_text()
    moves = json.loads(run("read", talk_path, "--json").stdout)["moves"]
    assert "h6" in [m["san"] for m in moves if m["sure"] == 1.0]
    assert "h6" in run("read", talk_path, "--pgn").stdout
    assert run("build", talk_path, "-o", tmp_path / "out").exit_code == 0
    assert any("h6" in p.read_text() for p in (tmp_path / "out").glob("*.pgn"))


def test_the_machine_interface_talks_over_pipes(talk_path: Path) -> None:
    result = run("read", talk_path, "--ask", "--json-lines", typed='{"choose": 0}\n{"do": "stop"}\n')
    assert result.exit_code == 0, result.output
    out = [json.loads(line) for line in result.stdout.splitlines()]
    assert [next(iter(o)) for o in out] == ["question", "question", "done"]
    assert answers_path(talk_path).exists()


def test_what_no_longer_fits_is_reported_by_line_and_kept(talk_path: Path) -> None:
    file = answers_path(talk_path)
    text = "# mine\n1:7 | Ra5 | e5 [knight f3] knight c6\nbroken\n1:1 | e4 | [words that are gone] from here\n"
    file.write_text(text)
    for command in (["read"], ["check"], ["read", "--ask"]):
        result = run(command[0], talk_path, *command[1:])
        assert f"{file}:2: this answer no longer fits: Ra5 can't be played there" in result.stderr
        assert f"{file}:3: can't be read as an answer" in result.stderr
        assert f"{file}:4: the place of this answer can't be found" in result.stderr
    assert file.read_text() == text


def test_answers_survive_edits_of_the_talk(talk_path: Path) -> None:
    talk = talk_of()
    first = TALK.split().index("h6")
    save_answers(talk_path, talk, (), (Answer(first, first + 1, ""),))
    talk_path.write_text("Good evening, and welcome.\n\n" + TALK.replace("is no worry", "doesn't matter"))
    result = run("read", talk_path)
    assert "answer" not in result.stderr.replace(str(talk_path.parent), "")
    held = load_answers(talk_path, load_text(talk_path.read_text(), Format.TYPED, "talk.md"))
    assert [held.path.name, held.troubles, len(held.answers)] == ["talk.md.answers", (), 1]


# -- what the docs say ----------------------------------------------------------------------------------------

DOCS = Path(__file__).resolve().parents[2] / "docs"


def test_the_answers_shown_can_be_read() -> None:
    block = (
        (DOCS / "talks.md").read_text("utf-8").split("### The answers file")[1].split("```text\n")[1].split("```")[0]
    )
    lines = parse(block)
    assert [line.problem for line in lines] == [""] * 3
    assert [line.note.san for line in lines if line.note is not None] == ["Nf3", ""]


def test_the_docs_name_what_a_question_holds() -> None:
    block = (
        (DOCS / "scripting.md")
        .read_text("utf-8")
        .split("## Settling doubts by program")[1]
        .split("```text\n")[1]
        .split("\n\n")[0]
    )
    question = machine(session_of())[0]
    said = re.findall(r'"(\w+)"', block.replace('"move" | "return" | "passed over"', ""))
    inside = [*question["places"][0], *question["choices"][0][0]]
    assert sorted(said) == sorted([*question, *inside])

"""Each threshold of ``practice``: what lies on it, and what lies just short of it."""

from __future__ import annotations

import random
import re
import uuid
from dataclasses import replace
from pathlib import Path

import chess
import pytest

from linewright.engine.model import EngineVerdict, Line, Score
from linewright.lesson.walk import Walk
from linewright.practice.classes.class_report import class_report
from linewright.practice.classes.link_tokens import new_token
from linewright.practice.classes.store import Store
from linewright.practice.drills.choices import chosen
from linewright.practice.drills.drill import Accepted, Drill, Source, Standing, Task, Wrong, key_of
from linewright.practice.drills.drill_maker import make_drills
from linewright.practice.drills.judged_moves import JudgedMoves
from linewright.practice.drills.meeting_chances import share
from linewright.practice.drills.plan_drills import plan_drills
from linewright.practice.drills.playing_drills import tabiyas
from linewright.practice.drills.punishments import judged, punished
from linewright.practice.drills.sentence_drills import said_drills
from linewright.practice.drills.square_drills import square_drills
from linewright.practice.drills.taught_moves import TaughtMoves, equally_good
from linewright.practice.outputs.cards import COLUMNS, cards_of
from linewright.practice.outputs.sheet import sheet_data
from linewright.practice.schedule.log import EntryKind, LogEntry, entry_json, entry_of_json
from linewright.practice.schedule.settings import DAY
from linewright.publish.theme import PLAIN
from linewright.support.errors import UnusableInput
from tests.practice.logs import START
from tests.practice.talks import Few, after, replies, told
from tests.practice.test_drills import Studied
from tests.support import plain_talk

E4 = "e2e4"


def long_line(plies: int) -> str:
    """Moves of a long game in which no position stands twice, in SAN: pawns and knights by chance."""
    chance = random.Random(3)
    board, moves, seen = chess.Board(), [], set()
    while len(moves) < plies:
        options = [m for m in board.legal_moves if not board.is_capture(m) and not board.gives_check(m)]
        move = chance.choice(options)
        board.push(move)
        if key_of(board.fen()) in seen:
            board.pop()
            continue
        seen.add(key_of(board.fen()))
        moves.append(move)
    return chess.Board().variation_san(moves)


def sans(plies: int) -> str:
    return re.sub(r"\d+\.+ ", "", long_line(plies))


# Which positions are drilled.


def test_moves_are_asked_for_forty_half_moves() -> None:
    asked = [d for d in make_drills(told(sans(60)), side="white").drills if d.task is Task.ANSWER]
    assert max(len(drill.line) for drill in asked) == 38, "the twentieth move of White, not the twenty-first"


@pytest.mark.parametrize(("plies", "played"), [(13, False), (14, True), (15, True)])
def test_playing_on_begins_at_fourteen_half_moves(plies: int, played: bool) -> None:
    (drill, *_), found = [*tabiyas(told(sans(plies)), (), chess.WHITE), None], played
    assert (drill is not None) is found


def test_playing_on_asks_for_twelve_moves_and_four_tenths() -> None:
    (drill,) = tabiyas(told(sans(14)), (), chess.WHITE)
    assert drill.goal is not None
    assert (drill.goal.moves, drill.goal.least) == (12, 0.4)


OPEN_FILE = "e4 d5 exd5 Qxd5 d4 e5 dxe5 Qxd1+ Kxd1 Nc6 Nf3"


@pytest.mark.parametrize(("plies", "asked"), [(9, False), (10, True), (11, True)])
def test_squares_are_asked_from_ten_half_moves_on(plies: int, asked: bool) -> None:
    found = tuple(square_drills(told(" ".join(OPEN_FILE.split()[:plies])), (), chess.WHITE))
    assert bool(found) is asked


def test_two_questions_about_the_squares_of_one_position() -> None:
    line = "e4 d5 exd5 Qxd5 d4 e5 dxe5 Qxd1+ Kxd1 Nc6 f4 f6 exf6 Nxf6 Nf3 Bg4 h3 Bxf3+ gxf3"
    assert len(tuple(square_drills(told(line), (), chess.WHITE))) == 2


def test_four_squares_to_tap_at_most() -> None:
    """White's five isolated pawns are too many to tap, Black's four are not."""
    fen = "4k3/p1p1p1p1/8/8/8/8/P1P1P1PP/4K3 w - - 0 1"
    walk = told(sans(12))
    shown = replace(walk.steps[-1], after=fen)
    found = tuple(square_drills(replace(walk, steps=(*walk.steps[:-1], shown)), (), chess.WHITE))
    assert {len(d.squares) for d in found if "isolated" in d.asked} <= {3, 4}
    assert any(len(d.squares) == 4 for d in found)


#: A line of 13 half-moves with two branches, and plans of the games after their ends.
BRANCHES = "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d3 (d4 exd4 cxd4 Bb4+ Nc3 Nxe4 O-O) d6 O-O a6 Bb3 (a4 Ba7 Re1)"
PLANS = (("Re1", "d5", "a3"), ("Nbd2", "Re1", "h3"), ("h3", "Be3", "d4"))


def studied(walk: Walk, games: int = 20) -> Studied:
    ends = [key_of(n.fen) for n in walk.nodes if n.san in ("O-O", "Bb3", "Re1") and n.ply > 11]
    return Studied(dict(zip(ends, PLANS, strict=False)), games)


@pytest.mark.parametrize(("games", "asked"), [(9, 0), (10, 3)])
def test_a_plan_must_have_been_played_in_ten_games(games: int, asked: int) -> None:
    walk = told(BRANCHES)
    assert len(list(plan_drills(walk, frozenset(), chess.WHITE, {}, studied(walk, games)))) == asked


@pytest.mark.parametrize(("plies", "looked_up"), [(12, 0), (13, 1)])
def test_plans_are_looked_up_from_twelve_half_moves_on(plies: int, looked_up: int) -> None:
    """White's last move is the eleventh half-move of twelve, the thirteenth of thirteen."""
    games = Studied({})
    assert list(plan_drills(told(sans(plies)), frozenset(), chess.WHITE, {}, games)) == []
    assert games.asked == [6] * looked_up, "the six most played replies"


def test_twelve_positions_of_a_lesson_are_looked_up() -> None:
    """Fourteen lines part after twelve half-moves."""
    board = chess.Board(after(sans(12)))
    moves = [board.san(m) for m in board.legal_moves if not board.is_capture(m) and not board.gives_check(m)][:14]
    assert len(moves) == 14
    walk = told(f"{sans(12)} {moves[0]} " + " ".join(f"({move})" for move in moves[1:]))
    games = Studied({})
    assert list(plan_drills(walk, frozenset(), chess.WHITE, {}, games)) == []
    assert len(games.asked) == 12


# What counts as right, and how wrong moves are punished.


@pytest.mark.parametrize(("games", "counts"), [(29, False), (30, True)])
def test_thirty_games_speak_for_a_move(games: int, counts: bool) -> None:
    found = replies(chess.Board(), {"e4": (1000, 500.0), "d4": (games, games / 2)})
    assert bool(tuple(equally_good(found, {E4}, {E4}))) is counts


@pytest.mark.parametrize(
    ("games", "chance"),
    [(20, 0.002), (40, 0.002), (10, 0.5 * 0.002 + 0.5 * 0.25)],
    ids=["on it", "above", "half way to it"],
)
def test_how_likely_an_unplayed_reply_is(games: int, chance: float) -> None:
    known = Few({key_of(chess.STARTING_FEN): {"e4": (games, games / 2)}})
    assert share(chess.Board(), "a2a3", 3, known) == pytest.approx(chance)


@pytest.mark.parametrize(("points", "punishes"), [(70.0, True), (55.0, False)])
def test_a_reply_punishes_when_its_interval_lies_above_a_half(points: float, punishes: bool) -> None:
    """Of 100 games 70 points are 60 to 78 % (Wilson), 55 are 45 to 64 %."""
    walk = told("e4 e5 Nf3 Nc6")
    board = chess.Board(after("e4"))
    games = Few({key_of(after("e4")): {"a5": (100, 50.0)}, key_of(after("e4 a5")): {"d4": (100, points)}})
    found = punished(walk, TaughtMoves(walk, ()), board, (), games)
    assert any(wrong.source is Source.GAMES for wrong in found) is punishes


@pytest.mark.parametrize(("number", "looked_up"), [(5, True), (6, False)])
def test_the_six_most_played_moves_are_looked_up(number: int, looked_up: bool) -> None:
    moves = ["a5", "a6", "b6", "h5", "h6", "g5", "f6"]
    first = {san: (100 - index, 50.0) for index, san in enumerate(moves)}
    bad = moves[number]
    games = Few({key_of(after("e4")): first, key_of(after(f"e4 {bad}")): {"d4": (100, 80.0)}})
    walk = told("e4 e5")
    found = punished(walk, TaughtMoves(walk, ()), chess.Board(after("e4")), (), games)
    assert any(w.san == bad and w.source is Source.GAMES for w in found) is looked_up


def test_a_pawn_is_the_least_that_the_board_shows_as_a_punishment() -> None:
    board = chess.Board("4k3/8/3p4/8/4P3/8/8/4K3 w - - 0 1")  # e5 loses the pawn, other moves lose nothing
    walk = Walk(plain_talk("nothing yet"), (), start=board.fen())
    found = punished(walk, TaughtMoves(walk, ()), board, (), None)
    assert [(wrong.san, wrong.why) for wrong in found] == [("e5", "wins 1 point of material")]


class Scripted:
    """An engine that gives each position after a move a score in centipawns, White's."""

    def __init__(self, scores: dict[str, int]) -> None:
        self.scores = scores

    def verdicts(self, positions: list[chess.Board]) -> list[EngineVerdict]:
        lines = ("e7e5", "g1f3", "b8c6", "f1b5")
        return [
            EngineVerdict(b.epd(), (Line(Score(self.scores[b.peek().uci()]), None, lines),), "Scripted", 1, 1)
            for b in positions
        ]


@pytest.mark.parametrize(("centipawns", "wrong"), [(-30, True), (15, False), (25, False)])
def test_what_a_move_must_cost_to_be_wrong_against_the_games(centipawns: int, wrong: bool) -> None:
    """A move that the games show equally good stays so unless it costs 0.06 of expected score."""
    board = chess.Board()
    fine = (Accepted(E4, "e4"), Accepted("d2d4", "d4", Standing.EQUAL, "100 games"))
    moves, bad = judged(board, fine, (), ("d2d4",), Scripted({E4: 30, "d2d4": centipawns}))
    assert ("d2d4" in {move.uci for move in bad}) is wrong
    assert ("d2d4" in {move.uci for move in moves}) is not wrong
    if wrong:
        assert isinstance(bad[0], Wrong) and len(bad[0].reply) == 3, "the blow, the defence, the second blow"


# Words at a move.


@pytest.mark.parametrize(("between", "blamed"), [(7, True), (8, True), (9, False)])
def test_nine_words_around_a_move_judge_it(between: int, blamed: bool) -> None:
    text = f"e4 e5 Nf3 f6 {'well ' * between}mistake but we go on from here and so on"
    assert bool(JudgedMoves(told(text)).mistakes) is blamed


def test_a_quoted_sentence_is_cut_before_and_behind_its_move() -> None:
    text = f"e4 e5. {'so ' * 20}Nf3 {'and ' * 40}on."
    walk = told(text)
    sentence = JudgedMoves(walk).sentence(2)
    before, behind = sentence.split("Nf3")
    assert len([w for w in before.split() if w != "…"]) == 14
    assert len([w for w in behind.split() if w != "…"]) == 26


def test_sentences_are_asked_from_five_words_and_two_of_the_trade_on() -> None:
    """Each sentence at a position of its own, so that there are others to choose from."""
    parts = []
    for index, move in enumerate("Nf3 Nf6 Nc3 Nc6 Rb1 Rb8 Rg1 Rg8 Nb5 Nb4 Nfd4 Nfd5".split()):
        man = ("white", "bishop", "pawn", "attack")[index % 4]
        parts.append(f"{move}. The {man} number {index} is better. ")
    walk = told("".join(parts))
    asked = [d for d in said_drills(walk, (), chess.WHITE) if d.task is Task.SAID]
    assert len(asked) == 6, "six of a kind"
    assert all(len(d.choices) == 4 for d in asked), "four to choose from"


@pytest.mark.parametrize(
    ("sentence", "kept"),
    [
        ("This bishop is now better.", True),
        ("That bishop is better.", False),  # four words
        ("This bishop is now very famous.", False),  # one word of the trade
    ],
)
def test_what_a_sentence_must_hold_to_be_asked(sentence: str, kept: bool) -> None:
    others = "".join(
        f"{move}. The rook number {n} is really much better. "
        for n, move in enumerate("Nf6 Nc3 Nc6 Rb1 Rb8".split())  # pieces: after a small letter no sentence ends
    )
    walk = told(f"Nf3. {sentence} {others}")
    found = {text for d in said_drills(walk, (), chess.WHITE) for text in d.choices}
    words = {d.words for d in said_drills(walk, (), chess.WHITE)}
    assert (sentence in found | words) is kept


def test_four_answers_are_offered() -> None:
    answers, right = chosen("yes", ["a", "b", "c", "d", "e"], "seed")
    assert len(answers) == 4 and answers[right] == "yes"


def test_a_drills_name_has_sixteen_digits() -> None:
    (drill, *_) = make_drills(told("e4 e5 Nf3 Nc6"), side="white").drills
    assert re.fullmatch("[0-9a-f]{16}", drill.id)


# What leaves.


def question(number: int) -> Drill:
    return Drill(f"{number:016x}", Task.ANSWER, chess.STARTING_FEN, "white", "?", moves=(Accepted(E4, "e4"),))


def test_a_sheet_has_four_pages_of_six() -> None:
    assert len(sheet_data([question(n) for n in range(40)], "Lesson", PLAIN)["drills"]) == 24


@pytest.mark.parametrize(("length", "kept"), [(4000, 4000), (4001, 4000)])
def test_the_longest_field_of_a_card(tmp_path: Path, length: int, kept: int) -> None:
    file = tmp_path / "cards.csv"
    row = {"fen": chess.STARTING_FEN, "question": "?", "moves": "e4", "words": "w" * length}
    file.write_text(",".join(COLUMNS) + "\n" + ",".join(row.get(name, "") for name in COLUMNS) + "\n")
    (found,) = cards_of(file)
    assert isinstance(found, Drill) and len(found.words) == kept


# The log, and classes.


def entry(**changed: object) -> dict[str, object]:
    log = LogEntry(str(uuid.UUID(int=1, version=4)), EntryKind.REVIEW, "0" * 16, START, 3, "e2e4", 1000)
    return {**entry_json(log), **changed}


def test_answers_are_cut_and_pauses_end() -> None:
    assert len(entry_of_json(entry(answer="x" * 100)).answer) == 64
    assert entry_of_json(entry(took=10**9)).took == 10 * 60 * 1000


@pytest.mark.parametrize(
    ("at", "kept"),
    [(1_577_836_800_000, True), (1_577_836_799_999, False), (4_733_510_400_000, True), (4_733_510_400_001, False)],
)
def test_clocks_count_from_2020_to_2120(at: int, kept: bool) -> None:
    if kept:
        assert entry_of_json(entry(at=at)).at == at
    else:
        with pytest.raises(ValueError, match="at is not a whole number"):
            entry_of_json(entry(at=at))


@pytest.mark.parametrize(
    ("retention", "minutes", "fine"),
    [(0.7, 10, True), (0.69, 10, False), (0.97, 10, True), (0.98, 10, False), (0.9, 1, True), (0.9, 240, True),
     (0.9, 0.5, False), (0.9, 241, False)],
)  # fmt: skip
def test_figures_that_a_class_may_have(tmp_path: Path, retention: float, minutes: float, fine: bool) -> None:
    with Store.open(f"sqlite:///{tmp_path / 'classes.sqlite'}") as store:
        if fine:
            store.new_class("A", retention, minutes)
        else:
            with pytest.raises(UnusableInput):
                store.new_class("A", retention, minutes)


def test_usual_figures_of_a_class(tmp_path: Path) -> None:
    with Store.open(f"sqlite:///{tmp_path / 'classes.sqlite'}") as store:
        made = store.new_class("A")
        assert (made.retention, made.minutes) == (0.9, 10)


def test_names_and_links_have_their_lengths(tmp_path: Path) -> None:
    assert len(new_token()) == 32, "24 bytes"
    with Store.open(f"sqlite:///{tmp_path / 'classes.sqlite'}") as store:
        store.new_class("n" * 200)
        with pytest.raises(UnusableInput):
            store.new_class("n" * 201)


def test_a_report_counts_seven_days_five_answers_and_twenty_positions(tmp_path: Path) -> None:
    drills = [question(number) for number in range(25)]
    now = START + 30 * DAY
    log = []
    for number, drill in enumerate(drills):
        for index in range(4 if number == 24 else 5):
            at = now - (7 * DAY - 1 if index else 7 * DAY)
            name = str(uuid.UUID(int=number * 10 + index, version=4))
            log.append(LogEntry(name, EntryKind.REVIEW, drill.id, at, 1, "d2d4", 1000))
    with Store.open(f"sqlite:///{tmp_path / 'classes.sqlite'}") as store:
        mine = store.new_class("A")
        store.put_lesson(mine.id, "Lesson", drills)
        pupil, _ = store.add_pupil(mine.id, "P")
        store.sync(pupil.id, log)
        report = class_report(store, mine.id, now)
    assert len(report.missed) == 20
    assert drills[24].id not in {missed.drill.id for missed in report.missed}, "four answers are too few"
    (practised,) = report.pupils
    assert (practised.answers, practised.lately) == (124, 99), "what lies seven days back is no longer lately"

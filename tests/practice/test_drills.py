"""Drills from walks: accepted moves against the walk's own PGN re-read, mistakes told, replies equally good."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import chess
import chess.pgn
import pytest
from hypothesis import given, settings

from linewright.board.naming import side_name
from linewright.engine.model import EngineVerdict, Line, Score
from linewright.games.api import FollowUpPlan, Proportion, Reply, Scored, StudiedReply, Study, Trend
from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.walk import MoveStep, ReturnStep, Walk
from linewright.practice.drills.drill import Drill, Source, Standing, Task, drill_json, drill_of_json, key_of, merged
from linewright.practice.drills.drill_maker import make_drills
from linewright.practice.drills.drill_paths import drill_paths
from linewright.practice.drills.judged_moves import JudgedMoves
from linewright.practice.drills.meeting_chances import reaches, share
from linewright.practice.drills.plan_drills import plan_drills
from linewright.practice.drills.punishments import judged, punished
from linewright.practice.drills.sentence_drills import said_drills
from linewright.practice.drills.square_drills import square_drills
from linewright.practice.drills.taught_moves import TaughtMoves, accepted, equally_good
from tests.lesson.walks import walks
from tests.practice.talks import Few, after, replies, told
from tests.publish.samples import lesson
from tests.support import needs_shared, plain_talk, said

NAMES = ("panov", "scotch", "benoni", "slav")


def moves_of(drills: tuple[Drill, ...], fen: str) -> set[str]:
    """Taught moves of a position, in SAN."""
    return {m.san for d in drills if key_of(d.fen) == key_of(fen) and d.moves for m in d.taught}


# What the walk teaches, against its own PGN as the chess library reads it.


@needs_shared
@pytest.mark.parametrize("name", NAMES)
def test_accepted_moves_are_those_of_the_pgn(name: str) -> None:
    """Every variation of the walk's PGN, re-read by ``chess.pgn``: per position (whatever the order of moves) the moves
    of the pupil's side, less those told as mistakes."""
    walk, findings = lesson(name)
    made = make_drills(walk, findings).drills
    sides = [walk.side == "white"] if walk.side else [True, False]
    bad = {
        (key_of(walk.nodes[walk.nodes[n].parent or 0].fen), walk.nodes[n].uci)
        for n in JudgedMoves(walk, findings).mistakes
    }
    in_pgn: dict[str, set[str]] = {}
    game = chess.pgn.read_game(io.StringIO(walk_to_pgn(walk)))
    assert game is not None
    stack: list[chess.pgn.GameNode] = [game]
    while stack:
        node = stack.pop()
        stack += node.variations
        key = key_of(node.board().fen())
        if node.board().turn in sides and node.ply() < 40:
            in_pgn.setdefault(key, set()).update(
                child.move.uci() for child in node.variations if (key, child.move.uci()) not in bad
            )
    expected = {key: moves for key, moves in in_pgn.items() if moves}
    got = {
        key_of(d.fen): {move.uci for move in d.taught} for d in made if d.moves and (d.fen.split()[1] == "w") in sides
    }
    assert got == expected
    assert len(expected) > 20


@given(walks(25))
@settings(deadline=None, max_examples=30)
def test_every_drill_of_any_walk_is_sound(walk: Walk) -> None:
    made = make_drills(walk, side="both")
    assert len({d.id for d in made.drills}) == len(made.drills)
    for drill in made.drills:
        board = chess.Board(drill.fen)
        assert drill_of_json(json.loads(json.dumps(drill_json(drill)))) == drill
        for move in (*drill.moves, *drill.wrong):
            assert board.san(chess.Move.from_uci(move.uci)) == move.san
        assert not {m.uci for m in drill.moves} & {m.uci for m in drill.wrong}
        for wrong in drill.wrong:
            reply = chess.Board(drill.fen)
            reply.push_uci(wrong.uci)
            for san in wrong.reply:
                reply.push_san(san)
        way = chess.Board(drill.start)
        for uci in drill.line:
            way.push_uci(uci)
        assert key_of(way.fen()) == key_of(drill.fen)
        assert 0 <= drill.reach <= 1
        assert drill.task is not Task.SQUARES or drill.squares or drill.choices
        assert not drill.choices or len(set(drill.choices)) == len(drill.choices) > drill.right


@given(walks(12))
@settings(deadline=None, max_examples=15)
def test_a_talk_made_into_drills_twice_gives_the_same_names(walk: Walk) -> None:
    one, other = make_drills(walk, side="both").drills, make_drills(walk, side="both").drills
    assert one == other == merged((*one, *other))


def test_moves_of_all_orders_count_in_one_position() -> None:
    walk = told("d4 d5 c4 e6 Nc3 (Nf3 Nf6 Nc3 Be7 Bg5) Nf6 Nf3 Be7 Bf4")
    made = make_drills(walk).drills
    fen = after("d4 d5 c4 e6 Nc3 Nf6 Nf3 Be7")
    assert moves_of(made, fen) == {"Bg5", "Bf4"}
    assert len([d for d in made if key_of(d.fen) == key_of(fen) and d.moves]) == 1


def test_two_lessons_share_their_positions() -> None:
    one = make_drills(told("e4 c5 Nf3")).drills
    other = make_drills(told("e4 c5 c3")).drills
    both = merged((*one, *other))
    assert moves_of(both, after("e4 c5")) == {"Nf3", "c3"}
    assert all(not {m.uci for m in d.moves} & {w.uci for w in d.wrong} for d in both)


# Mistakes.

MISTAKES = [
    # talk, moves told as mistakes
    ("e4 e5 Nf3 f6? Nxe5", {"f6"}),
    ("e4 e5 Nf3 f6! Nxe5", set()),
    ("e4 e5 Nf3 and now the mistake is f6 when we have Nxe5", {"f6"}),
    ("e4 e5 Nf3 f6 which is a mistake. We take Nxe5", {"f6"}),
    ("e4 e5 Nf3 f6 is no mistake. Then d4", set()),
    ("e4 e5 Nf3 and if he is careless, f6 Nxe5", {"f6"}),
    ("e4 e5 Nf3 Nc6 Bc4 Nd4, greedy. Nxe5 Qg5 looks natural. Nxf7", {"Nd4", "Qg5"}),
    ("e4 e5 Nf3 d6 d4 and if he is greedy, Bg4 dxe5", {"Bg4"}),
    ("e4 e5 never play f3 Nc6", {"f3"}),
    ("e4 e5 Nf3 d5 and we don't take, friends, we play d4", set()),
    ("e4 e5 Nf3 Nc6. What a mistake it would be to sleep here, with all this coffee. Bb5", set()),
    ("e4 e5 Nf3 f6 Nxe5 (he ought to have played Nc6) d4", set()),
    ("e4 e5 Nf3 d6 d4 exd4 Nxd4 Nf6 Nc3 and all is well here for us tonight", set()),
]


@pytest.mark.parametrize(("text", "wrong"), MISTAKES, ids=[m[0][:40] for m in MISTAKES])
def test_moves_told_as_mistakes(text: str, wrong: set[str]) -> None:
    walk = told(text)
    assert {walk.nodes[n].san for n in JudgedMoves(walk).mistakes} == wrong


def test_what_ought_to_have_been_played_blames_what_was() -> None:
    walk = told("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+")
    talk = plain_talk("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+ He ought to have played Nc6 instead.")
    back = ReturnStep(said(talk, 28, 51), walk.nodes[3].fen, 3)
    board = chess.Board(walk.nodes[3].fen)
    before = board.fen()
    board.push_san("Nc6")
    better = MoveStep(said(talk, 52, 55), "Nc6", "b8c6", before, board.fen(), 3, 8)
    blame = JudgedMoves(Walk(talk, (*walk.steps, back, better), side="white"))
    assert {blame.walk.nodes[n].san for n in blame.mistakes} == {"f6"}


def test_what_the_trainer_should_have_said_blames_nothing() -> None:
    walk = told("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+")
    talk = plain_talk("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+ I should have said, there is Nc6 too.")
    back = ReturnStep(said(talk, 28, 44), walk.nodes[3].fen, 3)
    other = chess.Board(walk.nodes[3].fen)
    before = other.fen()
    other.push_san("Nc6")
    step = MoveStep(said(talk, 55, 58), "Nc6", "b8c6", before, other.fen(), 3, 8)
    assert JudgedMoves(Walk(talk, (*walk.steps, back, step), side="white")).mistakes == frozenset()


def test_a_mistake_of_the_pupils_side_is_not_accepted_and_is_punished_from_the_other() -> None:
    walk = told("e4 e5 Nf3 Nc6 Nxe5? Nxe5 (Bb5 a6) Bc4")
    made = make_drills(told("e4 e5 Nf3 Nc6 Bb5 (Nxe5? Nxe5) a6")).drills
    (answer,) = [d for d in made if key_of(d.fen) == key_of(after("e4 e5 Nf3 Nc6")) and d.moves]
    assert [m.san for m in answer.taught] == ["Bb5"]
    (wrong,) = [w for w in answer.wrong if w.san == "Nxe5"]
    assert (wrong.source, wrong.reply) == (Source.TALK, ("Nxe5",))
    (punish,) = [d for d in made if d.task is Task.PUNISH]
    assert (punish.side, [m.san for m in punish.taught]) == ("black", ["Nxe5"])
    assert walk.moves


def test_a_refuted_move_is_not_taught() -> None:
    walk = told("e4 e5 Qh5 Nc6")
    node = walk.nodes[3]
    finding = Finding(Kind.REFUTATION, Verdict.UNDECIDED, walk.moves[2].said, node.fen, plain("it loses"), 3)
    assert moves_of(make_drills(walk).drills, after("e4 e5")) == {"Qh5"}
    assert moves_of(make_drills(walk, [finding]).drills, after("e4 e5")) == set()


def test_an_unsure_move_is_left_out_and_said() -> None:
    walk = told("e4 e5 Nf3 Nc6 Bb5")
    steps = tuple(replace(s, sure=0.6) if isinstance(s, MoveStep) and s.san == "Nf3" else s for s in walk.steps)
    made = make_drills(replace(walk, steps=steps))
    assert next((one.move, key_of(one.fen)) for one in made.left_out) == ("2.Nf3", key_of(after("e4 e5")))
    assert all(key_of(d.fen) != key_of(after("e4 e5")) for d in made.drills)


def test_the_trainers_own_sentence_comes_with_the_answer() -> None:
    walk = told("We begin with e4. He plays c5, and now Nf3, quietly. That is our whole secret.")
    (drill,) = [d for d in make_drills(walk, side="white").drills if d.line and d.task is Task.ANSWER]
    assert drill.words == "He plays c5, and now Nf3, quietly. That is our whole secret."


# Replies that the games show equally good.

EQUALS = [
    # games and points of e4, of d4; whether d4 is as good
    ((1000, 560.0), (900, 500.0), True, "a hair less, within the interval"),
    ((1000, 560.0), (900, 420.0), False, "clearly less"),
    ((1000, 560.0), (29, 16.0), False, "too few games"),
    ((1000, 500.0), (900, 560.0), True, "better"),
    ((10, 9.0), (900, 500.0), True, "what is taught is hardly known: measured by all games"),
    ((1000, 560.0), (40, 12.0), False, "few games, and even the best of the interval is not enough"),
]


@pytest.mark.parametrize(("taught", "other", "equal", "why"), EQUALS, ids=[e[3] for e in EQUALS])
def test_equally_good(taught: tuple[int, float], other: tuple[int, float], equal: bool, why: str) -> None:
    found = replies(chess.Board(), {"e4": taught, "d4": other})
    got = list(equally_good(found, {"e2e4"}, {"e2e4"}))
    assert [(m.san, m.standing) for m in got] == ([("d4", Standing.EQUAL)] if equal else []), why


def test_a_mistake_told_is_not_accepted_whatever_the_games_say() -> None:
    games = Few({key_of(after("e4 e5")): {"Nf3": (500, 280.0), "f4": (500, 290.0), "d4": (500, 285.0)}})
    made = make_drills(told("e4 e5 Nf3 (f4? exf4) Nc6"), games=games).drills
    (drill,) = [d for d in made if key_of(d.fen) == key_of(after("e4 e5")) and d.moves]
    assert [(m.san, m.standing) for m in drill.moves] == [("Nf3", Standing.TAUGHT), ("d4", Standing.EQUAL)]


# Punishments.


def test_wrong_moves_are_punished_by_the_games_and_by_the_board() -> None:
    games = Few(
        {
            key_of(after("e4 e5")): {"Nf3": (500, 280.0), "d3": (200, 80.0)},
            key_of(after("e4 e5 d3")): {"Nf6": (120, 78.0), "d5": (40, 22.0)},
        }
    )
    (drill,) = [
        d
        for d in make_drills(told("e4 e5 Nf3"), games=games).drills
        if key_of(d.fen) == key_of(after("e4 e5")) and d.moves
    ]
    by = {w.san: w for w in drill.wrong}
    assert (by["d3"].source, by["d3"].reply) == (Source.GAMES, ("Nf6",))
    assert (by["Ba6"].source, by["Ba6"].reply, by["Ba6"].why) == (Source.BOARD, ("Nxa6",), "wins 3 points of material")
    assert "a3" not in by


def test_a_move_into_mate_is_punished_by_mate() -> None:
    """Fool's mate: the shortest game there is (FIDE Laws 5.1.1, checkmate ends it)."""
    walk = told("f3 e5 e4")
    (drill,) = [d for d in make_drills(walk).drills if key_of(d.fen) == key_of(after("f3 e5")) and d.moves]
    (wrong,) = [w for w in drill.wrong if w.san == "g4"]
    assert (wrong.reply, wrong.why) == (("Qh4#",), "mate")


class Scripted:
    """An engine that says what it is told: pawns for White by position."""

    def __init__(self, pawns: dict[str, tuple[float, str]]) -> None:
        self.pawns = pawns

    def verdicts(self, positions: Any) -> list[Any]:
        found = []
        for board in positions:
            pawns, best = self.pawns.get(key_of(board.fen()), (0.0, next(iter(board.legal_moves)).uci()))
            line = Line(Score(centipawns=round(100 * pawns)), None, (best,))
            found.append(EngineVerdict(board.epd(), (line,), "Scripted 1", 50_000, 12))
        return found


def test_an_engine_answers_every_other_move_and_overrules_the_games_only_when_it_costs() -> None:
    walk = told("e4 e5 Nf3")
    board = chess.Board(after("e4 e5"))
    taught = TaughtMoves(walk, ())
    games = Few({key_of(board.fen()): {"Nf3": (500, 270.0), "Nc3": (500, 270.0), "f4": (500, 275.0)}})
    moves = accepted(board, taught.right(key_of(board.fen())), (), games)
    assert [m.san for m in moves] == ["Nf3", "Nc3", "f4"]
    wrong = punished(walk, taught, board, moves, None)
    judge = Scripted(
        {
            key_of(after("e4 e5 Nf3")): (0.3, "b8c6"),
            key_of(after("e4 e5 Nc3")): (0.28, "g8f6"),
            key_of(after("e4 e5 f4")): (-0.6, "e5f4"),
            key_of(after("e4 e5 d3")): (0.1, "g8f6"),
        }
    )
    fine, bad = judged(board, moves, wrong, ["b1c3", "f2f4", "d2d3"], judge)
    assert [(m.san, m.standing) for m in fine] == [("Nf3", Standing.TAUGHT), ("Nc3", Standing.EQUAL)]
    by = {w.san: w for w in bad}
    assert (by["f4"].source, by["f4"].reply) == (Source.ENGINE, ("exf4",))
    assert by["d3"].reply == ("Nf6",)
    assert by["d3"].why.endswith("playable")


# Likelihood, the board's questions, the way.


def test_a_position_is_as_likely_as_the_opponents_replies_on_the_way() -> None:
    games = Few(
        {
            key_of(after("e4")): {"e5": (400, 200.0), "c5": (600, 300.0)},
            key_of(after("e4 c5 Nf3")): {"d6": (300, 150.0), "e6": (300, 150.0)},
        }
    )
    found = reaches(told("e4 c5 Nf3 d6 d4"), chess.WHITE, games)
    assert found[key_of(after("e4 c5 Nf3 d6"))] == pytest.approx(0.6 * 0.5)
    assert found[key_of(after("e4 c5 Nf3 d6 d4"))] == pytest.approx(0.3)
    assert share(chess.Board(after("e4")), "e7e5", 3, None) == pytest.approx(0.25)


SHOWN = [
    # FEN, side, question, squares
    ("4k3/pp3ppp/4p3/8/3P4/8/PP3PPP/4K3 w - - 0 20", "Which white pawn is isolated?", ("d4",)),
    ("4k3/pp3ppp/4p3/8/3P4/8/PP3PPP/4K3 w - - 0 20", "Tap a square on the open file.", ("c4",)),
    ("4k3/pp3ppp/4p3/8/2PP4/8/P4PPP/4K3 w - - 0 20", "Tap white's hanging pawns.", ("c4", "d4")),
    ("4k3/1p3ppp/8/8/P7/8/5PPP/4K3 w - - 0 20", "Which white pawn is isolated?", ("a4",)),
]


@pytest.mark.parametrize(("fen", "asked", "squares"), SHOWN, ids=[f"{s[1]} {s[2]}" for s in SHOWN])
def test_squares_to_tap(fen: str, asked: str, squares: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """Definitions of handbooks, as ``board/pawns.py`` and ``board/files.py`` give them with their sources."""
    monkeypatch.setattr("linewright.practice.drills.square_drills.EARLIEST", 0)
    monkeypatch.setattr("linewright.practice.drills.square_drills.MOST", 99)
    walk = Walk(plain_talk("Look."), (), fen, "white")
    found = {d.asked: d.squares for d in square_drills(walk, (), chess.WHITE)}
    assert found[asked] == squares


def test_drills_on_the_way_come_in_the_lines_order() -> None:
    made = make_drills(told("e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3")).drills
    by_id = {d.id: d for d in made}
    last = next(path for d, path in drill_paths(made).items() if by_id[d].moves and by_id[d].taught[0].san == "Nc3")
    assert [by_id[d].taught[0].san for d in last] == ["e4", "Nf3", "d4", "Nxd4"]


def sentences(name: str) -> Iterator[Drill]:
    walk, findings = lesson(name)
    yield from said_drills(walk, findings, walk.side != "black")


@needs_shared
def test_what_was_said_of_a_position_is_asked_in_the_talks_words() -> None:
    found = [drill for name in NAMES for drill in sentences(name)]
    assert found
    for drill in found:
        assert drill.choices[drill.right] == drill.words
        assert len(drill.choices) >= 3


class Studied:
    """An archive that knows plans by position and reply."""

    def __init__(self, plans: dict[str, tuple[str, ...]], games: int = 20) -> None:
        self.rows = plans
        self.games = games
        self.asked: list[int | None] = []

    def study(self, position: chess.Board, *, most: int | None = None) -> Study:
        self.asked.append(most)
        found = []
        for reply in position.legal_moves:
            after_it = position.copy(stack=False)
            after_it.push(reply)
            moves = self.rows.get(key_of(after_it.fen()))
            if moves:
                plan = FollowUpPlan(
                    moves, (position.san(reply),), Proportion(self.games, 40, 0.5, 0.3, 0.7), Scored(20, 0.5, 0.3, 0.7)
                )
                told_reply = Reply(reply.uci(), position.san(reply), 40, 1.0, 0.5, 0.4, 0.6, None, None, 40)
                trend = Trend((), "unclear")
                found.append(StudiedReply(told_reply, plan.part, None, trend, (plan,), None))
        return Study(position.fen(), "", 40, 0, tuple(found), (), (), 0)


def test_plans_of_the_games_are_chosen_among_those_of_other_lines() -> None:
    way = "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d3"
    walk = told(f"{way} (d4 exd4 cxd4 Bb4+ Nc3 Nxe4 O-O) d6 O-O a6 Bb3 (a4 Ba7 Re1)")
    ends = [n.fen for n in walk.nodes if n.san in ("O-O", "Bb3", "Re1") and n.ply > 11]
    plans = dict(zip(map(key_of, ends), (("Re1", "d5", "a3"), ("Nbd2", "Re1", "h3"), ("h3", "Be3", "d4")), strict=True))
    made = list(plan_drills(walk, frozenset(), chess.WHITE, {}, Studied(plans)))
    assert {key_of(d.fen): d.choices[d.right] for d in made} == {k: ", ".join(v) for k, v in plans.items()}
    assert all(len(d.choices) == 3 and "20 of 40 games" in d.words for d in made)
    less = dict(list(plans.items())[:2])
    assert list(plan_drills(walk, frozenset(), chess.WHITE, {}, Studied(less))) == []


@needs_shared
def test_playing_on_begins_where_lines_end() -> None:
    walk, findings = lesson("panov")
    ends = {key_of(n.fen) for n in walk.nodes if not n.children}
    played = [d for d in make_drills(walk, findings).drills if d.task is Task.PLAY]
    assert played
    assert all(key_of(d.fen) in ends and d.goal is not None and d.side == side_name(chess.WHITE) for d in played)

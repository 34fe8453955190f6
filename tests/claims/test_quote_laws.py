"""Quotes against a base of made games: told right they never fail, told wrong they never hold; captions alike."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.claims.check import check_walk
from linewright.claims.referred_games import finish
from linewright.games.api import GamesBase, add_games
from linewright.lesson.finding import Finding, GameRef, Kind, Verdict
from tests.claims.support import ScriptedBase, by_rule, walk_of
from tests.games.games import movetext, pgn, random_game

#: No two of them sound alike: in captions names that do are taken for each other.
NAMES = (
    "Marlow, Ida", "Tessen, Ole", "Rowanberg, Kai", "Quillfeather, Una", "Hollister, Bo", "Vandermeer, Piet",
    "Zelenkov, Igor", "Ostrander, Lea", "Pemberton, Max", "Castellane, Eva", "Dobrinsky, Jan", "Ashcroft, Sue",
)  # fmt: skip
PLACES = ("Ivy Bay", "Rosenholm", "Dunmarsh", "Kestrelton")
RESULTS = ("1-0", "0-1", "1/2-1/2")
#: Half-moves of a game that a talk tells before it quotes the game; deep enough to be the game's own.
TOLD = 20


@dataclass(frozen=True, repr=False)
class Made:
    """A game made for the test."""

    white: str
    black: str
    place: str
    year: int
    result: str
    moves: tuple[chess.Move, ...]
    round: int = 4


def made() -> list[Made]:
    """Games between different players, each pair once, all long enough."""
    chance = random.Random(3)
    pairs = [(a, b) for a in NAMES for b in NAMES if a < b]
    games = []
    for seed, (white, black) in enumerate(pairs):
        moves = random_game(seed, 60)
        if len(moves) > TOLD + 10:
            year, place = chance.randrange(1920, 2020), chance.choice(PLACES)
            games.append(Made(white, black, place, year, chance.choice(RESULTS), tuple(moves)))
    return games


GAMES = made()
NUMBERS = st.integers(0, len(GAMES) - 1)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GamesBase]:
    folder = tmp_path_factory.mktemp("quotes")
    text = "\n".join(
        pgn(
            movetext(list(game.moves)), game.result, White=game.white, Black=game.black,
            Date=f"{game.year}.04.02", Event=f"{game.place} Open", Site=game.place,
            Round=f"{game.round}.1",
        )
        for game in GAMES
    )  # fmt: skip
    (folder / "g.pgn").write_text(text)
    add_games(folder / "b.duckdb", [folder / "g.pgn"])
    with GamesBase.open(folder / "b.duckdb") as opened:
        yield opened


def surname(name: str) -> str:
    return name.split(",")[0]


TELLINGS = (
    "That was {white} against {black}, {place}, {year}{end}.",
    "This was {white} – {black}, {place} {year}{end}.",
    "It was played by the strongest, {white} versus {black} in {place} in {year}{end}.",
)
ENDS = {"1-0": " and white won", "0-1": " and black won", "1/2-1/2": " and it was drawn"}


def told(game: Made, telling: str, end: bool, plies: int = TOLD) -> str:
    board, marks = chess.Board(), []
    for move in game.moves[:plies]:
        san = board.san(move)
        board.push(move)
        marks.append(f"[{san}|{san}]")
    words = telling.format(
        white=surname(game.white), black=surname(game.black), place=game.place, year=game.year,
        end=ENDS[game.result] if end else "",
    )  # fmt: skip
    return f"{' '.join(marks)}. {words} Then we look on."


def quoted(base: object, text: str, timed: bool) -> list[Finding]:
    return [f for f in check_walk(walk_of(text, timed=timed), base) if f.kind is Kind.QUOTE]  # type: ignore[arg-type]


GAME, TELLING = st.sampled_from(GAMES), st.sampled_from(TELLINGS)


@settings(deadline=None, max_examples=12)
@given(game=GAME, telling=TELLING, end=st.booleans(), timed=st.booleans())
def test_a_true_quote_never_fails(base: GamesBase, game: Made, telling: str, end: bool, timed: bool) -> None:
    found = quoted(base, told(game, telling, end), timed)
    assert found
    for finding in found:
        assert finding.verdict is Verdict.HOLDS, finding.evidence
        assert finding.game is not None and finding.game.white == game.white
        assert finding.game.moves == tuple(move.uci() for move in game.moves)


def changed(game: Made, what: str, chance: random.Random) -> Made:
    values = {
        "year": {"year": game.year + chance.choice((-9, -3, -1, 1, 4, 8))},
        "place": {"place": chance.choice([p for p in PLACES if p != game.place])},
        "result": {"result": chance.choice([r for r in RESULTS if r != game.result])},
        "black": {"black": chance.choice([n for n in NAMES if n not in (game.white, game.black)])},
    }
    return Made(**{**{f: getattr(game, f) for f in game.__dataclass_fields__}, **values[what]})


@settings(deadline=None, max_examples=20)
@given(
    game=GAME,
    telling=TELLING,
    what=st.sampled_from(["year", "place", "result", "black"]),
    timed=st.booleans(),
    seed=st.integers(0, 99),
)
def test_a_quote_with_one_thing_changed_never_holds(
    base: GamesBase, game: Made, telling: str, what: str, timed: bool, seed: int
) -> None:
    text = told(changed(game, what, random.Random(seed)), telling, True)
    for finding in quoted(base, text, timed):
        assert finding.verdict is not Verdict.HOLDS, finding.evidence


@pytest.mark.parametrize(("what", "says"), [("year", "not"), ("result", "won"), ("place", "not")])
def test_what_is_wrong_is_named(base: GamesBase, what: str, says: str) -> None:
    game = next(g for g in GAMES if g.result == "1-0")
    wrong = changed(game, what, random.Random(1))
    (finding,) = quoted(base, told(wrong, TELLINGS[0], True), False)
    assert finding.verdict is Verdict.FAILS
    assert says in finding.evidence and finding.game is not None and finding.game.year == game.year


@pytest.mark.parametrize(
    ("words", "verdict", "says"),
    [
        ("round four, white won in {moves} moves", "holds", ""),
        ("in the fourth round, white won in {one_off} moves", "holds", ""),
        ("game four of the match", "holds", ""),
        ("round seven", "fails", "it was round 4, not 7"),
        ("in the eleventh round", "fails", "it was round 4, not 11"),
        ("white won in just seventeen moves", "fails", "moves, not 17"),
    ],
)
def test_round_and_length_are_compared(base: GamesBase, words: str, verdict: str, says: str) -> None:
    game = next(g for g in GAMES if g.result == "1-0")
    moves = (len(game.moves) + 1) // 2
    telling = f"That was {surname(game.white)} against {surname(game.black)}, {game.place}, {game.year}, {words}."
    (finding,) = quoted(base, told(game, telling.format(moves=moves, one_off=moves + 1), False), False)
    assert finding.verdict == verdict and says in finding.evidence


@pytest.mark.parametrize(
    ("last", "verdict", "says"),
    [("takes", "holds", "instead of the last move quoted"), ("the bishop takes on d4", "fails", "the moves part at")],
)
def test_a_move_told_by_takes_alone_gives_way_to_the_games_own(
    tmp_path: Path, last: str, verdict: str, says: str
) -> None:
    line = "e4 e5 Nf3 Nc6 d4 exd4 Nxd4 Bc5 Nb3 Bb4+ c3 Be7 Be3 Nf6 f3 d5 exd5 Nxd5 Bd4 Nxd4"
    game = f"{line} cxd4 Bh4+ g3 Bf6 1-0"
    (tmp_path / "g.pgn").write_text(pgn(game, "1-0", White="Marlow, Ida", Black="Tessen, Ole", Date="1961.04.02",
                                        Event="Rosenholm Open", Site="Rosenholm"))  # fmt: skip
    add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    marks = " ".join(f"[{san}|{san}]" for san in line.split())
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        text = f"{marks} [Nxd4|{last}]. That was Marlow against Tessen, Rosenholm, 1961, white won."
        (finding,) = quoted(base, text, False)
    assert finding.verdict == verdict and says in finding.evidence


HEARD = [
    # words instead of the names, verdict
    ("that was {w} against {b} {p} {y}", "holds"),
    ("{w} beat {b} with this in {y}", "holds"),
    ("{w} played this against {b} in {p} in {y}", "holds"),
    ("and {w} {b} {p} {y} game eleven", "holds"),
    ("i think that was {w} against {b} in {y}", "holds"),
    ("{w} drew against {b} in {y}", "fails"),
    ("{w} drew with {b} in {y}", "fails"),
]


@pytest.mark.parametrize(("words", "verdict"), HEARD)
def test_captions(base: GamesBase, words: str, verdict: str) -> None:
    game = next(g for g in GAMES if g.result == "1-0")
    said = words.format(w=surname(game.white), b=surname(game.black), p=game.place, y=game.year)
    found = quoted(base, told(game, said, False), True)
    assert [f.verdict for f in found] == [Verdict(verdict)]


def test_misheard_names_are_known_by_the_position(base: GamesBase) -> None:
    game = next(g for g in GAMES if (surname(g.white), surname(g.black)) == ("Marlow", "Tessen"))
    found = quoted(base, told(game, "that was marlo against tessin " + str(game.year), False), True)
    assert [(f.verdict, f.game and f.game.white) for f in found] == [(Verdict.HOLDS, "Marlow, Ida")]


@pytest.mark.parametrize(("plies", "verdict"), [(15, "undecided"), (16, "fails")])
def test_only_a_position_of_the_game_s_own_makes_a_wrong_year_false(base: GamesBase, plies: int, verdict: str) -> None:
    game = GAMES[0]
    words = f"That was {surname(game.white)} against {surname(game.black)}, {game.place}, {game.year + 6}."
    (finding,) = quoted(base, told(game, words, False, plies), False)
    assert finding.verdict == verdict, finding.evidence


@pytest.mark.parametrize(
    ("names", "place", "verdict"),
    [
        ("Marlo against Tessin", "", "holds"),
        ("Marwick against Tessin", "", "undecided"),  # another name: no such game
        ("Marlow against Tessen", "e", "holds"),
        ("Marlow against Tessen", " Abbey", "holds"),
    ],
)
def test_names_and_places_may_be_misspelled_by_a_letter(base: GamesBase, names: str, place: str, verdict: str) -> None:
    game = next(g for g in GAMES if (surname(g.white), surname(g.black)) == ("Marlow", "Tessen"))
    words = f"That was {names}, {game.place}{place}, {game.year}."
    (finding,) = quoted(base, told(game, words, False), False)
    assert finding.verdict == verdict, finding.evidence


@pytest.mark.parametrize(
    "words",
    [
        "we are against the clock since 1990",
        "the pawn against the knight in 1950 of course",
        "black beat white in 2001",
    ],
)
def test_words_that_tell_of_no_game(base: GamesBase, words: str) -> None:
    assert by_rule(quoted(base, told(GAMES[0], words, False), True), Kind.QUOTE) == []


def test_a_game_that_the_base_has_not_stays_open(base: GamesBase) -> None:
    (finding,) = quoted(base, "[e4|e4] [e5|e5]. That was Applegarth against Underhill, Rosenholm, 1961.", False)
    assert finding.verdict is Verdict.UNDECIDED and finding.game is None


def test_a_game_that_is_only_the_nearest_is_not_carried(base: GamesBase) -> None:
    game = GAMES[0]
    words = f"That was {surname(game.white)} against {surname(game.black)}, {game.place}, {game.year + 6}."
    (finding,) = quoted(base, f"[h4|h4] [a5|a5] [Rh3|rook h3] [Ra6|rook a6]. {words}", False)
    assert finding.verdict is Verdict.UNDECIDED and finding.game is None


@pytest.mark.parametrize("none", [None, ScriptedBase({})])
def test_without_games_a_quote_stays_open(none: object) -> None:
    (finding,) = quoted(none, "[e4|e4] [e5|e5]. That was Marlow against Tessen, Rosenholm, 1961.", False)
    assert finding.verdict is Verdict.UNDECIDED


@given(number=st.integers(0, len(GAMES) - 1), ply=st.integers(0, TOLD))
@settings(deadline=None, max_examples=20)
def test_the_finish_leads_to_the_games_end(number: int, ply: int) -> None:
    moves = GAMES[number].moves
    ref = GameRef(1, "A", "B", "1-0", "", None, "", "", "", tuple(move.uci() for move in moves))
    board, end = chess.Board(), chess.Board()
    for move in moves[:ply]:
        board.push(move)
    for move in moves:
        end.push(move)
    for san in finish(ref, board):
        board.push_san(san)
    assert board.epd() == end.epd()

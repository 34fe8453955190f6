"""Each threshold of the reader has a row that turns when it moves.

Costs stand as they come out on hand-made words and positions, readings as they come out on small talks. After a change
that is meant (weights fitted anew), the rows that turn say what it has done.
"""

from __future__ import annotations

import math
from dataclasses import replace

import chess
import pytest

from linewright.lesson.walk import ReturnStep, Walk
from linewright.reading.openings.named_lines import jumps
from linewright.reading.openings.opening_names import NamedLine, NamedOpening
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.phrases.speaker_side import persons
from linewright.reading.reader import read_talk
from linewright.reading.search.beam import Search, mentioning, restates
from linewright.reading.search.hypothesis import Hypothesis
from linewright.reading.search.move_candidates import Ways, usual
from linewright.reading.search.positions import Atlas, Position
from linewright.reading.search.returns import TreeNode
from linewright.reading.search.search_setup import ReadingOptions, context_of, said_talk, search_of
from linewright.reading.search.unsaid import Unsaid
from linewright.reading.words.tokens import tokens
from linewright.talk.model import Talk, Unit
from tests.reading.test_lost_lines import GAMES, LOST
from tests.support import plain_talk


def position_after(line: str, base: object = None) -> Position:
    position = Atlas(None).start(chess.Board())
    for san in line.split():
        uci = position.board.parse_san(san).uci()
        position = position.after(next(m for m in position.legal if m.uci == uci))
    return position


# -- what words cost ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "named", "typed", "heard", "comment"),
    [
        ("knight, f6", "Nf6", 2.5, 0.7, "a comma inside"),
        ("the knight drops back to d2", "Nd2", 0.5, 0.5, "a determiner, and three words in the gap"),
        ("knight well f3", "Nf3", 0.02, 0.02, "a filler that is also a word"),
        ("the queen toddles back to c7", "Qc7", 0.95, 0.95, "a word of no known meaning"),
        ("e5 knight f3", "Ne5f3", 3.5, 3.5, "an origin that isn't said to be one"),
        ("e5, knight f3", "Ne5f3", 7.5, 5.7, "and a comma after it"),
        ("the e5 knight f3", "Ne5f3", 0.05, 0.05, "an origin after an article"),
        ("goes long", "castling", 0.5, 0.5, "castling or a rook"),
        ("tucks the king", "castling", 0.45, 0.45, "castling described"),
        ("back to d8", "d8", 0.8, 0.8, "the piece left out"),
        ("the b pawn", "bx", 1.55, 1.55, "a pawn chosen"),
        ("d5 takes e4", "d5xe4", 0.7, 0.7, "a pawn that takes, by its square"),
        ("rook 1 to e2", "R1e2", 0.65, 0.65, "a rank said"),
        ("takes the knight", "x", 0.35, 0.35, "what is taken without its square"),
        ("with the knight", "Nx", 2.15, 2.15, "the agent alone"),
        ("check", "a check", 2.5, 2.5, "check alone"),
        ("knights f3", "Nf3", 1.0, 1.0, "a plural"),
        ("b g5", "Bg5", 1.0, 1.0, "a letter for the piece"),
        ("knight a 4", "Na4", 0.5, None, "an article for a file"),
        ("knight p5", "Ne5", 2.5, None, "a letter that no board has"),
        ("e41", "e4", None, 1.5, "a figure too many"),
        ("bd4", "bd4", None, 0.0, "a file before a square as the origin …"),
        ("bd4", "bxd4", None, 1.0, "… or as a pawn that takes"),
    ],
)  # fmt: skip
def test_words_of_a_phrase_cost_what_they_leave_unclear(
    words: str, named: str, typed: float | None, heard: float | None, comment: str
) -> None:
    for by_ear, cost in ((False, typed), (True, heard)):
        if cost is not None:
            found = [p for p in PhraseFinder(tokens(plain_talk(words)), by_ear).at(0) if p.named == named]
            assert found[0].cost == pytest.approx(cost), (comment, by_ear)


def test_a_check_in_a_sentence_of_its_own_costs_a_little_in_captions() -> None:
    phrase = PhraseFinder(tokens(plain_talk("Knight f6. Check.")), True).at(0)[0]
    assert phrase.check and phrase.cost == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("words", "most"), [("knight then now just again also simply f3", 5), ("knight foo bar baz to f3", 2)]
)
def test_a_gap_holds_only_so_many_words(words: str, most: int) -> None:
    """One word fewer than too many is read; ``most`` counts all, or those of no known meaning."""
    head, *middle, tail = words.split()
    known = middle if most == 5 else middle[-1:]
    kept = [head, *middle[:most], *(known if most == 2 else ()), tail]
    assert any(p.to == "f3" for p in PhraseFinder(tokens(plain_talk(" ".join(kept))), False).at(0))
    assert not any(p.to == "f3" for p in PhraseFinder(tokens(plain_talk(words)), False).at(0))


@pytest.mark.parametrize(
    ("line", "words", "san", "cost", "comment"),
    [
        ("e4 d5 exd5", "queen d5", "Qxd5", 0.7, "a capture unsaid"),
        ("e4 d5 exd5", "Qd5", "Qxd5", 1.0, "and unwritten"),
        ("e4 d5", "d5", "exd5", 3.0, "a pawn's capture by its square alone"),
        ("", "f3", "Nf3", 2.5, "a piece left out"),
        ("", "over to e4", "e4", 3.0, "a pawn sent as if it were a piece"),
        ("", "knight f3 check", "Nf3", 3.5, "no check"),
        ("e4 e5 Bc4 Nc6", "bishop takes f7 mate", "Bxf7+", 3.0, "check, and no mate"),
        ("", "3.e4", "e4", 3.0, "another number"),
        ("", "1...e4", "e4", 3.0, "Black's number with White's move"),
        ("e4", "1...e5", "e5", 0.0, "the number it has"),
    ],
)
def test_what_a_phrase_says_differently_has_its_price(
    line: str, words: str, san: str, cost: float, comment: str
) -> None:
    position = position_after(line)
    phrase = PhraseFinder(tokens(plain_talk(words)), False).at(0)[0]
    found = {m.legal.uci: m.cost for m in position.matches(phrase)}
    assert found[position.board.parse_san(san).uci()] == pytest.approx(cost), comment


# -- the search's prices -----------------------------------------------------------------------------------


def search_over(words: str, heard: bool = False, base: object = None, side: str = "") -> Search:
    said = said_talk(plain_talk(words), None)
    said = replace(said, heard=heard, side=side)
    atlas = Atlas(base)  # type: ignore[arg-type]
    return search_of(said, context_of(said), atlas, atlas.start(chess.Board()))


def test_a_mention_of_an_impossible_move_has_its_price() -> None:
    assert mentioning(float("-inf")) == pytest.approx(3.993, abs=0.001)
    assert mentioning(0.0) == pytest.approx(0.657, abs=0.001)


def waiting_after(words: str, heard: bool = False, line: str = "") -> dict[int, float]:
    """The best score that waits at each token once the first phrase was looked at from a position it doesn't fit."""
    search = search_over(words, heard)
    position = position_after(line)
    start = Hypothesis(0.0, (TreeNode(position, -1, ""),))
    search.waiting.clear()
    ways = Ways(search.context.phrases[0], [0.0] * len(search.context.phrases[0]), None, heard)
    passing = search._passing(0)
    assert passing is not None
    search._pass_over(start, 0, ways, passing)
    return {at: max(p.score for p in proposals) for at, proposals in search.waiting.items()}


def test_a_move_after_a_comma_instead_of_one_over_it_has_its_price() -> None:
    assert waiting_after("bishop, a6")[1] == pytest.approx(-3.0)


def test_words_in_the_past_are_passed_over_at_a_flat_price() -> None:
    search = search_over("she took the queen")
    phrase = next(p for p in search.context.phrases[1] if p.past)
    passing = search._passing(1)
    assert passing is not None and passing.main.past and phrase.past
    start = Hypothesis(0.0, (TreeNode(position_after(""), -1, ""),))
    search.waiting.clear()
    search._pass_over(start, 1, Ways([], [], None, False), passing)
    assert -max(p.score for p in search.waiting[passing.lasts[0]]) == pytest.approx(passing.cost + 1.5)


def test_saying_again_what_was_just_played_costs_little() -> None:
    search = search_over("e4")
    position = position_after("")
    legal = next(m for m in position.legal if m.uci == "e2e4")
    played = Hypothesis(0.0, (TreeNode(position, -1, ""), TreeNode(position.after(legal), 0, "e2e4")), at=1)
    passing = search._passing(0)
    assert passing is not None and restates(played, passing.main)
    search.waiting.clear()
    search._pass_over(played, 0, Ways([], [], None, False), passing)
    assert -max(p.score for p in search.waiting[1]) == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("words", "at", "side", "wanted"),
    [
        ("white plays e4", 2, "", (True, 2.5)),
        ("he plays e4", 2, "white", (False, 1.2)),
        ("he plays e4", 2, "", None),
        ("white thinks long and hard e4", 5, "", None),
        ("white then very much e4", 4, "", (True, 2.5)),
    ],
)
def test_who_moves_is_said_just_before(words: str, at: int, side: str, wanted: object) -> None:
    assert persons(tokens(plain_talk(words)), side)[at] == wanted


@pytest.mark.parametrize(("words", "written", "spoken"), [("3.e4", 6.0, None), ("three, e4", None, 2.5)])
def test_move_numbers_weigh_more_when_written(words: str, written: float | None, spoken: float | None) -> None:
    search = search_over(words)
    start = Hypothesis(0.0, (TreeNode(position_after(""), -1, ""),))
    number = search._number(start, 0 if written else 1)
    assert number is not None and number.value == 3 and number.nats == (written or spoken)


@pytest.mark.parametrize(
    ("words", "depth", "cost", "comment"),
    [
        ("", 0, 6.0, "no word"),
        ("well", 0, 5.0, "a word or two"),
        ("well then", 0, 5.0, "a word or two"),
        ("well then so", 0, 4.0, "more"),
        ("the knight does something", 0, 3.0, "a man named"),
        ("well then so", 1, 3.0, "a second one in few words"),
        ("well then so we go on like that", 1, 2.0, "a second one in words enough for two"),
        ("well then so we go on like", 1, 3.0, "one word too few"),
    ],
)
def test_a_lost_move_costs_by_the_words_where_it_was(words: str, depth: int, cost: float, comment: str) -> None:
    said = tokens(plain_talk(words)) if words else ()
    assert Unsaid(Atlas(None), said)._cost(0, len(said), depth) == cost, comment


def jump_prices(line: str, at: int, lines: tuple[NamedLine, ...]) -> list[float]:
    position = Atlas(None).start(chess.Board())
    tree = [TreeNode(position, -1, "")]
    for san in line.split():
        uci = tree[-1].position.board.parse_san(san).uci()
        legal = next(m for m in tree[-1].position.legal if m.uci == uci)
        tree.append(TreeNode(tree[-1].position.after(legal), len(tree) - 1, uci))
    start = Hypothesis(0.0, tuple(tree), at=at if at >= 0 else len(tree) - 1)
    if line:
        start = replace(start, played=object())  # type: ignore[arg-type]
    opening = NamedOpening(0, 1, lines, 0.0)
    return [round(-grown.score, 2) for grown in jumps(start, opening, 0.0, 0, 1)]


@pytest.mark.parametrize(
    ("line", "at", "moves", "prices", "comment"),
    [
        ("", -1, "e2e4 c7c5", [1.5, 2.2], "at the start, and a move left to say"),
        ("", -1, "e2e4 e7e5 g1f3 b8c6 f1b5 a7a6 b5a4", [1.5, 2.2, 2.2, 2.2, 2.2], "no more than four left"),
        ("e4", -1, "e2e4 c7c5", [2.5], "on from the board"),
        ("e4 e5", -1, "e2e4 c7c5", [5.0], "from an earlier position"),
    ],
)
def test_going_where_a_name_leads_has_its_price(
    line: str, at: int, moves: str, prices: list[float], comment: str
) -> None:
    assert jump_prices(line, at, (NamedLine(tuple(moves.split()), "A line", 0.0),)) == prices, comment


@pytest.mark.parametrize(("games", "usual_moves"), [(5, 1), (4, 0)])
def test_few_games_say_nothing_of_what_is_usual(games: int, usual_moves: int) -> None:
    position = position_after("")
    position.counts, position.games = {"e2e4": games}, games
    assert len(usual(position, 0.5)) == usual_moves


def test_mishearing_beyond_what_is_known_has_its_price() -> None:
    position = position_after("")
    position.counts, position.games = {"e2e4": 50, "d2d4": 50}, 100
    phrases = PhraseFinder(tokens(plain_talk("a6")), True).at(0)
    found = Ways(phrases, [0.0] * len(phrases), None, True).misheard(position)
    assert [way.score for way in found] == [pytest.approx(0.9 * math.log(0.5) - 6.0)] * 2


def test_beginning_later_has_its_price() -> None:
    search = search_over("bishop c5", base=GAMES)
    phrases = search.context.phrases[0]
    start = search.waiting[0][0].grow()
    grown = search.unsaid._lessons_later([start], 0, Ways(phrases, [0.0] * len(phrases), None, False))
    italian = next(h for h in grown if h.position.last is not None and h.position.last.uci == "f1c4")
    assert italian.score == pytest.approx(-3.0 + 0.9 * ITALIAN_LIKELY)


#: Log-probability of the Italian's first five moves in the scripted games.
ITALIAN_LIKELY = math.log(1900 / 2500) + math.log(1700 / 1900) + math.log(500 / 1700)


# -- readings ----------------------------------------------------------------------------------------------


def read(text: str, heard: bool = False, **options: bool) -> Walk:
    talk: Talk = plain_talk(text)
    if heard:
        talk = replace(talk, unit=Unit.SECONDS)
    return read_talk(talk, GAMES, ReadingOptions(**options))  # type: ignore[arg-type]


def shown(walk: Walk) -> str:
    """Moves in order, "<" for a return; after a bar what was left unread."""
    steps = ["<" if isinstance(s, ReturnStep) else s.san for s in walk.steps]
    return " ".join([*steps, "|", *(u.said.words for u in walk.unread)]).strip(" |")


AGAIN = "e4 e5 knight f3 knight c6 bishop b5 a6. Back to knight c6. Bishop c4 bishop c5. Again bishop b5."


@pytest.mark.parametrize(
    ("text", "heard", "wanted", "turns_with"),
    [
        ("e4 c6 d4 d5 e5. Let's go back to d5. Instead of e5, White can play knight c3.", False,
         "e4 c6 d4 d5 e5 < Nc3", "PASSING"),
        (AGAIN, False, "e4 e5 Nf3 Nc6 Bb5 a6 < Bc4 Bc5 Bb5", "BETTER, SAID_AGAIN, NAMES_SAID_MOVE"),
        ("e4, e5, knight f3, bishop b5, a6, bishop a4.", False, "e4 e5 Nf3 Nc6 Bb5 a6 Ba4", "WINDOW, UNSAID"),
        ("e4, e5, knight f3, and he covers it as one does, bishop b5, a6.", False,
         "e4 e5 Nf3 Nc6 Bb5 a6", "UNSAID_IN_A_ROW"),
        ("e4 e5 queen f3 knight c6", False, "e4 e5 Qf3 Nc6", "UNSAID_HINTED"),
        ("So after the bishop comes to c4, bishop c5, c3, knight f6.", False,
         "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6", "LATER"),
        ("white plays e4, black plays e5, black plays knight f3", False, "e4 e5 Nf3", "WRONG_COLOUR"),
        ("e4 e5 f3", False, "e4 e5 Nf3", "PIECE_UNSAID"),
        ("e4 e5 {here: A} Nf3 Nc6 {back: A} Nc3", False, "e4 e5 Nf3 Nc6 Nc3", "UNUSUAL: marks aren't read here"),
        ("E4 E5 p3 knight f3 knight c6 bishop p5 a6", True, "e4 e5 Nf3 Nc6 Bb5 a6 | p3", "GARBLED, RESTATED"),
        ("e4 e5 knight f3 knight c6 bishop b5 a6 bishop takes c6, d takes c6. He could also play bishop a4.", False,
         "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6", "LOOKS_LIKE_A_MOVE"),
        (LOST, False, "e4 e5 Nf3 Nc6 Bb5 a6 | rook h6,", "IN_A_ROW, LOOKS_PLAYED"),
    ],
)  # fmt: skip
def test_small_talks_turn_with_each_threshold(text: str, heard: bool, wanted: str, turns_with: str) -> None:
    assert shown(read(text, heard)) == wanted, turns_with


def test_returns_switched_off_are_impossible() -> None:
    """NO_RETURN: however plainly a return is announced."""
    text = "e4 e5 knight f3 knight c6 bishop b5 a6. Let's go back to knight c6. Instead of bishop b5, bishop c4."
    assert "<" in shown(read(text)) and "<" not in shown(read(text, returns=False))
    assert all(m.sure > 0.7 for m in read("e4 e5 knight f3", returns=False).moves)


@pytest.mark.parametrize(
    ("text", "heard", "sures", "turns_with"),
    [
        ("E4 E5 p3 knight f3 knight c6 bishop p5 a6", True, [99, 99, 99, 99, 93, 82], "HINDSIGHT"),
        ("e4 e5 knight f3 knight c6", False, [99, 99, 98, 90], "TEMPERATURE, USUALLY_FITS"),
        ("e4, e5, knight f3, and he covers it as one does, bishop b5, a6.", False,
         [99, 99, 96, 50, 92, 90], "UNSAID_SURE"),
    ],
)  # fmt: skip
def test_how_sure_moves_are_in_percent(text: str, heard: bool, sures: list[int], turns_with: str) -> None:
    assert [round(100 * m.sure) for m in read(text, heard).moves] == sures, turns_with

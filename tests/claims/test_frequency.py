"""Frequency claims as trainers word them, counted in a scripted base."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.counted_games import NO_BASE
from linewright.lesson.finding import Finding, Kind
from tests.claims.support import LINES, ScriptedBase, by_rule, walk_of

#: Invented counts: Nf6 is played nearly always, Bc5 never …
BASE = ScriptedBase(
    {
        LINES["open"]: {"Bb5": 600, "Bc4": 300, "d4": 80, "Nc3": 19, "h3": 1},
        LINES["open"] + " Bb5": {"a6": 700, "Nf6": 200, "d6": 60, "Nge7": 30, "f5": 10},
        LINES["open"] + " d4": {"exd4": 990, "Nxd4": 10},
        LINES["open"] + " Bc4": {"Bc5": 480, "Nf6": 470, "Be7": 50},
        LINES["open"] + " Bc4 Bc5": {"O-O": 300, "c3": 650, "d3": 50},
        LINES["open"] + " Nc3": {"Nf6": 9, "g6": 2},
        LINES["sicilian"]: {"a6": 850, "g6": 100, "Nc6": 40, "e6": 10},
        LINES["carlsbad"]: {"Nbd7": 60, "Re8": 40},
    }
)


def frequency(words: str, line: str, side: str = "white", timed: bool = False) -> list[Finding]:
    walk = walk_of(words, line, side, timed)
    return [f for f in check_walk(walk, BASE) if f.kind is Kind.FREQUENCY]


# line, words with moves marked, verdict
CLAIMS = [
    # the main move
    ("open", "The main move here is [Bb5|bishop b5], of course.", "holds"),
    ("open", "By far the most popular move is the bishop to b5.", "holds"),
    ("open", "[Bb5|Bishop b5], that is by far the main move.", "holds"),
    ("open", "[Bb5|Bb5] is the most common move in this position", "holds"),
    ("open", "So [Bc4|bishop c4], the most played move.", "fails"),
    ("open", "the most frequently played move is d4", "fails"),
    ("open", "White's favourite move is bishop to c4 in this position", "fails"),
    ("open", "The second most popular move is [Bc4|bishop c4]", "holds"),
    ("open", "knight c3 is the second most common choice", "fails"),
    # one of several main moves
    ("open", "The second main move is [Bc4|bishop c4]", "holds"),
    ("open", "The other main move is [Bc4|bishop c4], the Italian.", "holds"),
    ("open", "[Bc4|Bishop c4] is one of the main moves here", "holds"),
    ("open", "White has two main moves: [Bc4|bishop c4]", "holds"),
    ("open", "bishop b5 is played more often than anything else", "holds"),
    ("open Bb5", "The main reply is a6", "holds"),
    ("open", "[Bb5|Bishop b5], and here black's main move is [a6|a6].", "holds"),
    ("open Bb5", "Black's most common answer is to bring the knight to f6", "fails"),
    # nearly always
    ("open d4", "Practically everyone takes.", "holds"),
    ("open d4", "nearly everybody takes on d4 with the pawn", "holds"),
    ("open d4", "Black almost always exchanges on d4", "holds"),
    ("open d4", "in almost every game black takes with the knight", "fails"),
    ("open d4", "[exd4|E takes d4], nine times out of ten", "holds"),
    ("sicilian", "virtually everybody goes a6", "holds"),
    ("sicilian", "black nearly always plays g6 here", "fails"),
    ("sicilian", "the vast majority of players choose a6", "holds"),
    ("sicilian", "almost always black puts the pawn on a6", "holds"),
    ("open", "Nearly always, here, of course, white plays bishop c4.", "fails"),
    # most people
    ("open", "Most people play bishop b5 here", "holds"),
    ("open", "most players go d4 in this position", "fails"),
    ("open", "White usually brings the bishop to b5", "holds"),
    ("open", "normally white plays bishop c4", "fails"),
    ("open Bb5", "most games continue a6", "holds"),
    ("open Bb5", "And now most people play [a6|a6]", "holds"),
    ("open Bc4", "most people play bishop c5", "holds"),
    ("open Bc4", "most people play knight f6", "undecided"),
    # rare
    ("open", "h3 is very rare", "holds"),
    ("open", "hardly anyone plays knight c3", "holds"),
    ("open", "bishop c4 is a rare move", "fails"),
    ("open", "Almost nobody plays h3", "holds"),
    ("open", "nobody plays bishop c4 any more", "fails"),
    ("open", "[h3|H3], which is hardly ever played", "holds"),
    ("open", "d4 is rarely played", "undecided"),
    # numbers
    ("open", "bishop b5 is played in sixty percent of the games", "holds"),
    ("open", "Bb5 is played in 60% of games", "holds"),
    ("open", "in ninety percent of the games white plays bishop c4", "fails"),
    ("open", "d4 is played in half of the games", "fails"),
    # common
    ("open", "bishop c4 is also very common", "holds"),
    ("open", "h3 is a popular move", "fails"),
    ("open", "bishop c4 is not a common move", "fails"),
    # several moves, castling, alternatives
    ("open Bc4 Bc5", "white nearly always castles here", "fails"),
    ("open Bc4", "nearly everybody plays bishop c5 or knight f6", "holds"),
    # a move back: the claim follows the move
    ("open", "[Bb5|Bishop b5]. Everybody plays bishop b5 here", "fails"),
    ("open", "[d4|d4], although most people play bishop b5 in this position", "holds"),
    ("open", "That's what most people do, [d4|d4].", "fails"),
    # as another trainer might word it
    ("open", "Ninety percent of players choose bishop b5", "fails"),
    ("open", "Bishop b5 is what most people play.", "holds"),
    ("open", "By a wide margin the most popular continuation is bishop to b5", "holds"),
    ("open", "White's most common try is bishop c4", "fails"),
    ("open", "h3 is almost never seen", "holds"),
    ("open", "Here you'll mostly see bishop b5", "holds"),
    ("open", "What everyone plays is bishop b5", "fails"),
    ("open", "the standard move is bishop b5", "holds"),
    ("open", "in the vast majority of games white goes bishop b5", "fails"),
    ("open", "two thirds of the time it's bishop b5", "holds"),
    ("open", "[Bb5|Bishop b5] is by far the most common", "holds"),
    ("open", "[Nc3|Knight c3]. You don't see that very often.", "holds"),
    ("open", "[d4|d4], and this is a rare guest", "undecided"),
    ("open", "[h3|h3], practically nobody plays this", "holds"),
    ("open", "[Bb5|bishop b5], as almost everyone does", "fails"),
    ("open", "the second choice is bishop c4", "holds"),
    ("open", "One in three players goes bishop c4", "holds"),
    ("open", "people tend to play bishop b5", "holds"),
    ("open", "the move you'll meet most often is bishop b5", "holds"),
    ("open", "Most common by far: bishop b5.", "holds"),
    # the move pointed at, squares in words
    ("open", "[Bb5|Bishop b5]. No other move has been played so often.", "holds"),
    ("open", "[Bc4|Bishop c4]. No other third move is seen so often.", "fails"),
    ("open", "Bishop c4's the one you see the most of.", "fails"),
    ("open", "Bishop b five is the main move.", "holds"),
    # a move said right after the claim
    ("open", "This is what most people do. So now [Bb5|bishop b5].", "holds"),
    # few games
    ("open Nc3", "the main move is knight f6", "undecided"),
    # no games
    ("french", "most people play e5 here", "undecided"),
    # other games than the base's
    ("open", "nowadays most people play d4", "undecided"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "words", "verdict"), CLAIMS, ids=[f"{r[0]}: {r[1][:60]}" for r in CLAIMS])
def test_claims_are_found_and_decided(line: str, words: str, verdict: str) -> None:
    name, *moves = [line] if line in LINES else line.split()
    intro = " ".join(f"[{san}|so]" for san in moves)
    found = frequency(f"{intro}. {words}" if moves else words, name)
    assert [f.verdict.value for f in found] == [verdict], [f.evidence for f in found]


@pytest.mark.parametrize(("line", "words", "verdict"), CLAIMS, ids=[f"{r[0]}: {r[1][:60]}" for r in CLAIMS])
def test_claims_without_punctuation(line: str, words: str, verdict: str) -> None:
    name, *moves = [line] if line in LINES else line.split()
    intro = " ".join(f"[{san}|so]" for san in moves)
    found = frequency(f"{intro} {words}" if moves else words, name, timed=True)
    assert [f.verdict.value for f in found] == [verdict], [f.evidence for f in found]


def test_evidence_gives_share_games_and_the_next_move() -> None:
    (found,) = frequency("The main move is bishop b5.", "open")
    assert found.evidence == "Bb5 played in 60 % of 1,000 games (600), next Bc4 30 %"
    (found,) = frequency("The main move is bishop c4.", "open")
    assert found.evidence == "Bc4 played in 30 % of 1,000 games (300), most played Bb5 60 %"


def test_a_move_pointed_at_may_be_long_ago() -> None:
    words = "[Bc4|Bishop c4], with an eye on f7 and on many a happy evening of our youth. This bishop move remains the "
    (found,) = by_rule(frequency(f"{words}favourite.", "open"), Kind.FREQUENCY)
    assert found.verdict == "fails"


def test_few_games_are_named() -> None:
    (found,) = frequency("So [Nc3|knight c3]. The main move is knight f6.", "open")
    assert "82 % of 11 games" in found.evidence
    assert "fewer than 20 games" in found.evidence


def test_without_a_base_the_claim_stays_open_and_says_what_to_do() -> None:
    (found,) = check_walk(walk_of("Most people play bishop b5 here.", "open", "white"))
    assert (found.verdict.value, found.evidence) == ("undecided", str(NO_BASE))


def test_a_claim_after_the_move_speaks_of_the_position_before_it() -> None:
    walk = walk_of("[Bb5|Bishop b5], that is by far the main move.", "open", "white")
    (found,) = check_walk(walk, BASE)
    assert found.before == walk.moves[-1].before
    assert found.step == len(walk.steps) - 1


NO_CLAIM = [
    "Most of you push on to d4 here",
    "my pupils nearly always play bishop b5",
    "I usually play bishop b5",
    "he usually wins those games",
    "that is usually a good idea",
    "everybody wants to go to c4",
    "nobody's getting mated today",
    "most people think white is better",
    "bishop b5 should be the main move",
    "do most people play bishop b5?",
    "the queen is always better placed on e2",
    "everyone is having fun",
    "he always said that chess is a game",
    "it is a rare book",
    "my favourite move is bishop b5",
    "if most people played bishop b5 we'd be bored",
    "it's a common mistake",
    "the most important thing is the centre",
    "nobody can stop the knight on f3",
    "you rarely see such weather",
    "in most of these positions the knight is strong",
    "half of the board is empty",
    "after bishop b5 and castling most people play knight f6",
    "All games taken together I had a good year.",
    "Rule number one, look at the whole board.",
    "bishop c4 is equally popular",
]


@pytest.mark.parametrize("words", NO_CLAIM)
def test_no_claim_is_heard_where_none_is_made(words: str) -> None:
    assert not [f.evidence for f in by_rule(frequency(words, "open"), Kind.FREQUENCY)]


#: The Italian with 4.c3 and 5.d4, as a trainer speaks of it. Common practice; the counts are those of a collection of
#: which ../shared/games is a half.
ITALIAN = "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4"
CHECK = f"{ITALIAN} Bb4+ Bd2"
FACTS = [
    ("The check on b4 is the main move here.", ITALIAN, "holds", "99 % of 175 games (174)"),
    ("Hardly anybody gives the check on b4.", ITALIAN, "fails", "99 % of 175 games (174)"),
    ("Most people take on d2 here.", CHECK, "holds", "84 % of 118 games (99)"),
    ("The main move is knight takes e4.", CHECK, "fails", "16 % of 118 games (19)"),
]


@pytest.mark.parametrize(("words", "line", "verdict", "evidence"), FACTS)
def test_facts_of_the_trade(words: str, line: str, verdict: str, evidence: str) -> None:
    base = ScriptedBase({ITALIAN: {"Bb4+": 174, "Bb6": 1}, CHECK: {"Bxd2+": 99, "Nxe4": 19}})
    moves = " ".join(f"[{san}|so]" for san in line.split())
    (one,) = (f for f in check_walk(walk_of(f"{moves}. {words}", "start", "white"), base) if f.kind is Kind.FREQUENCY)
    assert one.verdict == verdict and evidence in one.evidence

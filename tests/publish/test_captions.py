"""Mended captions: what is put right, what stays as heard, and files that keep to the rules.

Caption files are judged by the strict checkers of ``tests/publish/captioned.py`` (W3C WebVTT grammar and
SubRip conventions, from memory) and by Linewright's own loaders.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from linewright.captions.corrected import CorrectedCaptions, Notation, correct_captions
from linewright.captions.edits import CorrectionKind, Edit, edited, settled
from linewright.captions.player_spelling import NO_PLAYERS, Players
from linewright.captions.subtitles import LINE, CaptionCue, captions_of, subrip_text, webvtt_text
from linewright.cli.main import app
from linewright.games.api import Player, add_games
from linewright.lesson.walk import Walk
from linewright.reading.reader import read_talk
from linewright.talk.load import TalkFormat, load_talk, load_text
from linewright.talk.model import Caption, Place, Talk, Unit, Word
from tests.games.games import pgn
from tests.publish.captioned import captioned, placed, strict_subrip, strict_webvtt
from tests.support import TALKS, needs_shared, plain_talk, walk_from_ref

SICILIAN = "[[e4|E4,]] [[c5|C5,]] "
#: After 1.e4 e5 2.Nf3 Nc6 3.Bb5 a6: pieces to move everywhere.
SPANISH = "r1bqkbnr/1ppp1ppp/p1n5/1B2p3/4P3/5N2/PPPP1PPP/RNBQK2R w KQkq - 0 4"
#: Both knights can go to d7; a bishop could too.
TWO_KNIGHTS = "rnbq1rk1/ppp2ppp/3p1n2/4p3/1b6/5N2/PPPPBPPP/RNBQ1RK1 b - - 0 7"


def mended(walk: Walk, players: Players = NO_PLAYERS, notation: Notation | None = None) -> CorrectedCaptions:
    captions = correct_captions(walk, players, notation)
    assert captions is not None
    return captions


def spoken(walk: Walk) -> Walk:
    """A typed talk's walk as if it had been spoken, fifteen characters a second."""
    words = tuple(replace(w, start=w.start / 15, end=w.end / 15) for w in walk.talk.words)
    return replace(walk, talk=replace(walk.talk, unit=Unit.SECONDS, words=words))


def shown(captions: CorrectedCaptions) -> str:
    """What is read, without times: lines of a cue separated by ``/``, cues by line breaks."""
    return "\n".join(" / ".join(cue.lines) for cue in strict_webvtt(captions.webvtt))


# -- moves, spoken -------------------------------------------------------------------------------------------

SPOKEN = [
    ("squares in lower case", "[[e4|E4,]] [[c5|C5.]]", "e4, c5."),
    ("a sentence begins", "[[Nf3|night F3.]] [[Nf6|night F6,]]", "Knight f3. Knight f6,"),
    ("no capital within one", "So [[Nf3|Knight F3,]] [[Nf6|Knight F6,]]", "So knight f3, knight f6,"),
    ("a comma between piece and square", "So [[Nf3|Knight, F3,]] then", "So knight f3, then"),
    ("takes stays takes", "[[e4|E4,]] [[d5|D5,]] [[exd5|takes,]] [[Qxd5|takes,]]", "e4, d5, takes, takes,"),
    ("the subject stays", "[[e4|E4]] [[d5|D5,]] [[exd5|we take,]] [[Qxd5|he takes]]", "e4 d5, we take, he takes"),
    ("words about a move stay", "[[Nf3|the knight hops out to F3]] here", "the knight hops out to f3 here"),
    ("a misheard square", "So [[e4|D4,]] [[c5|C5,]]", "So e4, c5,"),
    ("a square in two words", "So [[e4|be four,]] [[c5|see 5]]", "So e4, c5"),
    ("a square in one word", "So [[d4|default,]] [[d5|D5]]", "So d4, d5"),
    ("unsure moves stay", "So [[e4?|D4,]] and [[Nf6?|night F6]]", "So d4, and night f6"),
    ("a piece outside the reading", "[[Nf3|night F3,]] night [[Nf6|F6,]]", "Knight f3, knight f6,"),
]


@pytest.mark.parametrize(("why", "heard", "read"), SPOKEN, ids=[row[0] for row in SPOKEN])
def test_moves_spoken(why: str, heard: str, read: str) -> None:
    assert shown(mended(captioned(heard))) == read


FROM_POSITIONS = [
    (SPANISH, "[[Ba4|this should A4,]] ok", "Bishop a4, ok"),
    (SPANISH, "now [[Ba4|this ship before,]] ok", "now bishop a4, ok"),
    (SPANISH, "now [[Bxc6|this should takes,]] [[dxc6|takes.]]", "now bishop takes, takes."),
    (SPANISH, "so [[Bxc6|bishop takes, C6,]] [[dxc6|D takes C6.]]", "so bishop takes c6, d takes c6."),
    (SPANISH, "so [[Bxc6|bishop takes,]] C6, good", "so bishop takes c6, good"),
    (SPANISH, "so [[O-O|castiles,]] now", "so castles, now"),
    (SPANISH, "so [[O-O|castles short,]] now", "so castles short, now"),
    (SPANISH, "so [[Ba4|Ba4,]] now", "so bishop a4, now"),
    (SPANISH, "so [[Nc3|the horse to C3,]] now", "so the horse to c3, now"),
    (SPANISH, "so [[Bxc6|munch,]] now", "so munch, now"),
    (SPANISH, "so [[Nxe5|act takes E5,]] now", "so knight takes e5, now"),
    (SPANISH, "so act [[Nxe5|takes E5,]] now", "so knight takes e5, now"),
    (SPANISH, "so [[Nc3|93,]] now", "so knight c3, now"),
    (TWO_KNIGHTS, "and [[Nbd7|Knight BD7,]] [[d3|D3]]", "and knight b d7, d3"),
    (TWO_KNIGHTS, "and [[Nfd7|Knight F D7,]] [[d3|D3]]", "and knight f d7, d3"),
    (TWO_KNIGHTS, "and [[Nbd7|knight B7,]] [[d3|D3]]", "and knight b d7, d3"),
    (TWO_KNIGHTS, "and [[Nfd7|the king's knight to D7,]] [[d3|D3]]", "and the king's knight to d7, d3"),
    (TWO_KNIGHTS, "move the F9 [[Nfd7|to D7,]] [[d3|D3]]", "move the f knight to d7, d3"),
]


@pytest.mark.parametrize(("start", "heard", "read"), FROM_POSITIONS)
def test_moves_spoken_from_a_position(start: str, heard: str, read: str) -> None:
    assert shown(mended(captioned(heard, start))) == read


def test_a_square_is_overruled_only_when_very_sure() -> None:
    walk = captioned("So [[e4|D4,]] [[c5|C5]]")
    doubted = replace(walk, steps=tuple(replace(step, sure=0.9) for step in walk.steps))
    assert shown(mended(walk)) == "So e4, c5"
    assert shown(mended(doubted)) == "So d4, c5"


def test_true_words_are_left_as_they_are() -> None:
    """The open talks' own texts with their true readings: only squares and files at sentences' starts change."""
    if not TALKS.is_dir():
        pytest.skip("needs ../shared/talks beside the project")
    for name in ("panov", "benoni", "scotch", "slav"):
        walk, _ = walk_from_ref(name)
        timed = spoken(walk)
        for edit in mended(timed).edits:
            heard = timed.talk.quote(edit.first, edit.last)
            assert re.fullmatch(r"[A-H]|[A-H][1-8]\W*", heard), (name, edit)
            assert edit.text == heard.lower()


# -- moves, written ------------------------------------------------------------------------------------------

WRITTEN = [
    ("numbers where a line begins", "[[Nf3|Knight F3,]] [[d5|D5.]] {back} Or [[d4|D4,]]", "1.Nf3, d5. Or 1.d4,"),
    ("misheard words are replaced whole", "So [[Nf3|night F3,]] night [[Nf6|F6]]", "So 1.Nf3, Nf6"),
    ("bare takes", "[[e4|E4,]] [[d5|D5,]] [[exd5|takes,]] [[Qxd5|takes,]]", "1.e4, d5, exd5, Qxd5,"),
    ("a sentence keeps its words", "[[e4|E4,]] [[d5|D5,]] [[exd5|we take]] and", "1.e4, d5, we take and"),
    ("the knight takes", "[[e4|E4,]] [[Nf6|the knight to F6]]", "1.e4, the knight to f6"),
    ("unsure moves stay", "[[e4|E4,]] [[Nf6?|night F6]]", "1.e4, night f6"),
]


@pytest.mark.parametrize(("why", "heard", "read"), WRITTEN, ids=[row[0] for row in WRITTEN])
def test_moves_written(why: str, heard: str, read: str) -> None:
    assert shown(mended(captioned(heard), notation=Notation(figurines=False))) == read


def test_black_begins_a_line_with_three_dots_and_figurines_replace_letters() -> None:
    walk = captioned("[[Ba4|Bishop A4,]] [[Nf6|knight F6,]]", SPANISH)
    assert shown(mended(walk, notation=Notation())) == "4.♗a4, ♘f6,"
    black = captioned("then [[Nbd7|knight BD7,]] [[d3|D3]]", TWO_KNIGHTS)
    assert shown(mended(black, notation=Notation())) == "then 7...♘bd7, d3"


@needs_shared
@pytest.mark.parametrize("name", ["panov", "slav"])
def test_written_moves_are_the_walks_own(name: str) -> None:
    """Every written move is a sure move of the walk, in order, and legal in its position (``chess`` library)."""
    walk, _ = walk_from_ref(name)
    timed = spoken(walk)
    edits = [e for e in mended(timed, notation=Notation(figurines=False)).edits if e.why == "written in notation"]
    assert len(edits) > 60
    moves = iter(walk.moves)
    for edit in edits:
        san = re.sub(r"^\W*(\d+\.+)?|[^\w+#=]+$", "", edit.text)
        move = next(m for m in moves if m.said.first >= edit.first and m.san == san)
        assert chess.Board(move.before).parse_san(san).uci() == move.uci


# -- squares and pieces outside moves --------------------------------------------------------------------------

SPELLED = [
    ("The E file and a pawn on D4.", "The e file and a pawn on d4."),
    ("His C pawn, the F knight, D takes.", "His c pawn, the f knight, d takes."),
    ("The Knight on C3, his Bishop too.", "The knight on c3, his bishop too."),
    ("White plays. rook E8 is next.", "White plays. Rook e8 is next."),
    ("That was William Bishop again.", "That was William Bishop again."),
    ("The Queen's Gambit and the King's Indian.", "The Queen's Gambit and the King's Indian."),
    ("Where our night took on D4.", "Where our knight took on d4."),
    ("A cold night. Good night everybody.", "A cold night. Good night everybody."),
    ("Those with the queen's palm on it.", "Those with the queen's pawn on it."),
    ("Vitamins A and B are good, plan B too.", "Vitamins A and B are good, plan B too."),
    ("It is the B-Pawn, not the Pawn here.", "It is the b-pawn, not the pawn here."),
]


@pytest.mark.parametrize(("heard", "read"), SPELLED)
def test_spelling(heard: str, read: str) -> None:
    assert shown(mended(captioned(heard))) == read


# -- openings' names -----------------------------------------------------------------------------------------

CARO = "[[e4|E4]] [[c6|C6]] [[d4|D4]] [[d5|D5]] [[exd5|takes]] [[cxd5|takes]] [[c4|C4]]\n"
SLAV = "[[d4|D4]] [[d5|D5]] [[c4|C4]] [[c6|C6]]\n"
SCOTCH = "[[e4|E4]] [[e5|E5]] [[Nf3|Knight F3]] [[Nc6|knight C6]] [[d4|D4]] [[exd4|takes]] [[Nxd4|takes]] "
FOUR = SCOTCH + "[[Nf6|knight F6]] [[Nc3|knight C3]]\n"
OPENINGS = [
    (CARO, "Tonight it's the care of can.", "Tonight it's the Caro-Kann."),
    (CARO, "The caro can is an umbrella.", "The Caro-Kann is an umbrella."),
    (CARO, "The pen of attack, that's the Pan-Ov.", "The Panov attack, that's the Panov."),
    (CARO, "We've transposed into an imzo-indian, good.", "We've transposed into a Nimzo-Indian, good."),
    (CARO, "He can fiancetto, he can fiend Keto.", "He can fianchetto, he can fianchetto."),
    (CARO, "One fine day, and fine day it was.", "One fine day, and fine day it was."),
    (CARO, "The pen of my aunt, with care of course.", "The pen of my aunt, with care of course."),
    (CARO, "We are a pawn up and the pawn now falls.", "We are a pawn up and the pawn now falls."),
    (SLAV, "My opening is the slob.", "My opening is the Slav."),
    (SLAV, "It is the sly of, I shall go slowly.", "It is the Slav, I shall go slowly."),
    (SLAV, "This is an exchange care of can by another route.", "This is an exchange Caro-Kann by another route."),
    (SLAV, "A slow move, a slip, a slap, slob!", "A slow move, a slip, a slap, slob!"),
    (SLAV, "He took care of can openers.", "He took care of can openers."),
    (
        FOUR,
        "That's the four knights of the scotch four knights.",
        "That's the Four Knights of the Scotch Four Knights.",
    ),
    (FOUR, "Such a mess with four knights left.", "Such a mess with four knights left."),
]


@pytest.mark.parametrize(("line", "heard", "read"), OPENINGS, ids=[row[1] for row in OPENINGS])
def test_openings_names(line: str, heard: str, read: str) -> None:
    assert shown(mended(captioned(line + heard))).splitlines()[-1] == read


@pytest.mark.parametrize("line", [CARO, SLAV, FOUR], ids=["caro", "slav", "scotch"])
def test_other_texts_hold_no_misheard_openings(line: str) -> None:
    """Thousands of words that speak of no opening: the GNU General Public License, version 3."""
    text = (Path(__file__).parents[2] / "LICENSE").read_text()
    walk = captioned(line)
    talk = replace(plain_talk(text), unit=Unit.SECONDS)
    silent = tuple(replace(s, said=replace(s.said, first=0, last=0)) for s in walk.steps)
    edits = mended(replace(walk, talk=talk, steps=silent)).edits
    assert len(talk.words) > 5000
    assert [e for e in edits if e.kind is not CorrectionKind.SPELLING] == []


# -- players' names ------------------------------------------------------------------------------------------


@dataclass
class Club:
    """Invented players and who met whom; remembers what it was asked."""

    people: tuple[Player, ...]
    met: dict[tuple[str, int | None], tuple[str, ...]] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)

    def players(self) -> tuple[Player, ...]:
        self.asked.append("players")
        return self.people

    def opponents(self, name: str, year: int | None = None, through: chess.Board | None = None) -> tuple[str, ...]:
        self.asked.append(name)
        return self.met.get((name, year), ())


CLUB = Club(
    (
        Player("Quillenbrand, Oda", 400, 1950, 1972),
        Player("Quillenbrant, T", 3, 2001, 2003),
        Player("Marzipovski, Jan", 300, 1948, 1970),
        Player("Teapotson,B", 2, 1960, 1961),
    ),
    {("Quillenbrand, Oda", 1961): ("Teapotson,B", "Marzipovski, Jan")},
)
PLAYERS = [
    ("Quillen brand beat somebody in 1961.", "Quillenbrand beat somebody in 1961."),
    ("Quillenbrant beat him in 1961.", "Quillenbrand beat him in 1961."),
    ("Quillenbrant beat him in 2002.", "Quillenbrant beat him in 2002."),
    ("That was Marzy of ski against Quillen brand, 1961.", "That was Marzipovski against Quillenbrand, 1961."),
    ("Here Quillenbrandt, at the seaside in 1961.", "Here Quillenbrand, at the seaside in 1961."),
    ("Marzipofski versus Quillen-Brand it was.", "Marzipovski versus Quillenbrand it was."),
    ("He played against a man with a loud watch.", "He played against a man with a loud watch."),
    ("My friend Teapot beat me twice.", "My friend Teapot beat me twice."),
    (
        "I lost against Marzipan cake in the year she was born.",
        "I lost against Marzipan cake in the year she was born.",
    ),
]


@pytest.mark.parametrize(("heard", "read"), PLAYERS)
def test_players_names(heard: str, read: str) -> None:
    assert shown(mended(captioned(heard), CLUB)) == read


def test_no_quote_asks_no_base() -> None:
    club = Club(CLUB.people)
    mended(captioned(CARO + "Nobody met anybody here."), club)
    assert club.asked == []


def test_without_a_base_no_player_is_mended() -> None:
    assert shown(mended(captioned("Fisher beat Spasky in 1972."))) == "Fisher beat Spasky in 1972."


# -- cues, times, files --------------------------------------------------------------------------------------


def test_cue_times_and_lines_stay() -> None:
    walk = captioned("We go / [[Nf3|night F3,]] and\n[[Nf6|night / F6.]] Fine.")
    cues = strict_webvtt(mended(walk).webvtt)
    assert [(c.start, c.end) for c in cues] == [(0, 4900), (5000, 7900)]
    assert [c.lines for c in cues] == [("We go", "knight f3, and"), ("knight f6.", "Fine.")]


def test_a_mend_never_empties_a_cue() -> None:
    """A misheard piece in one cue, its square in the next, each the whole of it: nothing to join."""
    walk = captioned("So\nnight\nF3,\nthen")
    edit = Edit(1, 3, "knight f3,", CorrectionKind.MOVE, "")
    cues = captions_of(walk.talk)
    assert [e.text for e in settled(walk.talk, cues, [edit])] == ["knight", "f3,"]
    assert settled(walk.talk, cues, [replace(edit, text="Nf3,")]) == ()


def test_changes_are_listed_with_their_places() -> None:
    captions = mended(captioned("So [[Nf3|night F3,]] [[d5|D5.]]\nThe slow E file."))
    head, *lines = captions.changes.splitlines()
    assert head == f"test.vtt: {captions.summary}"
    assert lines == [
        "test.vtt:1:2: move: night F3, -> knight f3, (the move is Nf3)",
        "test.vtt:1:4: spelling: D5. -> d5. (lower case)",
        "test.vtt:2:7: spelling: E -> e (lower case)",
    ]
    assert len(lines) == len(captions.edits)


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Zs", "Zl", "Zp", "Cc")), min_size=1, max_size=9)
ODD = st.sampled_from(["-->", "<i>", "</b>", "&amp;", "&", "a-->b", "{\\an8}", "<v", "Bob>", "00:01.000", "12", "NOTE"])


@st.composite
def timed_talks(draw: st.DrawFn) -> Talk:
    """Talks of any words in cues of any length, starts never going back, as the loaders give them."""
    words: list[Word] = []
    cues: list[Caption] = []
    at = 0.0
    for _ in range(draw(st.integers(1, 5))):
        told = draw(st.lists(WORDS | ODD, min_size=1, max_size=6))
        told = [w for w in told if w.strip() and not w.isspace() and w.split() == [w]] or ["so"]
        at += draw(st.floats(0, 5))
        end = at + draw(st.floats(0, 5))
        first = len(words)
        words += [Word(w, (0, 0), at, end, Place(1, 1)) for w in told]
        cut = draw(st.integers(first + 1, len(words)))
        lines = (first,) if cut == len(words) else (first, cut)
        cues.append(Caption(first, len(words), at, end, lines))
    text, placed_words = placed(words)
    return Talk("T", "t.vtt", Unit.SECONDS, text, placed_words, captions=tuple(cues))


def plain_cues(talk: Talk) -> tuple[CaptionCue, ...]:
    return edited(talk, captions_of(talk), ())


@settings(max_examples=150, deadline=None)
@given(timed_talks())
def test_any_words_make_valid_files_that_read_back(talk: Talk) -> None:
    cues = plain_cues(talk)
    vtt, srt = webvtt_text(cues), subrip_text(cues)
    times = [(round(c.start * 1000), max(round(c.end * 1000), round(c.start * 1000) + 1)) for c in talk.captions]
    assert [(c.start, c.end) for c in strict_webvtt(vtt)] == times
    assert [(c.start, c.end) for c in strict_subrip(srt)] == times
    seen = [word for c in strict_webvtt(vtt) for line in c.lines for word in line.split()]
    assert "".join(seen) == "".join(word.text for word in talk.words)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.lists(st.text("abcdeé&<>-;{}\\/i4", min_size=1, max_size=6), min_size=1, max_size=5), min_size=1))
def test_files_are_read_again_word_for_word(told: list[list[str]]) -> None:
    """Our own loaders give back every word, in cues far enough apart not to be taken for scrolling ones."""
    words: list[Word] = []
    cues: list[Caption] = []
    for number, texts in enumerate(told):
        first = len(words)
        words += [Word(t, (0, 0), 3.0 * number, 3.0 * number + 1, Place(1, 1)) for t in texts]
        cues.append(Caption(first, len(words), 3.0 * number, 3.0 * number + 1, (first,)))
    text, placed_words = placed(words)
    talk = Talk("T", "t.vtt", Unit.SECONDS, text, placed_words, captions=tuple(cues))
    wanted = "".join(t for texts in told for t in texts)
    for kind, file in (
        (TalkFormat.WEBVTT, webvtt_text(plain_cues(talk))),
        (TalkFormat.SUBRIP, subrip_text(plain_cues(talk))),
    ):
        again = load_text(file, kind, "t")
        assert "".join(word.text for word in again.words) == wanted, kind
        assert again.notes == ()


@settings(max_examples=150, deadline=None)
@given(timed_talks(), st.data())
def test_edits_keep_every_cue_and_its_times(talk: Talk, data: st.DataObject) -> None:
    count = len(talk.words)
    spans = data.draw(st.lists(st.tuples(st.integers(0, count - 1), st.integers(1, 4)), max_size=4))
    edits = [Edit(a, min(a + n, count), "mended", CorrectionKind.MOVE, "") for a, n in spans]
    cues = captions_of(talk)
    kept = settled(talk, cues, edits)
    assert all(one.last <= two.first for one, two in pairwise(kept))
    out = edited(talk, cues, kept)
    assert [(c.start, c.end) for c in out] == [(c.start, c.end) for c in cues]
    told = [piece.text for cue in out for line in cue.lines for piece in line]
    assert told.count("mended") >= len(kept)


def test_two_edits_that_share_a_line_leave_no_cue_empty() -> None:
    """Found by the law above: the first edit takes the line before theirs, the second can't stand in two."""
    text, words = placed([Word("so", (0, 0), 0.0, 0.0, Place(1, 1))] * 10)
    bounds = ((0, 3, (0, 1)), (3, 8, (3,)), (8, 9, (8,)), (9, 10, (9,)))
    cues = tuple(Caption(first, last, 0.0, 0.0, lines) for first, last, lines in bounds)
    talk = Talk("T", "t.vtt", Unit.SECONDS, text, words, captions=cues)
    kept = settled(talk, cues, [Edit(a, b, "mended", CorrectionKind.MOVE, "") for a, b in ((2, 6), (6, 9))])
    assert len(edited(talk, cues, kept)) == len(cues)


def test_inner_time_stamps_are_kept() -> None:
    """The W3C text's own example of a timed cue, in short: each stamp stands again before its word."""
    source = "WEBVTT\n\n00:00.000 --> 00:04.000\nNow <00:01.000>E4 <00:02.500>and <00:03.000>C5\n"
    talk = load_text(source, TalkFormat.WEBVTT, "t.vtt")
    captions = mended(read_talk(talk))
    assert "Now <00:00:01.000>e4 <00:00:02.500>and <00:00:03.000>c5" in captions.webvtt
    strict_webvtt(captions.webvtt)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 3), st.floats(0.05, 2), st.sampled_from("so e4. knight, a -Earn".split())),
        min_size=1,
        max_size=80,
    )
)
def test_recognised_words_are_cut_into_captions(heard: list[tuple[float, float, str]]) -> None:
    """Words with times and no cues: each is shown once, lines are short, cues follow one another."""
    words, at = [], 0.0
    for silence, length, text in heard:
        at += silence
        words.append(Word(text, (0, 0), at, at + length, Place(1, 1)))
        at += length
    text, placed_words = placed(words)
    talk = Talk("T", "t.json", Unit.SECONDS, text, placed_words)
    cues = captions_of(talk)
    assert [cue.first for cue in cues] == [0, *(cue.last for cue in cues[:-1])]
    assert cues[-1].last == len(words)
    for cue in strict_webvtt(webvtt_text(edited(talk, cues, ()))):
        assert len(cue.lines) <= 2
        assert all(len(line) <= LINE + 12 for line in cue.lines)


def test_parts_of_a_hyphenated_word_are_joined() -> None:
    """As recognisers give them: ``{"word": "T"}, {"word": "-Earn"}``."""
    heard = [{"word": word, "start": at, "end": at + 1} for at, word in enumerate(["The", " T", "-Earn"])]
    source = json.dumps({"words": heard})
    talk = load_text(source, TalkFormat.RECOGNISER, "t.json")
    assert shown(mended(Walk(talk, ()))) == "The T-Earn"


# -- the whole -----------------------------------------------------------------------------------------------


@needs_shared
@pytest.mark.parametrize("name", ["panov.clear.vtt", "slav.rough.vtt"])
def test_mended_captions_are_read_as_before(name: str) -> None:
    """The beginning of real captions, without a base: the very same walk from both mended files."""
    start = "\n\n".join((TALKS / name).read_text().split("\n\n")[:28]) + "\n"
    walk = read_talk(load_text(start, TalkFormat.WEBVTT, name))
    captions = mended(walk)
    told = [(m.before, m.uci) for m in walk.moves]
    assert len(told) > 8
    for kind, file in ((TalkFormat.WEBVTT, captions.webvtt), (TalkFormat.SUBRIP, captions.subrip)):
        again = read_talk(load_text(file, kind, name))
        assert [(m.before, m.uci) for m in again.moves] == told


@needs_shared
@pytest.mark.parametrize("name", sorted(p.name for p in TALKS.glob("*.vtt")) if TALKS.is_dir() else [])
def test_real_captions_stay_valid_with_their_times(name: str) -> None:
    talk = load_talk(TALKS / name)
    walk = Walk(talk, ())
    captions = mended(walk)
    times = [(round(c.start * 1000), round(c.end * 1000)) for c in talk.captions]
    assert [(c.start, c.end) for c in strict_webvtt(captions.webvtt)] == times
    assert [(c.start, c.end) for c in strict_subrip(captions.subrip)] == times


def test_typed_talks_have_no_captions() -> None:
    assert correct_captions(replace(captioned(SLAV), talk=plain_talk("d4 d5"))) is None


@pytest.mark.parametrize(("options", "told"), [([], "knight f3"), (["--notation"], "♘f3"), (["--letters"], "Nf3")])
def test_build_writes_captions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: list[str], told: str) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    games = tmp_path / "games.pgn"
    games.write_text("".join(pgn("1. e4 e5 2. Nf3 Nc6 3. Bb5 a6", White=f"Amber, {i}") for i in range(40)))
    add_games(tmp_path / "base.duckdb", [games])
    source = tmp_path / "evening.srt"
    source.write_text("1\n00:00:00,000 --> 00:00:04,000\nE4, E5, night F3, night C6, this should B5.\n")
    out = tmp_path / "out"
    done = CliRunner().invoke(
        app, ["build", str(source), "-o", str(out), "--base", str(tmp_path / "base.duckdb"), *options]
    )
    assert done.exit_code == 0, done.output
    made = {p.name for p in out.iterdir() if p.name.startswith("evening")}
    assert made >= {"evening.captions-changes.txt", "evening.html", "evening.pgn", "evening.srt", "evening.vtt"}
    (cue,) = strict_webvtt((out / "evening.vtt").read_text(encoding="utf-8"))
    assert strict_subrip((out / "evening.srt").read_text(encoding="utf-8")) == (cue,)
    assert told in cue.lines[0]
    assert (cue.start, cue.end) == (0, 4000)
    assert "changes to the captions" in done.stderr

"""Garbled words and hurried notation: which moves they may mean, and which sentences stay talk."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.reading.phrases.phrase_finder import FAR_FETCHED, PhraseFinder
from linewright.reading.words import rhymes, soundalikes
from linewright.reading.words.caption_like import is_heard, looks_heard
from linewright.reading.words.lattice import lattice
from linewright.reading.words.tokens import tokens
from linewright.reading.words.units import units
from linewright.talk.load import TalkFormat, load_talk, load_text
from linewright.talk.model import Talk

ROOT = Path(__file__).parents[2]
GIVEN = ROOT.parent / "shared" / "talks"
SEEN = ROOT / "bench" / "talks"


def talk(text: str) -> Talk:
    return load_text(text, TalkFormat.TYPED, "talk.txt")


def moves(text: str, heard: bool) -> set[str]:
    """The moves that some phrase of the words offers, written as ``Nf3 exd5 O-O x``."""
    words = tokens(talk(text))
    out = set()
    for phrases in PhraseFinder(words, heard).all():
        for p in phrases:
            if p.cost <= FAR_FETCHED:
                out.add({"K": "O-O", "Q": "O-O-O", "?": "castles"}.get(p.castles, p.named) if p.castles else p.named)
    return out


HEARD = [
    # letters that rhyme
    ("knight to p5", "Nb5 Nc5 Nd5 Ne5 Ng5", "a letter that no board has: any of its rhyming files"),
    ("bishop z3", "Bb3 Bc3 Bd3 Be3 Bg3", "z as in American English"),
    ("he plays t four", "b4 c4 d4 e4 g4", "in two words"),
    ("g takes x6", "gxf6", "f s x"),
    ("and s6", "f6", "f s x"),
    ("queen v6", "Qb6 Qg6", "v"),
    ("rook k8", "Ra8 Rh8", "a h j k"),
    ("knight d7", "Nb7 Ne7", "a rhyming letter of the board, dearer"),
    # pieces
    ("night to f3", "Nf3", "night"),
    ("knife f3", "Nf3", "knife"),
    ("night b t7", "Nbd7", "night with its file"),
    ("nightsee3", "Nc3", "run together"),
    ("rookd1", "Rd1", "run together"),
    ("bishopbee 5", "Bb5", "run together, the figure apart"),
    ("rook gate", "Rg8", "g8 in one word"),
    ("b g5", "Bg5", "a bishop shortened to its letter"),
    ("bish up e7", "Be7", "by its consonants"),
    # letters and figures as words
    ("each six", "h6", "h6"),
    ("he four", "e4", "e4"),
    ("a six", "a6", "a6"),
    ("d five and then see for and now he takes it", "c4", "among moves"),
    ("knight takes be for", "Nxb4", "after takes"),
    ("queen be six", "Qb6", "b6"),
    ("with sea six", "c6", "c6"),
    ("bishop takes sea4", "Bxc4", "run together"),
    ("now ethree", "e3", "run together"),
    ("queen e to", "Qe2", "to as 2"),
    ("rook h ate", "Rh8", "ate as 8"),
    ("knight d for", "Nd4", "for as 4"),
    ("bishop g fore", "Bg4", "fore as 4"),
    ("knight f tree", "Nf3", "three"),
    ("knight f sex", "Nf6", "six"),
    ("knight e won", "Ne1", "one"),
    # castling
    ("white cast less", "castles", "two words"),
    ("first casals", "castles", "a word that is none"),
    ("and white just cars those", "castles", "two words"),
    ("castle's long", "O-O-O", "an apostrophe"),
    # several moves in one word
    ("now d45", "d4 d5", "d4 d5"),
    ("a6 e4c5", "e4 c5", "two pawns"),
    ("pawn d41", "d4", "a figure too many"),
]


@pytest.mark.parametrize(("words", "expected", "comment"), HEARD, ids=[row[0] for row in HEARD])
def test_garbled_words_offer_their_moves(words: str, expected: str, comment: str) -> None:
    assert set(expected.split()) <= moves(words, True), comment


TALK = [
    "see for yourself what happens",
    "he for one likes it",
    "it would be for nothing",
    "be for a moment the trainer",
    "three moves to make, that is free",
    "it costs you a tempo",
    "in each case also the plan",
    "we meet at the club at eight",
    "I want tea",
    "push up your chair and look",
    "the chess club meets on Friday",
    "a chess evening for all",
    "the gate is open to everybody",
    "half of them want to live",
]


@pytest.mark.parametrize("words", TALK)
@pytest.mark.parametrize("heard", [False, True])
def test_ordinary_sentences_offer_no_square(words: str, heard: bool) -> None:
    assert not {m for m in moves(words, heard) if m not in ("x", "a check")}, words
    assert "chess" not in words or not moves(words, heard)


WRITTEN = [
    ("1. e4 e5 2. nf3 nc6 3. bb5 a6 4. ba4 nf6 5. o-o", "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O", "small pieces"),
    ("2. nf3 nc6 4. bxc6 rxd5 nbd2", "Bxc6 bxc6 Rxd5 Nbd2", "a small b may be a bishop or a pawn"),
    ("2. sf3 sc6 3. lb5", "Nf3 Nc6 Bb5", "small pieces of another language"),
    ("3. ed Qxd5 4. cb", "exd5 cxb5", "files alone beside a move's number"),
    ("then e:d and bxc", "exd5 exd4 bxc6", "files with a sign"),
    ("exd", "exd5", "files with a sign"),
    ("2. Sf3 Lg4 3. Tc1 Dd7", "Nf3 Bg4 Rc1 Qd7", "German pieces"),
    ("2. Cf3 Fb4", "Nf3 Bb4", "French pieces"),
    ("Cxd5 then", "cxd5 Nxd5", "a sentence begins with a pawn's capture"),
    ("long castles", "O-O-O", "the side first"),
    ("White castles short", "O-O", "the side last"),
    ("0-0-0 and O–O and o-o", "O-O O-O-O", "noughts, dashes, small letters"),
    ("the rook a d1", "Rad1", "a file that is an article elsewhere"),
    ("knight to p5", "Nb5 Nd5", "a letter that no board has is a slip in typed texts, too"),
    ("d4 x5", "f5", "beside a square"),
    ("knight f7, chess", "Nf7", "check"),
    ("e2e4", "e2e4", "long notation stays"),
    ("d4f5", "d4f5", "long notation of two squares in the middle is one move, or two"),
]


@pytest.mark.parametrize(("words", "expected", "comment"), WRITTEN, ids=[row[0] for row in WRITTEN])
def test_hurried_notation_offers_its_moves(words: str, expected: str, comment: str) -> None:
    assert set(expected.split()) <= moves(words, False), comment


@pytest.mark.parametrize(
    ("words", "missing", "comment"),
    [
        ("2. Nf3 Nc6 4. bxc6", "Bxc6", "a hand that writes pieces large means a pawn"),
        ("Ed plays on and cd players", "exd5 cxd5", "names and words beside no number"),
        ("2. nf3 nc6 3. bb5", "b5 bb5", "no hand writes a pawn's step so"),
        ("version p5 of this book", "b5 d5", "no move around"),
        ("he said be for", "b4", "nothing speaks for a square"),
    ],
)
def test_hurried_notation_has_its_bounds(words: str, missing: str, comment: str) -> None:
    assert not set(missing.split()) & moves(words, False), comment


def test_a_bishops_capture_costs_more_than_nothing_only_in_a_small_hand() -> None:
    costs = {e.value: e.cost for edges in lattice(tokens(talk("1. nf3 bxc6")), False) for e in edges}
    assert costs["Bxc6"] <= 0.5 and costs["bxc6"] == 0.0


@pytest.mark.parametrize("words", ["takes, takes", "exchange, exchange", "trade, trade", "castles, castles"])
def test_two_moves_in_the_same_word_stay_two(words: str) -> None:
    assert len(tokens(talk(words))) == 2


def test_stutters_are_one_word() -> None:
    assert [t.text for t in tokens(talk("the bishop, bishop c4"))] == ["the", "bishop", "c4"]


@pytest.mark.parametrize(
    "word", ["done", "height", "gone", "bone", "heaven", "kingside", "rookie", "queens", "Be3", "De5"]
)
def test_words_that_only_look_run_together_stay_whole(word: str) -> None:
    assert len(tokens(talk(word))) == 1


def test_check_is_no_chess_without_a_move() -> None:
    for text in ("good chess", "chess club", "e4. Chess is fun"):
        assert not any(
            e.kind == "check" for heard in (False, True) for es in lattice(tokens(talk(text)), heard) for e in es
        )


# -- whether a text is captions --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "heard", "comment"),
    [
        ("night b d7 and then night to f3", True, "misheard knights"),
        ("Queen e to and knight takes p5.", True, "a figure as a word, a letter that no board has"),
        ("We play Knight F3. " + "Then bishop C4, and D4 again. " * 6, True, "squares in capitals, every one"),
        ("We play Nf3. " + "Then bishop C4, and D4 again. " * 6, False, "a typist writes pieces by letters"),
        ("so we look at the plan and then talk about it " * 8, True, "no punctuation"),
        ("so we look at the plan and then talk about it " * 3, False, "too short to show a habit"),
        ("At night the knight goes to f3, and b4 follows.", False, "night as a time of day"),
        ("Knight takes c5, e four, d five, queen e two.", False, "dictated squares in words"),
        ("The knight is on e4. See 4 reasons why. He has two.", False, "figures in talk"),
        ("night f3", False, "a single slip"),
    ],
)
def test_captions_are_told_by_how_they_look(text: str, heard: bool, comment: str) -> None:
    assert looks_heard(tokens(talk(text))) is heard, comment


def typed() -> list[Path]:
    return [*GIVEN.glob("*.txt"), *(SEEN / "seen").glob("*.txt"), *(SEEN / "seen").glob("london.md")]


@pytest.mark.parametrize("path", typed(), ids=lambda p: p.name)
def test_typed_talks_are_not_heard(path: Path) -> None:
    loaded = load_talk(path)
    assert not is_heard(loaded, tokens(loaded))


@pytest.mark.parametrize("path", [*GIVEN.glob("*.vtt"), *(SEEN / "seen").glob("*.vtt")], ids=lambda p: p.name)
def test_captions_pasted_into_a_text_are_heard(path: Path) -> None:
    pasted = talk(" ".join(word.text for word in load_talk(path).words))
    assert is_heard(pasted, tokens(pasted))


# -- laws ------------------------------------------------------------------------------------------------

WORDS = st.sampled_from(
    "the knight bishop rook queen king pawn takes castles kingside check e4 d5 Nf3 exd5 O-O to on with and then he she "
    "see be for four we have plan good move c h a b 4 three again file square gate tea date also cases".split()
)


@given(st.lists(WORDS, min_size=1, max_size=12))
@settings(deadline=None)
def test_careful_typing_knows_no_rhymes(words: list[str]) -> None:
    """Law: in a typed text without odd squares every square offered is spelled there, letter and figure."""
    spelled = tokens(talk(" ".join(words)))
    figures = {"four": "4", "three": "3"}
    said = {t.text[-2:] for t in spelled} | {a.text + figures.get(b.text, b.text) for a, b in pairwise(spelled)}
    for edges in lattice(spelled, False):
        for edge in edges:
            assert edge.kind != "square" or edge.value in said
            assert edge.kind not in ("pieceto", "piecefile", "filetakes")


@given(st.sampled_from("bcdegptvzahjkfsx"), st.sampled_from("12345678"))
@settings(deadline=None)
def test_rhyming_letters_offer_all_their_files(letter: str, figure: str) -> None:
    """Law: a heard square may be any that rhymes; one that the board has stays the likeliest."""
    group = next(g for g in rhymes.RHYMING if letter in g)
    found = {m.value: m.cost for m in soundalikes.meanings(tokens(talk(letter + figure)), 0, soundalikes.table())}
    files = {f for f in group if f in rhymes.BOARD}
    assert {f + figure for f in files} <= found.keys() or letter in rhymes.BOARD
    if letter in rhymes.BOARD:
        assert found[letter + figure] == min(cost for value, cost in found.items() if value[1:] == figure)


@given(st.sampled_from(sorted(units().pieces)), st.sampled_from("abcdefgh"), st.sampled_from("2345678"))
@settings(deadline=None)
def test_glued_words_read_as_apart(piece: str, file: str, rank: str) -> None:
    """Law: a piece run together with its square is the same two tokens."""
    glued, apart = (tokens(talk(t)) for t in (f"{piece}{file}{rank}", f"{piece} {file}{rank}"))
    assert [t.text for t in glued] == [t.text for t in apart]

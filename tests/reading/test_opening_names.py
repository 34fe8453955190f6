"""Openings' names in sentences of our own, typed and misheard, and sentences that name none.

Which line a name means is checked against the table's moves (common practice, from memory) and, for all names at
once, against the catalogue of ``ocn-chess``, a source outside the project.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.lesson.opening import catalogue
from linewright.reading.openings.opening_index import Freedom, board_after, opening_index, plain_words, position_key
from linewright.reading.openings.opening_names import MOST_LINES, NamedOpening, find_openings
from linewright.reading.words.tokens import Token, tokens
from linewright.talk.load import load_text


def split(text: str) -> tuple[Token, ...]:
    return tokens(load_text(text))


def key_of(line: str) -> str:
    """The position after moves in standard algebraic notation."""
    board = chess.Board()
    for san in re.sub(r"\d+\.+", " ", line).split():
        board.push_san(san)
    return position_key(tuple(move.uci() for move in board.move_stack))


def words_of(found: NamedOpening, said: Sequence[Token]) -> str:
    return " ".join(token.raw for token in said[found.first : found.last])


SPANISH = "1.e4 e5 2.Nf3 Nc6 3.Bb5"
ITALIAN = "1.e4 e5 2.Nf3 Nc6 3.Bc4"
OPEN_SICILIAN = "1.e4 c5 2.Nf3 d6 3.d4 cxd4 4.Nxd4 Nf6 5.Nc3"
TAIMANOV = "1.e4 c5 2.Nf3 e6 3.d4 cxd4 4.Nxd4 Nc6"
FRENCH, CARO = "1.e4 e6", "1.e4 c6"
QGD, SLAV = "1.d4 d5 2.c4 e6", "1.d4 d5 2.c4 c6"
SEMI_SLAV = "1.d4 d5 2.c4 c6 3.Nf3 Nf6 4.Nc3 e6"
QGD_BG5 = "1.d4 d5 2.c4 e6 3.Nc3 Nf6 4.Bg5"
NIMZO = "1.d4 Nf6 2.c4 e6 3.Nc3 Bb4"
KID = "1.d4 Nf6 2.c4 g6 3.Nc3 Bg7"
GRUNFELD = "1.d4 Nf6 2.c4 g6 3.Nc3 d5"

#: (sentence, the words of the name, its likeliest line)
TYPED = (
    ("So it's a Najdorf, and now bishop g5.", "Najdorf", OPEN_SICILIAN + " a6"),
    ("My neighbour goes for the Spanish, so bishop b5.", "Spanish", SPANISH),
    ("We sit in a Ruy Lopez once more.", "Ruy Lopez", SPANISH),
    ("Against me she always has the Berlin.", "Berlin", SPANISH + " Nf6"),
    ("Today I show you the Marshall, and you'll love it.", "Marshall",
     SPANISH + " a6 4.Ba4 Nf6 5.O-O Be7 6.Re1 b5 7.Bb3 O-O 8.c3 d5"),
    ("It's the Open Spanish tonight.", "Open Spanish", SPANISH + " a6 4.Ba4 Nf6 5.O-O Nxe4"),
    ("He sighs and gets the Closed Spanish.", "Closed Spanish", SPANISH + " a6 4.Ba4 Nf6 5.O-O Be7"),
    ("With the Exchange Spanish you get an ending.", "Exchange Spanish", SPANISH + " a6 4.Bxc6"),
    ("Ruy Lopez, Exchange, and now the d pawn takes.", "Ruy Lopez Exchange", SPANISH + " a6 4.Bxc6"),
    ("The Breyer variation puts the knight back.", "Breyer variation",
     SPANISH + " a6 4.Ba4 Nf6 5.O-O Be7 6.Re1 b5 7.Bb3 d6 8.c3 O-O 9.h3 Nb8"),
    ("Children start with the Italian, knights first.", "Italian", ITALIAN),
    ("We begin with the Giuoco Piano and stay calm.", "Giuoco Piano", ITALIAN + " Bc5"),
    ("An Evans Gambit, of all things.", "Evans Gambit", ITALIAN + " Bc5 4.b4"),
    ("She plays the Two Knights Defence.", "Two Knights Defence", ITALIAN + " Nf6"),
    ("That walks into the Fried Liver, you know.", "Fried Liver", ITALIAN + " Nf6 4.Ng5 d5 5.exd5 Nxd5 6.Nxf7"),
    ("I switched to the Scotch when I was twelve.", "Scotch", "1.e4 e5 2.Nf3 Nc6 3.d4"),
    ("Try the Scotch Gambit on your uncle.", "Scotch Gambit", "1.e4 e5 2.Nf3 Nc6 3.d4 exd4 4.Bc4"),
    ("He answers with a Petroff, of course.", "Petroff", "1.e4 e5 2.Nf3 Nf6"),
    ("The Russian Defence is not as dull as they say.", "Russian Defence", "1.e4 e5 2.Nf3 Nf6"),
    ("Philidor's Defence is cramped.", "Philidor's Defence", "1.e4 e5 2.Nf3 d6"),
    ("In the King's Gambit nobody is safe.", "King's Gambit", "1.e4 e5 2.f4"),
    ("A Vienna Game, slowly.", "Vienna Game", "1.e4 e5 2.Nc3"),
    ("And out of the Vienna, a surprise.", "Vienna", "1.e4 e5 2.Nc3"),
    ("We meet the Four Knights Game on move three.", "Four Knights Game", "1.e4 e5 2.Nf3 Nc6 3.Nc3 Nf6"),
    ("It's a Sicilian.", "Sicilian", "1.e4 c5"),
    ("Both chose a Sicilian Dragon that day.", "Sicilian Dragon", OPEN_SICILIAN + " g6"),
    ("I fear the Sveshnikov, so I learn it.", "Sveshnikov", "1.e4 c5 2.Nf3 Nc6 3.d4 cxd4 4.Nxd4 Nf6 5.Nc3 e5"),
    ("Sicilian, Taimanov, and now knight c3.", "Sicilian Taimanov", TAIMANOV),
    ("The Kan Variation is for the patient.", "Kan Variation", "1.e4 c5 2.Nf3 e6 3.d4 cxd4 4.Nxd4 a6"),
    ("A Scheveningen with all its pawns.", "Scheveningen", OPEN_SICILIAN + " e6"),
    ("The Alapin, because it's little work.", "Alapin", "1.e4 c5 2.c3"),
    ("I offered the Smith-Morra Gambit.", "Smith Morra Gambit", "1.e4 c5 2.d4 cxd4 3.c3"),
    ("So he dodges into the Rossolimo, with bishop b5.", "Rossolimo", "1.e4 c5 2.Nf3 Nc6 3.Bb5"),
    ("A Grand Prix Attack at the club.", "Grand Prix Attack", "1.e4 c5 2.Nc3 Nc6 3.f4"),
    ("The Closed Sicilian suits her.", "Closed Sicilian", "1.e4 c5 2.Nc3"),
    ("The Accelerated Dragon saves a move.", "Accelerated Dragon", "1.e4 c5 2.Nf3 Nc6 3.d4 cxd4 4.Nxd4 g6"),
    ("In the Sicilian Moscow the bishop checks.", "Sicilian Moscow", "1.e4 c5 2.Nf3 d6 3.Bb5+"),
    ("This is the French, and we push.", "French", FRENCH),
    ("A French Winawer, sharp as ever.", "French Winawer", FRENCH + " 2.d4 d5 3.Nc3 Bb4"),
    ("The French, Tarrasch, with knight d2.", "French Tarrasch", FRENCH + " 2.d4 d5 3.Nd2"),
    ("I like the Advance French.", "Advance French", FRENCH + " 2.d4 d5 3.e5"),
    ("Nobody fears the exchange French.", "exchange French", FRENCH + " 2.d4 d5 3.exd5 exd5"),
    ("The Rubinstein variation of the French gives up the centre.", "Rubinstein variation of the French",
     FRENCH + " 2.d4 d5 3.Nc3 dxe4"),
    ("The Classical French, then.", "Classical French", FRENCH + " 2.d4 d5 3.Nc3 Nf6"),
    ("In the Poisoned Pawn Variation of the Najdorf you need theory.", "Poisoned Pawn Variation of the Najdorf",
     OPEN_SICILIAN + " a6 6.Bg5 e6 7.f4 Qb6"),
    ("The Four Pawns Attack in the Alekhine gains space.", "Four Pawns Attack in the Alekhine",
     "1.e4 Nf6 2.e5 Nd5 3.d4 d6 4.c4 Nb6 5.f4"),
    ("Caro-Kann it is.", "Caro Kann", CARO),
    ("Caro-Kann, Advance Variation.", "Caro Kann Advance Variation", CARO + " 2.d4 d5 3.e5"),
    ("The exchange variation of the Caro-Kann is older.", "exchange variation of the Caro Kann",
     CARO + " 2.d4 d5 3.exd5 cxd5"),
    ("He wanted the Panov, with c4.", "Panov", CARO + " 2.d4 d5 3.exd5 cxd5 4.c4"),
    ("A Classical Caro-Kann with the bishop out.", "Classical Caro Kann", CARO + " 2.d4 d5 3.Nc3 dxe4 4.Nxe4 Bf5"),
    ("The Fantasy Variation props the pawn up.", "Fantasy Variation", CARO + " 2.d4 d5 3.f3"),
    ("A Scandinavian on the last board.", "Scandinavian", "1.e4 d5"),
    ("Alekhine's Defence tempts the pawns.", "Alekhine's Defence", "1.e4 Nf6"),
    ("The Pirc Defence waits.", "Pirc Defence", "1.e4 d6 2.d4 Nf6 3.Nc3 g6"),
    ("The Austrian Attack comes with f4.", "Austrian Attack", "1.e4 d6 2.d4 Nf6 3.Nc3 g6 4.f4"),
    ("The Modern Defence is next.", "Modern Defence", "1.e4 g6"),
    ("We get a Queen's Gambit Declined, knight f3.", "Queen's Gambit Declined", QGD),
    ("A Queen's Gambit, what else.", "Queen's Gambit", "1.d4 d5 2.c4"),
    ("Queen's Gambit Declined, Exchange, bishop g5.", "Queen's Gambit Declined Exchange",
     QGD + " 3.Nc3 Nf6 4.cxd5 exd5"),
    ("The Queen's Gambit Accepted hands over the middle.", "Queen's Gambit Accepted", "1.d4 d5 2.c4 dxc4"),
    ("Lasker's Defence trades pieces.", "Lasker's Defence", QGD_BG5 + " Be7 5.e3 O-O 6.Nf3 h6 7.Bh4 Ne4"),
    ("The Cambridge Springs has a trap or two.", "Cambridge Springs", QGD_BG5 + " Nbd7 5.e3 c6 6.Nf3 Qa5"),
    ("An Orthodox Defence, as in the old days.", "Orthodox Defence", QGD_BG5 + " Be7 5.e3 Nbd7"),
    ("In the Queen's Gambit Declined, Tartakower variation, the bishop goes to b7.",
     "Queen's Gambit Declined Tartakower variation", QGD_BG5 + " Be7 5.e3 O-O 6.Nf3 b6"),
    ("The Tarrasch Defence frees the pieces.", "Tarrasch Defence", QGD + " 3.Nc3 c5"),
    ("I trust the Slav.", "Slav", SLAV),
    ("The Exchange Slav is a handshake.", "Exchange Slav", SLAV + " 3.cxd5 cxd5"),
    ("A Semi-Slav, and it gets wild.", "Semi Slav", SEMI_SLAV),
    ("The Meran, with b5 soon.", "Meran", SEMI_SLAV + " 5.e3 Nbd7 6.Bd3 dxc4 7.Bxc4 b5"),
    ("Semi-Slav, Botvinnik, hold tight.", "Semi Slav Botvinnik", SEMI_SLAV + " 5.Bg5 dxc4 6.e4 b5"),
    ("The Semi-Slav Moscow variation is quieter.", "Semi Slav Moscow variation", SEMI_SLAV + " 5.Bg5 h6 6.Bxf6"),
    ("The Anti-Moscow gambit is not.", "Anti Moscow gambit", SEMI_SLAV + " 5.Bg5 h6 6.Bh4"),
    ("Chigorin's Defence blocks its own pawn.", "Chigorin's Defence", "1.d4 d5 2.c4 Nc6"),
    ("The Albin Counter-Gambit is cheeky.", "Albin Counter Gambit", "1.d4 d5 2.c4 e5"),
    ("He tried the Budapest Gambit.", "Budapest Gambit", "1.d4 Nf6 2.c4 e5"),
    ("A Modern Benoni, all or nothing.", "Modern Benoni", "1.d4 Nf6 2.c4 c5 3.d5 e6 4.Nc3 exd5 5.cxd5 d6 6.e4 g6"),
    ("The Benko Gambit gives a pawn for lines.", "Benko Gambit", "1.d4 Nf6 2.c4 c5 3.d5 b5"),
    ("A Nimzo-Indian, and White thinks.", "Nimzo Indian", NIMZO),
    ("Nimzo-Indian, Rubinstein, so e3.", "Nimzo Indian Rubinstein", NIMZO + " 4.e3"),
    ("The Classical Nimzo keeps the pawns whole.", "Classical Nimzo", NIMZO + " 4.Qc2"),
    ("The Sämisch variation of the Nimzo-Indian asks at once.", "Sämisch variation of the Nimzo Indian",
     NIMZO + " 4.a3"),
    ("The Queen's Indian rests on b7.", "Queen's Indian", "1.d4 Nf6 2.c4 e6 3.Nf3 b6"),
    ("The Bogo-Indian gives check.", "Bogo Indian", "1.d4 Nf6 2.c4 e6 3.Nf3 Bb4+"),
    ("My mother loves a Catalan, she says.", "Catalan", "1.d4 d5 2.c4 e6 3.Nf3 Nf6 4.g3"),
    ("The Grünfeld hits the centre.", "Grünfeld", GRUNFELD),
    ("The Exchange Grünfeld takes it all.", "Exchange Grünfeld", GRUNFELD + " 4.cxd5 Nxd5 5.e4"),
    ("A King's Indian, and off we go.", "King's Indian", KID),
    ("King's Indian, Sämisch, with f3.", "King's Indian Sämisch", KID + " 4.e4 d6 5.f3"),
    ("King's Indian, Four Pawns Attack.", "King's Indian Four Pawns Attack", KID + " 4.e4 d6 5.f4"),
    ("The Mar del Plata races on both wings.", "Mar del Plata",
     KID + " 4.e4 d6 5.Nf3 O-O 6.Be2 e5 7.O-O Nc6 8.d5 Ne7"),
    ("The Dutch Defence is in the second hour.", "Dutch Defence", "1.d4 f5"),
    ("A Leningrad Dutch for the brave.", "Leningrad Dutch", "1.d4 f5 2.g3 Nf6 3.Bg2 g6"),
    ("The London System needs no homework.", "London System", "1.d4 d5 2.Nf3 Nf6 3.Bf4"),
    ("A Trompowsky on move two.", "Trompowsky", "1.d4 Nf6 2.Bg5"),
    ("A Torre Attack a move later.", "Torre Attack", "1.d4 Nf6 2.Nf3 e6 3.Bg5"),
    ("The Colle System hides its bishop.", "Colle System", "1.d4 d5 2.Nf3 Nf6 3.e3 e6 4.Bd3"),
    ("The Jobava London is the rude one.", "Jobava London", "1.d4 d5 2.Nc3 Nf6 3.Bf4"),
    ("The English Opening goes round the side.", "English Opening", "1.c4"),
    ("A Symmetrical English is patience.", "Symmetrical English", "1.c4 c5"),
    ("That's a Reversed Sicilian with a move more.", "Reversed Sicilian", "1.c4 e5"),
    ("The Réti, and then we'll see.", "Réti", "1.Nf3"),
    ("Bird's Opening, for a laugh.", "Bird's Opening", "1.f4"),
    ("Larsen's Opening from the corner.", "Larsen's Opening", "1.b3"),
)  # fmt: skip

#: The same as a recogniser writes them.
HEARD = (
    ("so today we talk about the caro can and then we stop", "caro can", CARO),
    ("he goes for the grew in felled and waits", "grew in felled", GRUNFELD),
    ("it is a semi slob again", "semi slob", SEMI_SLAV),
    ("here comes the moran variation with b5", "moran variation",
     SEMI_SLAV + " 5.e3 Nbd7 6.Bd3 dxc4 7.Bxc4 b5"),
    ("we play the nigh dorf tonight", "nigh dorf", OPEN_SICILIAN + " a6"),
    ("it's a king's indian and she attacks", "king's indian", KID),
    ("the kings indian is fun", "kings indian", KID),
    ("so the queens gambit declined knight f3", "queens gambit declined", QGD),
    ("white has the roy lopez here", "roy lopez", SPANISH),
    ("he tries the ben oh knee defence", "ben oh knee defence", "1.d4 Nf6 2.c4 c5"),
    ("they get a nim so indian and bishop b4", "nim so indian", NIMZO),
    ("the scandinavien defence is simple", "scandinavien defence", "1.e4 d5"),
    ("she likes the petrol defence most", "petrol defence", "1.e4 e5 2.Nf3 Nf6"),
    ("the cat alan opening is slow", "cat alan opening", "1.d4 d5 2.c4 e6 3.Nf3 Nf6 4.g3"),
    ("it's the trump of ski attack", "trump of ski attack", "1.d4 Nf6 2.Bg5"),
    ("a sicilian nigh dorf with bishop g5", "sicilian nigh dorf", OPEN_SICILIAN + " a6"),
    ("the shaven ingen is solid", "shaven ingen", OPEN_SICILIAN + " e6"),
    ("now the evans gambit with b4", "evans gambit", ITALIAN + " Bc5 4.b4"),
    ("the phil a door defence is passive", "phil a door defence", "1.e4 e5 2.Nf3 d6"),
    ("the joke a piano is quiet", "joke a piano", ITALIAN + " Bc5"),
    ("a cambridge strings trap", "cambridge strings", QGD_BG5 + " Nbd7 5.e3 c6 6.Nf3 Qa5"),
    ("he wants the rosso limo today", "rosso limo", "1.e4 c5 2.Nf3 Nc6 3.Bb5"),
)  # fmt: skip

NONE = (
    "We keep the file open and the bishop closed in.",
    "The exchange on d5 opens the file.",
    "He wins the exchange, and then a pawn.",
    "A classical setup with modern ideas.",
    "The modern way is to wait.",
    "In English we say fork.",
    "The French are good at this.",
    "The Dutch champion was late.",
    "Marshall played like a wild animal.",
    "Alekhine against Tarrasch, a famous fight.",
    "In Vienna they drank coffee.",
    "He lived in London for years.",
    "Najdorf beat him in a blindfold game.",
    "Larsen, Spassky and Keres were there.",
    "It was played in Berlin in 1928.",
    "We advance the pawn and accept the draw.",
    "The queen is in danger and the king's indifferent.",
    "An old friend of mine, a Spanish grandmaster, told me.",
    "My English is not so good, sorry.",
    "She speaks French with the arbiter.",
    "The bird sang outside.",
    "The knight attacks two pawns.",
    "Two knights can't mate alone.",
    "Four pawns against three, that wins.",
    "The three knights jump about.",
    "The wall behind me is green.",
    "The game is closed and so is the bar.",
    "A symmetrical position is rarely exciting.",
    "He gave up the exchange for an attack.",
    "Her defence was brilliant.",
    "A good system for beginners.",
    "They beat the Russian, who was ill.",
    "He drank a Scotch after the round.",
    "Tarrasch wrote that rooks belong behind pawns.",
    "Lasker and Rubinstein met in 1914.",
    "Steinitz-Chigorin was played by telegraph.",
    "A poisoned pawn is still a pawn.",
    "The main line goes on with rook d1.",
    "Evans told me so himself.",
    "An accelerated course for juniors.",
    "Take the pawn with the knight, please.",
    "The fianchetto bishop is the star.",
    "My notebook is full of these.",
    "The Scandinavian countries sent two teams.",
    "Paulsen won in 1858, Morphy in 1857.",
    "The berlin airport is far away.",
    "The wing of the hotel was on fire.",
    "The Danish team came third.",
    "The orthodox thing would be to castle.",
    "Benko was a master of endings.",
    "An Italian player asked me that.",
    "Bishop g5, exchange, exchange, and rook d1.",
)
NONE_HEARD = (
    "the reason is that the queen hangs",
    "finally a curiosity on move nine",
    "he wins the exchange and plays on",
    "the can is empty and the park is shut",
    "my notebook says twenty thirteen",
    "and then the king in on the queen side",
    "i thought i attack the queen",
    "the winner takes it all",
    "french people like cheese and english people like tea",
    "marshall played the move quickly",
)


@pytest.mark.parametrize(("sentence", "words", "line"), TYPED, ids=[row[1] for row in TYPED])
def test_named_openings_are_found_where_they_are_typed(sentence: str, words: str, line: str) -> None:
    said = split(sentence)
    found = find_openings(said, heard=False)
    assert [words_of(opening, said) for opening in found] == [words]
    assert position_key(found[0].lines[0].moves) == key_of(line), found[0].lines
    assert found[0].heard == 0


@pytest.mark.parametrize(("sentence", "words", "line"), HEARD, ids=[row[1] for row in HEARD])
def test_named_openings_are_found_where_they_are_misheard(sentence: str, words: str, line: str) -> None:
    said = split(sentence)
    found = find_openings(said, heard=True)
    assert [words_of(opening, said) for opening in found] == [words]
    assert position_key(found[0].lines[0].moves) == key_of(line), found[0].lines


@pytest.mark.parametrize("sentence", [row[0] for row in TYPED])
def test_what_is_typed_right_is_found_when_it_is_heard_right(sentence: str) -> None:
    said = split(sentence)
    plain = [(opening.first, opening.last, opening.lines) for opening in find_openings(said, heard=False)]
    heard = [(opening.first, opening.last, opening.lines) for opening in find_openings(said, heard=True)]
    assert heard == plain


@pytest.mark.parametrize("sentence", NONE)
@pytest.mark.parametrize("heard", [False, True])
def test_ordinary_words_people_and_places_name_no_opening(sentence: str, heard: bool) -> None:
    assert find_openings(split(sentence), heard) == []


@pytest.mark.parametrize("sentence", NONE_HEARD)
def test_misheard_ordinary_words_name_no_opening(sentence: str) -> None:
    assert find_openings(split(sentence), heard=True) == []


@pytest.mark.parametrize(
    ("talk", "line"),
    [
        ("Tonight the French. You all know it. White goes for the Exchange, and it's equal.",
         FRENCH + " 2.d4 d5 3.exd5 exd5"),
        ("This is the Slav. Now the Exchange is next.", SLAV + " 3.cxd5 cxd5"),
        ("We have a Nimzo-Indian. Then the Sämisch, with a3.", NIMZO + " 4.a3"),
        ("A King's Indian. I show the Classical, too.", KID + " 4.e4 d6 5.Nf3"),
        ("It's a Dutch Defence. I take the Leningrad, as always.", "1.d4 f5 2.g3 Nf6 3.Bg2 g6"),
        ("Hello to the Semi-Slav. The Moscow is first.", SEMI_SLAV + " 5.Bg5 h6 6.Bxf6"),
        ("A Sicilian. In the Moscow the bishop checks.", "1.e4 c5 2.Nf3 d6 3.Bb5+"),
    ],
)  # fmt: skip
def test_a_family_named_before_says_what_a_later_name_means(talk: str, line: str) -> None:
    found = find_openings(split(talk), heard=False)
    assert len(found) == 2
    assert position_key(found[1].lines[0].moves) == key_of(line), found[1].lines


def test_without_a_family_a_name_of_many_openings_keeps_them_all() -> None:
    (found,) = find_openings(split("I play the exchange variation."), heard=False)
    assert len(found.lines) == MOST_LINES
    assert len({position_key(line.moves) for line in found.lines}) == MOST_LINES


class Games:
    """A games base in which one line alone was played."""

    def __init__(self, line: str) -> None:
        board = board_after(())
        for san in re.sub(r"\d+\.+", " ", line).split():
            board.push_san(san)
        self.key = chess.polyglot.zobrist_hash(board)

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        return {self.key: {"g1f3": 900}} if self.key in keys else {}


def test_a_games_base_weighs_the_lines() -> None:
    said = split("I play the exchange variation.")
    (found,) = find_openings(said, heard=False, base=Games(SLAV + " 3.cxd5 cxd5"))
    assert position_key(found.lines[0].moves) == key_of(SLAV + " 3.cxd5 cxd5")


# -- laws ------------------------------------------------------------------------------------------------------


def test_every_line_is_legal_and_ends_where_the_catalogue_has_it() -> None:
    """Source: ``ocn-chess``. The commonest order of moves leads to the very position of the entry."""
    for line in opening_index().lines.values():
        keys = {row.ocn1 for row in catalogue().by_fen_key(position_key(line.moves))}
        assert line.key in keys, line


#: Names that the catalogue gives to rarer lines only; what trainers mean by them is common practice.
OTHERWISE = {
    "tartakower", "chigorin", "semi slav defence", "carlsbad variation", "dragon variation", "three knights game",
    "steinitz deferred",
}  # fmt: skip


def test_everyday_names_agree_with_the_catalogue() -> None:
    """Source: ``ocn-chess``. Where it has a name as we say it, our line is one of those it has under it."""
    index = opening_index()
    named: dict[str, set[str]] = {}
    for letter in "ABCDE":
        for row in catalogue().walk(letter):
            for text in (row.canonical_name, *row.aliases):
                named.setdefault(plain_words(text).replace(" ", ""), set()).add(row.ocn1)
    compared = 0
    for letters, name in index.names.items():
        ours = {key for key, kind in name.lines.items() if kind <= Freedom.SHY}
        if name.kind <= Freedom.SHY and letters in named and name.text not in OTHERWISE:
            compared += 1
            positions = {position_key(index.lines[key].order) for key in named[letters] if key in index.lines}
            assert any(position_key(index.lines[key].order) in positions for key in ours), name
    assert compared > 60


TALK = " ".join(row[0] for row in (*TYPED, *HEARD)) + " " + " ".join(NONE)
WORDS = sorted(set(TALK.split()))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=25), st.booleans())
def test_names_are_sorted_apart_and_lead_to_legal_positions(some: list[str], heard: bool) -> None:
    said = split(" ".join(some))
    found = find_openings(said, heard)
    for one, two in pairwise(found):
        assert one.last <= two.first
    for opening in found:
        assert 0 <= opening.first < opening.last <= len(said)
        assert 1 <= len(opening.lines) <= MOST_LINES
        assert opening.lines[0].prior == 0 and opening.heard >= 0
        priors = [line.prior for line in opening.lines]
        assert priors == sorted(priors)
        positions = [position_key(line.moves) for line in opening.lines]  # raises ValueError when illegal
        assert len(set(positions)) == len(positions)

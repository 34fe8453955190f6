"""The words around an opening's name that show that it is one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from linewright.reading.words.tokens import Token

#: Words before a name that make an opening of a person, a people or a place: "the Marshall", "a French".
DETERMINERS = frozenset("the a an his her my your our their this that another".split())
#: Words that may stand between the two: "the good old French".
ADJECTIVES = frozenset(
    "good old famous dreaded classic real true typical normal standard main usual solid sharp quiet little pure same "
    "whole popular dangerous notorious beloved regular ordinary proper early delayed improved boring trusty mighty "
    "so called".split()
)
#: Ordinary words that begin the names of many lines: "the exchange ...".
VARIETIES = frozenset("exchange advance classical accelerated open closed modern".split())
#: Words between a line's name and its opening's: "the exchange variation of the Slav".
OF_THE = frozenset("of in against versus".split())
#: Short forms that aren't possessives: "it's".
_CONTRACTIONS = frozenset("it's that's he's she's let's what's there's who's here's how's where's when's".split())
#: Verbs after which a people's or a place's name alone is an opening: "he plays French".
PLAYS = frozenset("play plays playing".split())
#: Words before "the" that name an opening by an ordinary word within its family: "he goes for the Exchange".
FRAMES = frozenset(
    "play plays playing played into in against called choose chooses chose enter enters prefer prefers like likes is "
    "it's that's this".split()
)
_GOES = frozenset("go goes going went gone".split())
#: Words after a name that no person, people or place has beside it in an ordinary sentence of the kind.
GOES_ON = frozenset(
    "and but so or because with without where when while which is was isn't has gives leads begins starts comes "
    "arises appears against from after before by as at to in on then now here again too also instead proper itself "
    "we i you he she they it white black there if this my not like than though since always usually today it's we're "
    "that's he's she's let's you're they're that knight knights bishop bishops rook queen king pawn pawns castles "
    "takes player players set okay ok right actually really of the both his her your our tonight tomorrow already next "
    "first".split()
)
#: The same after the name of a people, of whom many things are told: "the French have always ...".
NOT_OF_PEOPLE = frozenset("player players of at by like that who in always usually today too also again".split())
#: Words after an ordinary word in its family that show that it is not meant as a name: "the exchange on d5".
NOT_OF_ORDINARY = frozenset(
    "of on by to at in from that queen knight knights bishop bishops rook pawn pawns king".split()
)
#: Words after a name that is an opening nearly everywhere which make it a place's: "the Scandinavian countries".
OF_A_PLACE = frozenset(
    "countries country champion champions championship championships team teams grandmaster grandmasters master "
    "masters cup league language myself himself herself people coast island islands food".split()
)
#: Words before "the French" and its like that speak of the people, or of a drink.
_OF_PEOPLE = frozenset("beat beats defeated among between drink drinks drank glass bottle".split())
#: Words of the board, which belong to no misheard name.
BOARD = frozenset(
    "pawn pawns knight knights bishop bishops rook rooks queen queens king kings square squares file files rank ranks "
    "takes take castle castles check mate board move moves white black plays play played goes".split()
)
#: Words that no misheard name begins or ends with.
FUNCTION = frozenset(
    "the a an this that these those his her my our your their its he she we you they it him them us me who which what "
    "and or but if then than so as at of to for from with by is are was were be been isn't wasn't it's that's there "
    "here have has had do does did will would could should not no never just only very too now when where why how all "
    "each every some any more most go goes went say said says know let's got get call called because don't i i'm "
    "he's she's we're you're they're also into on in".split()
)
#: Words that no misheard name begins with.
NO_BEGINNING = FUNCTION | VARIETIES
_SQUARE = re.compile(r"[a-h][1-8]|[KQRBN]?[a-h]?[1-8]?x?[a-h][1-8].*|O-O.*", re.IGNORECASE)


def before(tokens: Sequence[Token], index: int) -> str:
    """The word before, ``""`` at a sentence's or a heading's start."""
    if index <= 0 or tokens[index - 1].stop or tokens[index - 1].heading != tokens[index].heading:
        return ""
    return tokens[index - 1].text


def after(tokens: Sequence[Token], last: int) -> str:
    """The word after, ``""`` where the clause ends."""
    if last >= len(tokens) or tokens[last - 1].stop or tokens[last - 1].pause:
        return ""
    return tokens[last].text if tokens[last].heading == tokens[last - 1].heading else ""


def determiner_at(tokens: Sequence[Token], first: int) -> int | None:
    """Index of the determiner that stands before a name, over at most two adjectives; None without one."""
    for index in range(first - 1, max(-1, first - 4), -1):
        if tokens[index].stop or (tokens[index].pause and index < first - 1):
            return None
        text = tokens[index].text
        if text in DETERMINERS or (text.endswith("'s") and text not in _CONTRACTIONS):
            return index
        if text not in ADJECTIVES:
            return None
    return None


def of_people(tokens: Sequence[Token], determiner: int) -> bool:
    """What stands before the determiner speaks of people or of a drink: "she beat the French"."""
    near = [before(tokens, determiner), before(tokens, determiner - 1) if determiner else ""]
    return any(word in _OF_PEOPLE for word in near)


def in_frame(tokens: Sequence[Token], determiner: int) -> bool:
    """The words before "the" take an opening: "he goes for the", "she plays the"."""
    word = before(tokens, determiner)
    return word in FRAMES or (word == "for" and before(tokens, determiner - 1) in _GOES)


def goes_on(word: str) -> bool:
    """A sentence goes on so after an opening's name."""
    return not word or word in GOES_ON or is_move_word(word)


def is_move_word(word: str) -> bool:
    """A square or a written move."""
    return _SQUARE.fullmatch(word) is not None


def capital_within(tokens: Sequence[Token], index: int) -> bool:
    """The token is written with a capital that no sentence's start accounts for."""
    return tokens[index].raw[:1].isupper() and before(tokens, index) != ""


def fills_heading(tokens: Sequence[Token], first: int, last: int) -> bool:
    """A heading consists of these tokens alone."""
    if not tokens[first].heading:
        return False
    starts = first == 0 or tokens[first - 1].stop or not tokens[first - 1].heading
    return starts and (last >= len(tokens) or tokens[last - 1].stop or not tokens[last].heading)

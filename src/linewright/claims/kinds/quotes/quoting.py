"""Games quoted in ordinary talk: who, where, when and how it ended, found by the words alone.

Typed talk and good captions write names with capitals, and that is what a name is known by here; the base then says
which player was meant, misheard or not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import number, ordinal, spelled_years
from linewright.talk.model import Talk

#: Years of recorded chess: the first printed games are older, but nobody quotes those by year.
_YEAR = r"(?:1[5-9]\d\d|20\d\d)"
#: Capitalised words that are no player: sides, men, talk, months, and what tournaments and openings are called.
_NO_NAME = """
    White Black King Queen Rook Bishop Knight Pawn The A An And But So Then Now Here There That This These
    Those It He She They We I You If When Where What Which Who Why How In At On By For From With After Before
    Again Also Yes No Not Well Okay Once Instead Against Game Round Match World Champion Championship
    Olympiad Candidates Interzonal Open Cup January February March April May June July August September
    October November December Monday Tuesday Wednesday Thursday Friday Saturday Sunday Sicilian French
    Spanish Slav Dutch Indian English Italian Scotch Russian Berlin Najdorf Dragon Winawer Tarrasch Benoni
    Grunfeld Grünfeld Nimzo Catalan London Caro Kann Panov Petroff Pirc Modern Gambit Defence Defense Attack
    Opening Variation System Exchange Advance Classical Let Let's Both Even Only Same One Two Three Four Five
    Six Seven Eight Nine Ten Old New First Second Third Today Nobody Everybody Commoner Later My His
"""
_STOP = "|".join(sorted(_NO_NAME.split(), key=len, reverse=True))
_WORD = r"(?:Mc|O['’]|d['’])?[A-ZÀ-ÞŁŠŽČ][\wà-þ’']*[a-zà-þ](?:-[A-ZÀ-Þ][a-zà-þ]+)*"
_NAME = rf"(?:(?:van|von|der|den|de|di|la|el|al|ter) )*(?!(?:{_STOP})\b){_WORD}(?: (?:van|de|der)\b)?" + (
    rf"(?: (?!(?:{_STOP})\b){_WORD}){{0,2}}"
)
_ONCE = r"(?:had |has |once |also |later |first |then )*"
_IT = r"(?: (?:it|this|that|so|thus|like|exactly|same|the|very|move|line|position|system|plan|idea|way|down|for|here))*"
_DEALT = (
    "(?:played|chose|tried|used|took|had|got|reached|met|faced|employed|adopted|essayed|proceeded|defended|continued|"
    "went|did|introduced|handled|sprang|unveiled|found)"
)
_MET = (
    rf"(?:,? (?:{_ONCE}(?P<how>beat|beats|defeated|defeats|crushed|lost to|drew with|drew against|won against)"
    rf"|{_ONCE}{_DEALT}{_IT},? (?:against|versus|vs\.?)|against|versus|vs\.?|v\.?)"
    r"(?: with (?:it|this|that))? |(?P<dash> ?[–—] ?|-))"
)
#: "So" is a name only right before such a verb.
_PAIR = re.compile(
    rf"\b(?P<one>{_NAME}|So(?= (?:beat|defeated|lost to|drew) ))(?:['’]s game)?{_MET}"
    rf"(?:the (?:great|young|old) )?(?P<other>{_NAME})"
)
#: "Spassky, Fischer, Reykjavik 1972": two names set side by side, known for players by the year that follows.
_LISTED = re.compile(rf"\b(?P<one>{_NAME}),? (?:and )?(?P<other>{_NAME}),? (?=(?:[\w’'-]+,? ){{0,3}}{_YEAR}\b)")
#: Right before a name: it is the other player's, whose own was lost.
_OPPONENT = re.compile(r"\b(?:against|versus|vs|beat|beats|defeated|to) $")
#: "Capablanca played it in 1921", "Tal's game from 1960": one name, and a year near.
_ALONE = re.compile(
    rf"\b(?P<one>{_NAME})(?:['’]s (?:famous |old |great )?game\b|,? (?:once |also |first |already )*"
    rf"(?:played|won|lost|drew|tried|used|chose)\b)(?=[^.;]{{0,80}}\b{_YEAR}\b)"
)
_WHEN = re.compile(rf"\b{_YEAR}\b")
_PLACE = re.compile(
    rf"(?:\b(?:in|at|from)(?: the)?|,) (?P<event>(?!(?:{_STOP})\b){_WORD}"
    rf"(?: (?:aan|am|an|del|de|of|upon|the|{_WORD}))*)(?=[ ,.;]|$)"
)
#: "London, 2000": what stands right before the year, be it an opening's name too.
_PLACE_OF_YEAR = re.compile(rf"(?P<event>(?!(?:Game|Round|In|The)\b){_WORD}(?: {_WORD})?),? (?=(?:in,? )?{_YEAR}\b)")
_SCORES = {"1-0": "white", "0-1": "black", "1/2-1/2": "draw", "½-½": "draw"}
_SCORE = re.compile(r"(?<![\w/])(?:1-0|0-1|1/2-1/2|½-½)(?![\w/])")
_DRAWN = re.compile(
    r"\b(?:(?:was|were|ended|is) (?:in )?(?:a |an )?(?:drawn|draw)|drawn|agreed (?:to )?a draw|a draw|"
    r"(?:the )?points? (?:was|were) (?:shared|halved|split)|(?:shared|halved|split) the points?|"
    r"half (?:a )?points? each)\b"
)
_WON = re.compile(
    r"\b(?P<side>white|black)(?: (?:soon|later|eventually))? (?P<verb>won|wins|resigned|resigns|lost)\b", re.I
)
_BY_VERB = {"beat": "first", "beats": "first", "defeated": "first", "defeats": "first", "crushed": "first",
            "lost to": "second", "drew with": "draw", "drew against": "draw", "won against": "first"}  # fmt: skip
_COUNT = r"\d+|[a-z]+(?:[- ][a-z]+)?"
#: "In 23 moves", "in just twenty-three moves".
_LENGTH = re.compile(rf"\bin (?:only |just |a mere |barely )?(?P<count>{_COUNT}) moves\b", re.I)
#: "Round four", "in the fourth round", "game six of their match".
_ROUND = re.compile(
    rf"\bround (?P<count>{_COUNT})\b|\b(?P<nth>[a-z]+) round\b"
    rf"|\b(?:game (?P<game>{_COUNT})|(?P<nth_game>[a-z]+) (?:match )?game) of (?:the|that|their) match\b",
    re.I,
)
#: It is denied, asked or only imagined that they played.
_UNREAL = re.compile(r"\b(?:never|didn't|not|imagine|suppose|would|could|like to see)\b", re.I)
#: The teller isn't sure himself.
_UNSURE = re.compile(
    r"\b(?:i think|i believe|perhaps|maybe|probably|or was it|if i (?:remember|recall)|something like|about|around|"
    r"i guess)\b",
    re.I,
)
#: The moves on the board are said to be that game's.
_ITS_MOVES = re.compile(r"\b(?:that|this|it) (?:was|is)\b|\bthe game\b|\bthis position\b", re.I)
#: Characters behind the names in which place, year and result are looked for: one breath.
_TAIL = 140


@dataclass(frozen=True, slots=True)
class Quoted:
    """A game as it is quoted.

    :param players: one or two names as said, in the order said.
    :param event: place or event as said.
    :param outcome: ``white`` or ``black`` won, the ``first`` or ``second`` one named did, or ``draw``.
    :param length: moves that it is said to have taken.
    :param round: its round, or its number in a match, as said.
    :param first: index of the talk's first word of the quote.
    :param last: index after its last word.
    :param unsure: the teller says that he isn't sure.
    :param its_moves: the moves on the board are said to be the game's.
    """

    players: tuple[str, ...]
    year: int | None
    event: str | None
    outcome: str | None
    first: int
    last: int
    unsure: bool = False
    its_moves: bool = False
    length: int | None = None
    round: int | None = None


#: Words that are no tokens but join two names.
_DASHES = frozenset("–—-")


class _Text:
    """A sentence as written, its fillers left out, with the word that each character belongs to."""

    def __init__(self, sentence: Sentence, talk: Talk) -> None:
        self.starts: list[tuple[int, int]] = []
        parts: list[str] = []
        at = 0
        tokens = {w for token in sentence.tokens for w in range(token.first, token.last)}
        said = [w for w in range(min(tokens), max(tokens) + 1) if w in tokens or talk.words[w].text in _DASHES]
        years = spelled_years([talk.words[word].text for word in said])
        for place, word in enumerate(said):
            text = years.get(place, talk.words[word].text)
            if not text:
                continue  # a later word of a year said in several
            self.starts.append((at, word))
            parts.append(text)
            at += len(text) + 1
        self.text = " ".join(parts)

    def word(self, at: int) -> int:
        """Index of the talk's word at a character."""
        return max((word for start, word in self.starts if start <= at), default=self.starts[0][1])


def quotes(sentence: Sentence, talk: Talk) -> Iterator[Quoted]:
    """The games quoted in a sentence, in order."""
    if sentence.asked:
        return
    text = _Text(sentence, talk)
    taken = 0
    for match in _matches(text.text):
        if text.word(match.start()) < taken:
            continue
        tail = text.text[match.end() : match.end() + _TAIL]
        found = _quoted(text, match, tail)
        if found is not None:
            taken = found.last
            yield found


def _matches(text: str) -> list[re.Match[str]]:
    """All pairs and lone names, by place, pairs first."""
    pairs = [*_PAIR.finditer(text), *_LISTED.finditer(text)]
    alone = [m for m in _ALONE.finditer(text) if not any(p.start() <= m.start() < p.end() for p in pairs)]
    return sorted([*pairs, *alone], key=lambda m: m.start())


def _quoted(text: _Text, match: re.Match[str], tail: str) -> Quoted | None:
    groups = match.groupdict()
    if match.re is _LISTED and _OPPONENT.search(text.text[: match.start()]):
        groups, match_end = {"one": groups["one"]}, match.end("one")
        tail = text.text[match_end : match_end + _TAIL]
    else:
        match_end = match.end()
    year = _WHEN.search(tail)
    place = _place(tail, year)
    outcome, outcome_end = _outcome(groups.get("how"), tail)
    if groups.get("dash") and not (year or place or outcome):
        return None  # "Caro–Kann", a double name: nothing says that it is a game
    if "other" in groups and not groups.get("how") and not (year or place or outcome) and not groups.get("dash"):
        before = text.text[: match.start()].lower()
        if not re.search(r"\b(?:game|that was|this was|this is|that is|it was)\b[^.]*$", before):
            return None
    around = text.text[max(0, match.start() - 40) : match_end]
    if _UNREAL.search(around):
        return None
    end = match_end + max(year.end() if year else 0, place.end() if place else 0, outcome_end)
    names = tuple(_clean(groups[name]) for name in ("one", "other") if groups.get(name))
    said = text.text[max(0, match.start() - 40) : end + 40]
    return Quoted(
        names,
        int(year[0]) if year else None,
        place["event"] if place else None,
        outcome,
        text.word(match.start()),
        text.word(max(match.start(), end - 1)) + 1,
        bool(_UNSURE.search(said)),
        bool(_ITS_MOVES.search(said)),
        _number(_LENGTH.search(tail)),
        _number(_ROUND.search(tail)),
    )


def _number(match: re.Match[str] | None) -> int | None:
    """The number or ordinal that a pattern has matched."""
    if match is None:
        return None
    said = next(word for word in match.groups() if word).lower().replace("-", " ")
    return ordinal(said) or number(said) or number(said.split()[0])


def _clean(name: str) -> str:
    return re.sub(r"['’]s$", "", name).strip(" ,.")


def _place(tail: str, year: re.Match[str] | None) -> re.Match[str] | None:
    """The place or event: behind "in" or "at", or between commas before the year."""
    reach = year.start() + 60 if year else _TAIL
    return _PLACE.search(tail[:reach]) or (_PLACE_OF_YEAR.search(tail[:reach]) if year else None)


def _outcome(how: str | None, tail: str) -> tuple[str | None, int]:
    """How the game is said to have ended, and where in the tail that ends."""
    if score := _SCORE.search(tail):
        return _SCORES[score[0]], score.end()
    if won := _WON.search(tail):
        lost = won["verb"].startswith(("resign", "lost"))
        side = won["side"].lower()
        return ({"white": "black", "black": "white"}[side] if lost else side), won.end()
    if how is not None:
        return _BY_VERB[how], 0
    if drawn := _DRAWN.search(tail):
        return "draw", drawn.end()
    return None, 0

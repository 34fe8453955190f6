"""How often: the words for it, the thresholds, and the ruling on a move's share of the games."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import chess

from linewright.claims.claim_kind import Facts, Replies, Reply
from linewright.claims.model import Verdict
from linewright.claims.rulings import Ruling, as_evidence, negated, undecided
from linewright.language.evidence import together
from linewright.language.numbers import number
from linewright.language.patterns import either, listed, overlaps, phrase

#: Games. With fewer than this no share is trusted: at 20 games the 95 % interval is still about ±20 points wide.
FEW_GAMES = 20
#: Shares of the games, 0-1, that bear out "nearly always". A trainer says it of 84 % as well as of 99 %; of a move
#: that one in four avoids he no longer would. Judgement, no source.
ALWAYS_HOLDS = 0.75
#: Below this "nearly always" is plainly wrong: one in three plays otherwise.
ALWAYS_FAILS = 0.65
#: "Most people play it" holds for every second game or more …
MOST_HOLDS = 0.5
#: … and for the most played move from this share on, as people mean "more than anything else".
MOST_IF_FIRST = 0.4
#: A move below this that is not the most played is not what "most people" play; between, the claim stays undecided.
MOST_FAILS = 0.4
#: "The main move": another move ahead by less than this share is a tie, and the claim is undecided.
TIE = 0.03
#: "Common", "often": every tenth game or more; below ``COMMON_FAILS`` it isn't.
COMMON_HOLDS, COMMON_FAILS = 0.10, 0.03
#: "Rare", "hardly anyone": at most every twentieth game; from ``RARE_FAILS`` on it isn't rare.
RARE_HOLDS, RARE_FAILS = 0.05, 0.15
#: "Nobody": at most one game in fifty; from ``NOBODY_FAILS`` on it is wrong.
NOBODY_HOLDS, NOBODY_FAILS = 0.02, 0.08
#: A number said ("eighty per cent") may be this far off; trainers round. Twice as far is wrong.
NUMBER_OFF = 0.07


class How(Enum):
    FIRST = "the most played"
    SECOND = "the second most played"
    ALWAYS = "nearly always"
    MOST = "mostly"
    COMMON = "common"
    RARE = "rare"
    NOBODY = "almost never"
    NUMBER = "a share told"


@dataclass(frozen=True, slots=True)
class Measure:
    """How often a move is said to be played.

    :param how: the kind of measure.
    :param names_move: the words call something a move ("the main move"), so that a bare claim speaks of the
        nearest one; else a move or "that" must stand in the clause.
    :param share: the share said, for ``How.NUMBER``.
    """

    how: How
    names_move: bool = False
    share: float = 0.0


_MOVE = listed(
    "move moves reply replies response continuation choice answer option line recapture retreat try development "
    "capture variation setup square move-order decision"
)
ENDS_IN_MOVE = re.compile(rf"\b(?:{_MOVE}|played|seen|chosen|tried)$")
_POPULAR = either(
    "(?:frequently |commonly |often |widely )?played", "natural and common", "often (?:seen|chosen)", "tried",
    listed("common popular usual frequent chosen fashionable typical"),
)  # fmt: skip
_ALMOST = either(
    listed("nearly almost practically virtually basically"),
    "pretty much",
    "more or less",
    "just about",
    "as good as",
)
_PEOPLE = either(
    "everybody", "every player", "(?:all|all of) (?:the )?(?:players|people|masters|grandmasters|them|games)"
)
_PLAYERS = listed(
    "people players masters grandmasters games opponents black white lines others folk folks defenders experts "
    "specialists"
)
#: Verbs of playing a move, third person or plain; they tell "nobody plays it" from "nobody's getting mated".
PLAYS = listed(
    "play plays played playing go goes going went take takes taking took castle castles castling castled move moves "
    "moving "
    "bring brings answer answers answered reply replies replied choose chooses chose chosen recapture recaptures "
    "retake "
    "retakes retreat retreats put puts continue continues respond responds drop drops capture captures push pushes "
    "stick sticks throw throws jump jumps leap leaps head heads "
    "swap "
    "swaps exchange exchanges develop develops do does did met advance advances hop hops pick picks prefer prefers "
    "opt opts "
    "use uses try tries tried grab grabs accept accepts trade trades decline declines check checks break breaks"
)
_TEN = listed("twenty thirty forty fifty sixty seventy eighty ninety")
_ONE = listed("one two three four five six seven eight nine")

#: The words for each measure, tried in this order; what an earlier line takes, a later one leaves.
_VOCABULARY: tuple[tuple[str, Measure], ...] = (
    (
        either(rf"second most {_POPULAR}(?: {_MOVE})?", "second choice", "second most often"),
        Measure(How.SECOND, True),
    ),
    (
        rf"(?:one of|among)(?: the| white's| black's)? (?:\w+ )?most {_POPULAR}(?: {_MOVE})?",
        Measure(How.COMMON, True),
    ),
    (
        # One of several main moves needn't be ahead of the others, nor of a rank.
        either(
            rf"(?:second|third|fourth|other|another|next) (?:main|principal|top) {_MOVE}",
            rf"(?:two|three|four|five|both|several|some|many)(?: of)?(?: the)? (?:main|principal|top) {_MOVE}",
            rf"(?:one of|among)(?: the| white's| black's)? (?:\w+ )?(?:main|principal|top) {_MOVE}",
        ),
        Measure(How.COMMON, True),
    ),
    (
        either(
            # "The main line" is a term of its own; it counts games only where a move is said to be it.
            "main line (?:here )?is",
            rf"(?:main|number one|principal|favourite|top) (?!line\b){_MOVE}",
            rf"(?:single )?most {_POPULAR}(?: {_MOVE})?",
            "(?:played|seen|chosen) (?:the )?most(?: often)?",
            "most often (?:played|seen|chosen)",
            "(?:by far the|the clear|clear) favourite",
            "(?:is|remains|stays|still|becomes|'s) (?:the|a clear|the clear|the great|the firm|by far the) favourite",
            r"no other (?:[\w']+ )?(?:move|reply|answer|continuation|choice|one|try) (?:\w+ ){0,3}(?:so|as|more) "
            "(?:often|much|frequently|commonly)",
            "(?:you|we|one) (?:\\w+ )?(?:sees?|meets?|gets?|encounters?) the most(?: of)?",
            "(?:is|the|as|clear|clearly|'s|still) number one",
            r"(?:move|reply|answer|one)(?: [\w']+){1,4} most often",
            "(?:more often|more common|more popular|more) than (?:anything|everything) else",
            "ahead of (?:anything|everything) else",
        ),
        Measure(How.FIRST, True),
    ),
    (
        either(
            rf"{_ALMOST} (?:never|nobody|unknown)", "hardly (?:anybody|anyone|ever|any players?|a soul)",
            "scarcely (?:anybody|anyone|ever)", rf"nobody (?:ever |really |even |sensible |serious )*{PLAYS}",
            "never (?:been )?(?:played|seen|tried)",
            "(?:virtually )?unheard of", "unknown in practice",
        ),
        Measure(How.NOBODY),
    ),
    (
        either(
            rf"{_ALMOST} (?:always|invariably|automatic|automatically|universal|universally|forced|every time)",
            rf"{_ALMOST} {_PEOPLE}", "invariably", "without exception", rf"in {_ALMOST} (?:every|all)(?: the)? games?",
            "(?:nine|9) (?:times |games )?(?:out of|in) (?:ten|10)", "(?:ninety nine|99) (?:times )?out of (?:a "
                "hundred|100)",
            rf"{_PEOPLE}(?= {PLAYS})(?! taken together)", rf"always(?= {PLAYS})",
            "(?<=it's )always", "(?<=is )always(?= the)",
            rf"(?:vast|overwhelming|great) majority(?: of (?:the )?{_PLAYERS})?",
        ),
        Measure(How.ALWAYS),
    ),
    (rf"(?P<share>\d+(?:\.\d+)?|ten|{_TEN}(?: {_ONE})?) percent", Measure(How.NUMBER)),
    (
        "(?P<parts>"
        + either(
            "(?:two|three) (?:thirds|quarters)", "(?:a|one) (?:third|quarter)", "half(?= (?:of )?(?:the|all) games)",
            f"(?:{_ONE}|[1-9]) (?:games )?(?:out of|in)(?: every)? (?:ten|10|nine|eight|seven|six|five|four|three)"
            "(?: games| times)?(?! moves)",
            "every (?:second|third|other) (?:game|player)",
        )
        + ")",
        Measure(How.NUMBER),
    ),
    (
        either(
            rf"(?:most|(?:a|the) majority of)(?: of)?(?: the)?(?: strong| good| top)? {_PLAYERS}", "more often than "
                "not",
            "in most(?: of the)? (?:games|cases)", "most of the time", "usually", "normally", "as a rule", "mostly",
            "predominantly", "people (?:generally|tend to)", rf"most(?= {PLAYS})",
        ),
        Measure(How.MOST),
    ),
    (rf"(?:usual|normal|standard|customary|routine|automatic) {_MOVE}", Measure(How.MOST, True)),
    (
        either(
            "a (?:mere )?side ?line",
            rf"(?:very |quite |fairly |pretty )?(?:rare|uncommon|unpopular|infrequent|unusual)(?: {_MOVE})?",
            "rarely", "seldom", "(?:very )?few (?:people|players)",
            "not many (?:people|players)", "once in a blue moon",
            "a rarity", "a rare (?:guest|bird)", "not (?:seen|played) (?:very )?(?:often|much)",
            f"(?:don't|do not|won't|doesn't) (?:often )?{listed('see meet get encounter')} (?:that|this|it)(?: move)?"
            "(?: very| too| so| all that)? (?:often|much)",
        ),
        Measure(How.RARE, True),
    ),
    (
        either(
            rf"(?:very |quite |fairly |pretty |also |extremely |really )?(?:common|popular|frequent)(?: {_MOVE})?",
            "often (?:played|seen|chosen|tried)", "frequently (?:played|seen|chosen)",
            "(?:played|seen) (?:quite |very |fairly )?(?:often|a lot|frequently)",
        ),
        Measure(How.COMMON, True),
    ),
)  # fmt: skip
_PATTERNS = tuple((phrase(words), measure) for words, measure in _VOCABULARY)


def measures(text: str) -> Iterator[tuple[Measure, int, int]]:
    """The measures in a sentence's text with their character ranges, in order, without overlaps."""
    taken: list[tuple[Measure, int, int]] = []
    for pattern, measure in _PATTERNS:
        for match in pattern.finditer(text):
            if overlaps(match, ((start, end) for _, start, end in taken)):
                continue
            share = _share(match) if measure.how is How.NUMBER else 0.0
            if share is not None:
                taken.append((Measure(measure.how, measure.names_move, share), match.start(), match.end()))
    return iter(sorted(taken, key=lambda item: item[1]))


_PARTS = {"thirds": 3, "third": 3, "quarters": 4, "quarter": 4, "half": 2, "second": 2, "other": 2}


def _share(match: re.Match[str]) -> float | None:
    groups = match.groupdict()
    if told := groups.get("share"):
        value = float(told) if told[0].isdigit() else float(number(told) or 0)
        return value / 100 if value <= 100 else None
    words = (groups.get("parts") or "").split()
    if "half" in words:
        return 1 / 2
    words = [word for word in words if word not in ("games", "times")]
    if words[0] == "every":
        return 1 / _PARTS[words[1]]
    if words[-1] in _PARTS:
        return (number(words[0]) or 1) / _PARTS[words[-1]]
    low, high = number(words[0]), number(words[-1])
    return low / high if low and high and low <= high else None


def decide_share(
    measure: Measure, moves: tuple[str, ...], every: bool, denied: bool, soft: str, facts: Facts
) -> Ruling:
    """Rule on a frequency claim.

    :param moves: UCI of the moves meant; with ``every`` their games are added up, else each is tried and they must
        agree.
    :param denied: the opposite was claimed.
    :param soft: words that restrict the claim to other games ("nowadays"); then it can't fail here.
    """
    replies = facts.replies
    if replies is None:
        return undecided(facts.why_none)
    if not replies.total:
        return undecided("no game of the base reached this position")
    groups = [moves] if every else [(move,) for move in moves]
    rulings = [_rule(measure, group, facts, replies) for group in groups]
    ruling = rulings[0]
    if len({r.verdict for r in rulings}) > 1:
        ruling = undecided(f"the words fit several moves: {together(r.evidence for r in rulings)}")
    if denied:
        ruling = negated(ruling)
    if soft and ruling.verdict is Verdict.FAILS:
        ruling = undecided(f"{ruling.evidence}; counted over all games, the words say “{soft}”")
    return ruling


def _rule(measure: Measure, moves: tuple[str, ...], facts: Facts, replies: Replies) -> Ruling:
    played = {reply.uci: reply.games for reply in replies.replies}
    moves = tuple(sorted(moves, key=lambda move: -played.get(move, 0)))
    games = sum(played.get(move, 0) for move in moves)
    total = replies.total
    others = sorted((r for r in replies.replies if r.uci not in moves), key=lambda r: -r.games)
    evidence = _evidence(moves, facts, games, total, others)
    if total < FEW_GAMES:
        return undecided(f"{evidence}; fewer than {FEW_GAMES} games prove little")
    return Ruling(_verdict(measure, games / total, [r.games / total for r in others]), as_evidence(evidence))


def _verdict(measure: Measure, share: float, others: list[float]) -> Verdict:
    """The verdict on a share, given the other moves' shares, largest first."""
    best = others[0] if others else 0.0
    if measure.how is How.FIRST:
        return _between(share - best, 0.0, -TIE)
    if measure.how is How.SECOND:
        ahead = sum(other > share for other in others)
        return Verdict.HOLDS if ahead == 1 else Verdict.FAILS
    if measure.how is How.ALWAYS:
        return _between(share, ALWAYS_HOLDS, ALWAYS_FAILS)
    if measure.how is How.MOST:
        if share >= MOST_HOLDS or (share >= MOST_IF_FIRST and share > best):
            return Verdict.HOLDS
        return Verdict.FAILS if share < MOST_FAILS and share < best else Verdict.UNDECIDED
    if measure.how is How.COMMON:
        return _between(share, COMMON_HOLDS, COMMON_FAILS)
    if measure.how is How.NUMBER:
        off = abs(share - measure.share)
        return _between(-off, -NUMBER_OFF, -2 * NUMBER_OFF)
    low, high = (RARE_HOLDS, RARE_FAILS) if measure.how is How.RARE else (NOBODY_HOLDS, NOBODY_FAILS)
    return _between(-share, -low, -high)


def _between(value: float, good: float, bad: float) -> Verdict:
    """Holds from ``good`` upwards, fails below ``bad``, else open."""
    if value >= good:
        return Verdict.HOLDS
    return Verdict.FAILS if value < bad else Verdict.UNDECIDED


def _evidence(moves: tuple[str, ...], facts: Facts, games: int, total: int, others: list[Reply]) -> str:
    """E.g. "Nf6 played in 96 % of 1,174 games (1,130), next Bg4 2 %"."""
    names = " or ".join(facts.board.san(chess.Move.from_uci(move)) for move in moves[:3]) + (
        " …" if len(moves) > 3 else ""
    )
    told = f"{names} played in {_percent(games, total)} of {total:,} games{facts.where} ({games:,})"
    if not others:
        return told
    word = "next" if games >= others[0].games else "most played"
    return f"{told}, {word} {others[0].san} {_percent(others[0].games, total)}"


def _percent(games: int, total: int) -> str:
    """Rounded, but never "0 %" or "100 %" where it isn't exact."""
    share = 100 * games / total
    if 0 < share < 1:
        return "under 1 %"
    if 99.5 <= share < 100:
        return "over 99 %"
    return f"{share:.0f} %"

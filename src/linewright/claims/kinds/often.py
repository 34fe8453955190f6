"""How often: the words for it, the thresholds, and the ruling on a move's share of the games."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import chess

from linewright.claims.model import Verdict
from linewright.claims.numbers import number
from linewright.claims.registry import Facts, Replies, Reply
from linewright.claims.ruling import Ruling, negated, undecided

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
#: A move below this that is not the most played is not what "most people" play; between, the claim stays open.
MOST_FAILS = 0.4
#: "The main move": another move ahead by less than this share is a tie, and the claim is open.
TIE = 0.03
#: "Common", "often": every tenth game or more; below ``COMMON_FAILS`` it isn't.
COMMON_HOLDS, COMMON_FAILS = 0.10, 0.03
#: "Rare", "hardly anyone": at most every twentieth game; from ``RARE_FAILS`` on it isn't rare.
RARE_HOLDS, RARE_FAILS = 0.05, 0.15
#: "Nobody": at most one game in fifty; from ``NOBODY_FAILS`` on it is wrong.
NOBODY_HOLDS, NOBODY_FAILS = 0.02, 0.08
#: A number told ("eighty per cent") may be this far off; trainers round. Twice as far is wrong.
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
    :param share: the share told, for ``How.NUMBER``.
    """

    how: How
    names_move: bool = False
    share: float = 0.0


_MOVE = r"(?:moves?|reply|replies|response|continuation|choice|answer|option|line|recapture|retreat|try|way to play|development|capture|variation|set up|setup|square)"
_POPULAR = r"(?:common|popular|usual|frequent|played|frequently played|commonly played|often played|often seen|natural and common|chosen|fashionable)"
_ALMOST = r"(?:nearly|almost|practically|virtually|pretty much|more or less|basically|just about)"
_PEOPLE = r"(?:everybody|every player|all (?:the )?(?:players|people|masters|grandmasters|games)|all of them|everybody sensible)"
_MOST_PEOPLE = r"(?:most|the majority of|a majority of|the vast majority of|the great majority of) (?:of the )?(?:people|players|masters|grandmasters|games|opponents|black players|white players|black|white|strong players|lines|others|folks?)"

_PATTERNS: tuple[tuple[re.Pattern[str], Measure], ...] = tuple(
    (re.compile(rf"\b(?:{pattern})\b"), measure)
    for pattern, measure in (
        (rf"second most {_POPULAR}(?: {_MOVE})?|(?:the )?second choice", Measure(How.SECOND, True)),
        (rf"(?:by far )?(?:the |black's |white's |his |our |your )?(?:absolute |clear |real )?(?:main|number one|principal|favourite|most {_POPULAR}) {_MOVE}", Measure(How.FIRST, True)),
        (rf"(?:most {_POPULAR}|most often played|most people's choice|played most|played the most|played most often|by far the favourite|the clear favourite|the number one)", Measure(How.FIRST, True)),
        (rf"(?:more (?:often|common|popular|frequent) than anything else|ahead of everything else)", Measure(How.FIRST, True)),
        (rf"(?:{_ALMOST} never|{_ALMOST} nobody|hardly anybody|hardly anyone|hardly ever|scarcely ever|hardly a soul|virtually unknown|{_ALMOST} unknown|never played|{_ALMOST} no player|nobody|unheard of)", Measure(How.NOBODY)),
        (rf"{_ALMOST} (?:always|invariably|without exception|automatic|universal|universally|forced|in all games|every game|every time|{_PEOPLE})|invariably|without exception|nine times out of ten|nine (?:games )?(?:out of|in) ten|ninety nine times out of a hundred|99 times out of 100|9 times out of 10|"
         rf"in {_ALMOST} (?:every|all) (?:the )?games?|{_PEOPLE} (?=plays?|goes|takes?|castles|moves|brings|answers|replies|chooses|recaptures|retreats|puts|continues|responds|drops|captures|pushes|swaps|exchanges|develops)|always (?=plays?|goes|takes?|castles|moves|played|answered|met|recaptures)|(?<=it's )always|(?<=is )always (?=played|met|answered|the)|the (?:vast|overwhelming|great) majority (?:of (?:the )?(?:players|people|games|masters) )?", Measure(How.ALWAYS)),
        (rf"(?P<share>\d+(?:\.\d+)?|(?:ten|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)(?: (?:one|two|three|four|five|six|seven|eight|nine))?) percent(?: of the (?:time|games|players|cases))?", Measure(How.NUMBER)),
        (r"(?P<share2>(?:two|three) (?:thirds|quarters)|(?:a|one) (?:third|quarter)|(?:about |roughly )?half|(?:one|two|three|four|five|six|seven|eight|9) (?:out of|in) (?:ten|10|five|four|three)|every (?:second|third|other)) (?:of (?:the |all )?)?(?:games?|players|time|times|people|cases)?", Measure(How.NUMBER)),
        (rf"{_MOST_PEOPLE}|more often than not|in most (?:of the )?(?:games|cases)|most of the time|usually|normally|as a rule|mostly|people (?:usually|normally|mostly|generally)|predominantly", Measure(How.MOST)),
        (rf"the (?:usual|normal|standard|customary|routine) {_MOVE}", Measure(How.MOST, True)),
        (rf"(?:rarely|seldom|very rare|rare|uncommon|unpopular|infrequent|few people|few players|very few|not many people|not many players|only a few|once in a blue moon|a rarity|a rare guest|a rare bird|hardly seen|a minor sideline|unusual)(?: {_MOVE})?", Measure(How.RARE, True)),
        (rf"(?:very |quite |fairly |pretty |also |extremely |really )?(?:common|popular|often (?:played|seen|chosen|tried)|frequent|frequently played|played (?:quite |very )?(?:often|a lot|frequently))(?: {_MOVE})?", Measure(How.COMMON, True)),
    )
)  # fmt: skip


def measures(text: str) -> Iterator[tuple[Measure, int, int]]:
    """The measures in a sentence's text with their character ranges, in order, without overlaps."""
    taken: list[tuple[Measure, int, int]] = []
    for pattern, measure in _PATTERNS:
        for match in pattern.finditer(text):
            if any(match.start() < end and match.end() > start for _, start, end in taken):
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
    words = (groups.get("share2") or "").split()
    if "half" in words:
        return 0.5
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
    rulings = [_rule(measure, group, facts.board, replies) for group in groups]
    ruling = rulings[0]
    if len({r.verdict for r in rulings}) > 1:
        ruling = undecided(f"the words fit several moves: {'; '.join(r.evidence for r in rulings)}")
    if denied:
        ruling = negated(ruling)
    if soft and ruling.verdict is Verdict.FAILS:
        ruling = undecided(f"{ruling.evidence}; counted over all games, the words say “{soft}”")
    return ruling


def _rule(measure: Measure, moves: tuple[str, ...], board: chess.Board, replies: Replies) -> Ruling:
    games = sum(reply.games for reply in replies.replies if reply.uci in moves)
    total = replies.total
    others = sorted((r for r in replies.replies if r.uci not in moves), key=lambda r: -r.games)
    evidence = _evidence(moves, board, games, total, others)
    if total < FEW_GAMES:
        return undecided(f"{evidence}; fewer than {FEW_GAMES} games prove little")
    return Ruling(_verdict(measure, games / total, [r.games / total for r in others]), evidence)


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
        return Verdict.FAILS if share < MOST_FAILS and share < best else Verdict.OPEN
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
    return Verdict.FAILS if value < bad else Verdict.OPEN


def _evidence(moves: tuple[str, ...], board: chess.Board, games: int, total: int, others: list[Reply]) -> str:
    """E.g. "Nf6 played in 96 % of 1,174 games (1,130), next Bg4 2 %"."""
    names = " or ".join(board.san(chess.Move.from_uci(move)) for move in moves[:3]) + (
        " …" if len(moves) > 3 else ""
    )
    told = f"{names} played in {_percent(games, total)} of {total:,} games ({games:,})"
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

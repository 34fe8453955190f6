"""The ruling on a move's share of the games, and its thresholds."""

from __future__ import annotations

from typing import Final

import chess

from linewright.claims.claim_kind import CountedReplies, CountedReply, Facts
from linewright.claims.kinds.frequency.measures import How, Measure
from linewright.claims.rulings import Ruling, negated, undecided
from linewright.language.evidence import Count, Evidence, Number, Options, Percent, Value, together, why
from linewright.lesson.finding import Verdict

#: Games. With fewer than this no share is trusted: at 20 games the 95 % interval is still about ±20 points wide.
FEW_GAMES = 20
#: Shares of the games, 0-1, that bear out "nearly always". A trainer says it of 84 % as well as of 99 %; of a move
#: that one in four avoids he no longer would. Judgement, no source.
ALWAYS_HOLDS = 0.75
#: Below this "nearly always" is plainly wrong: one in three plays otherwise.
ALWAYS_FAILS = 0.65
#: "Most people play it" holds from half of the games up …
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
#: Moves that words may mean which the evidence names.
MOST_NAMED: Final = 3


def decide_share(
    measure: Measure, moves: tuple[str, ...], every: bool, denied: bool, some_games: str, facts: Facts
) -> Ruling:
    """Rule on a frequency claim.

    :param moves: UCI of the moves meant; with ``every`` their games are added up, else each is tried and they must
        agree.
    :param denied: the opposite was claimed.
    :param some_games: words that restrict the claim to a part of the games ("nowadays"); then it can't fail here.
    """
    replies = facts.replies
    if replies is None:
        return undecided(facts.why_none)
    if not replies.total:
        return undecided(why("frequency.no_games"))
    groups = [moves] if every else [(move,) for move in moves]
    rulings = [_rule(measure, group, facts, replies) for group in groups]
    ruling = rulings[0]
    if len({r.verdict for r in rulings}) > 1:
        ruling = undecided(why("frequency.several", evidence=together(r.evidence for r in rulings)))
    if denied:
        ruling = negated(ruling)
    if some_games and ruling.verdict is Verdict.FAILS:
        ruling = undecided(why("frequency.some_games", evidence=ruling.evidence, words=some_games))
    return ruling


def _rule(measure: Measure, moves: tuple[str, ...], facts: Facts, replies: CountedReplies) -> Ruling:
    played = {reply.uci: reply.games for reply in replies.replies}
    moves = tuple(sorted(moves, key=lambda move: -played.get(move, 0)))
    games = sum(played.get(move, 0) for move in moves)
    total = replies.total
    others = sorted((r for r in replies.replies if r.uci not in moves), key=lambda r: -r.games)
    evidence = _evidence(moves, facts, games, total, others)
    if total < FEW_GAMES:
        return undecided(why("frequency.few", evidence=evidence, games=Count(FEW_GAMES, "game")))
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


def _evidence(moves: tuple[str, ...], facts: Facts, games: int, total: int, others: list[CountedReply]) -> Evidence:
    """E.g. "Nf6 played in 96 % of 1,174 games (1,130), next Bg4 2 %"."""
    names = tuple(facts.board.san(chess.Move.from_uci(move)) for move in moves[:MOST_NAMED])
    played = why(
        "frequency.played",
        moves=Options(names, more=len(moves) > MOST_NAMED),
        share=Percent(games, strict=True, of=total),
        total=Count(total, "game"),
        where=facts.where,
        games=Number(games),
    )
    if not others:
        return played
    other = others[0]
    share = Percent(other.games, strict=True, of=total)
    values: dict[str, Value] = {"played": played, "move": other.san, "share": share}
    if games >= other.games:
        return why("frequency.played_next", **values)
    return why("frequency.played_less", **values)

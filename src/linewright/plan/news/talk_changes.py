"""What changed since a talk was last checked: new moves, shifted shares, turned verdicts, findings that now fail."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Final

import chess

from linewright.engine.model import EngineVerdict
from linewright.engine.signs import Sign, sign
from linewright.games.api import Debut, GameTags, Replies, position_key
from linewright.lesson.finding import TROUBLES, Finding, GameRef, Kind
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Node, Walk
from linewright.plan.lesson_index import own_part
from linewright.plan.news.news_file import Held, Known, Remembered
from linewright.plan.news.quoted_games import named_game
from linewright.plan.news.statistics import LEVEL, TEST, fisher, holm
from linewright.plan.plan_text import count, line_text

#: Half-moves from the start in which a new move is news: beyond, every game is new.
DEPTH: Final = 40
#: Games that a position must have for its shares to be looked at, before and since.
FEWEST: Final = 20
#: Games that a position must have had for a new move in it to be news: where nobody plays, everything is new.
TRODDEN: Final = 5
#: Points in a hundred by which a share must have moved to matter to a lesson, however significant.
MOVED: Final = 0.05
#: New moves, and turned verdicts, reported for one talk; further ones are counted.
MOST: Final = 12
#: Pawns by which a score must have moved for its sign's change to be news: as far as the narrowest sign is wide, so
#: that a score that wavers about a threshold turns nothing.
TURNED: Final = 0.3
#: Steps between signs from which on a turn is news anywhere in a talk; a single one where the talk judges, or where a
#: line ends. What a step is: :data:`_STEP`.
FAR: Final = 2


class Sort(StrEnum):
    """Sorts of news, the most pressing first."""

    FAILS = "now fails"
    TURNED = "verdict turned"
    SHIFT = "share shifted"
    NOVELTY = "new move"
    SOURCE = "better source"


@dataclass(frozen=True, slots=True)
class NewsItem:
    """One piece of news.

    :param what: in a sentence; ``proposed``: what the talk could say now.
    :param words: the talk's sentence that it concerns, with ``line`` and ``column`` in its file.
    :param weight: for ranking within a sort: games, points, or chance.
    """

    sort: Sort
    what: str
    proposed: str
    words: str
    line: int
    column: int
    fen: str
    weight: float


@dataclass(frozen=True, slots=True)
class News:
    """A talk's news.

    :param since: ISO date of the last check; "" at the first one, when there can be none.
    :param added: games that the base has more than then.
    :param tested: shares that were looked at for a shift.
    :param more: new moves and turned verdicts that aren't named.
    """

    title: str
    source: str
    since: str
    added: int
    tested: int
    items: tuple[NewsItem, ...]
    more: int = 0


#: From a position and a reply in UCI to how it fared.
Games = Callable[[chess.Board, str], Debut]


def remember_today(
    walk: Walk,
    when: str,
    games: int,
    last: int,
    replies: Callable[[chess.Board], Replies],
    verdict: Callable[[chess.Board], EngineVerdict | None],
    findings: Sequence[Finding],
    fuller: Callable[[GameRef], str] = lambda _: "",
    starter: bool = False,
) -> Remembered:
    """What is true today.

    :param fuller: names a fuller record of a quoted game, "" where the base has none.
    :param starter: the replies are counted in the starter table.
    """
    positions: dict[str, Known] = {}
    for node in walk.nodes:
        if node.ply > DEPTH:
            continue
        board = chess.Board(node.fen)
        found = verdict(board)
        positions[f"{position_key(board):016x}"] = Known(
            node.fen,
            {reply.uci: reply.games for reply in replies(board).replies},
            sign(found).symbol if found else "",
            found.engine if found else "",
            found.nodes if found else 0,
            found.best.score.pawns if found and found.best else None,
        )
    held = tuple(
        Held(
            str(f.kind), f.said.words, str(f.verdict), f.evidence,
            " ".join((f.game.white, f.game.black, f.game.date, f.game.event)) if f.game else "",
            fuller(f.game) if f.game else "",
        )
        for f in findings
        if f.kind not in TROUBLES
    )  # fmt: skip
    return Remembered(when, games, last, positions, held, starter)


def find_news(
    walk: Walk, then: Remembered | None, today: Remembered, findings: Sequence[Finding], games: Games
) -> News:
    """What a talk's trainer should hear; nothing at the first check.

    Counts of the starter table and of a base are not of the same games: between them no moves and shares are compared.
    """
    if then is None:
        return News(walk.title, walk.talk.source, "", 0, 0, ())
    same = then.starter == today.starter
    shifts, tested = _shifts(walk, then, today) if same else ([], 0)
    found = [*_failing(then, today, findings), *_sources(then, today, findings), *shifts]
    many = [
        sorted(_novelties(walk, then, today, games), key=lambda item: -item.weight) if same else [],
        sorted(_turned(walk, then, today, findings), key=lambda item: -item.weight),
    ]
    order = list(Sort)
    items = [*found, *(item for one in many for item in one[:MOST])]
    items.sort(key=lambda item: (order.index(item.sort), -item.weight, item.line, item.column))
    more = sum(len(one[MOST:]) for one in many)
    return News(
        walk.title, walk.talk.source, then.when, today.games - then.games if same else 0, tested, tuple(items), more
    )


def _positions(walk: Walk, then: Remembered, today: Remembered) -> Iterator[tuple[Node, Known, Known]]:
    """The talk's nodes with what was known and is known of them, each position once."""
    seen: set[str] = set()
    for node in walk.nodes:
        key = f"{position_key(chess.Board(node.fen)):016x}"
        if key in seen or key not in then.positions or key not in today.positions:
            continue
        seen.add(key)
        yield node, then.positions[key], today.positions[key]


def _said(walk: Walk, node: Node) -> tuple[str, int, int]:
    """The words that say a node's move, with their place."""
    if node.step is None:
        word = walk.talk.words[0]
        return word.text, word.place.line, word.place.column
    said = walk.steps[node.step].said
    return said.words, said.place.line, said.place.column


def _novelties(walk: Walk, then: Remembered, today: Remembered, games: Games) -> Iterator[NewsItem]:
    first = own_part(walk).ply
    for node, before, after in _positions(walk, then, today):
        if node.ply < first or sum(before.replies.values()) < TRODDEN:
            continue
        shown = {walk.nodes[child].uci for child in node.children}
        for uci, played in after.replies.items():
            if before.replies.get(uci, 0) or uci in shown:
                continue
            board = chess.Board(node.fen)
            move = numbered(node.fen, board.san(chess.Move.from_uci(uci)))
            what = f"{move} is new to the base: {_times(played)} in the games added, in none before"
            what += _debut(games(board, uci), board.turn)
            proposed = f"Look at {move}; say that it is new, or what you would play against it."
            yield NewsItem(Sort.NOVELTY, what, proposed, *_said(walk, node), node.fen, played)


def _debut(found: Debut, white: bool) -> str:
    """By whom, and how they scored."""
    players = ""
    if found.first is not None:
        players += f"; first by {_player(found.first, white)}"
    if found.newest is not None and found.newest != found.first:
        players += f", last by {_player(found.newest, white)}"
    side = "White" if white else "Black"
    return f"{players}; {side} scored {found.points:g} of {found.scored} with it" if found.scored else players


def _player(game: GameTags, white: bool) -> str:
    mine, other = (game.white, game.black) if white else (game.black, game.white)
    year = f" {game.year}" if game.year and str(game.year) not in game.event else ""
    return f"{mine or '?'} against {other or '?'}, {game.event or game.site}{year}"


def _times(number: int) -> str:
    return "once" if number == 1 else "twice" if number == 2 else f"{number} times"


def _shifts(walk: Walk, then: Remembered, today: Remembered) -> tuple[list[NewsItem], int]:
    """Shares in the games added since, against those of the games before; and how many were looked at."""
    looked: list[tuple[Node, str, int, int, int, int]] = []
    for node, before, after in _positions(walk, then, today):
        old, total = sum(before.replies.values()), sum(after.replies.values())
        new = total - old
        if old < FEWEST or new < FEWEST:
            continue
        for uci, played in after.replies.items():
            had = before.replies.get(uci, 0)
            added = played - had
            if added < 0 or not (had or added):
                continue  # games were taken out of the base: nothing can be compared
            looked.append((node, uci, had, old, added, new))
    chances = holm([fisher(had, old, added, new) for _, _, had, old, added, new in looked])
    items = []
    for (node, uci, had, old, added, new), chance in zip(looked, chances, strict=True):
        was, is_now = had / old, added / new
        if chance > LEVEL or abs(is_now - was) < MOVED:
            continue
        move = numbered(node.fen, chess.Board(node.fen).san(chess.Move.from_uci(uci)))
        went = "risen" if is_now > was else "fallen"
        what = (
            f"{move} has {went} from {100 * was:.0f} % of {old:,} games to {100 * is_now:.0f} % of {new:,} new ones "
            f"(p = {chance:.2g}; {TEST}, {len(looked)} looked at)"
        )
        proposed = f"Say that {move} is played in {100 * (had + added) / (old + new):.0f} %, and {went} of late."
        items.append(NewsItem(Sort.SHIFT, what, proposed, *_said(walk, node), node.fen, abs(is_now - was)))
    return items, len(looked)


def _turned(walk: Walk, then: Remembered, today: Remembered, findings: Sequence[Finding]) -> Iterator[NewsItem]:
    """Verdicts that turned in the talk's own part; of positions that follow each other on a line the first."""
    judged = {finding.before for finding in findings if finding.kind is Kind.ASSESSMENT}
    own, reported = own_part(walk).ply, set[int]()
    for node, before, after in _positions(walk, then, today):
        if node.ply < own or not before.sign or not after.sign or not _moved(before, after):
            continue
        steps = abs(_STEP[after.sign] - _STEP[before.sign])
        if steps < (1 if node.fen in judged or not node.children else FAR):
            continue
        reported.add(node.id)
        if node.parent in reported and node.fen not in judged:
            continue
        where = line_text(walk.nodes[node.parent].fen, [node.san]) if node.parent is not None else "the start"
        work = f"{after.engine}, {after.nodes:,} nodes" if after.engine else "a game that is over"
        what = (
            f"after {where} the verdict was {before.sign} ({before.engine}, {before.nodes:,} nodes) and is "
            f"{after.sign} ({work})"
        )
        proposed = f"Say that {_WORDS[after.sign]} after {where} ({after.sign})."
        yield NewsItem(Sort.TURNED, what, proposed, *_said(walk, node), node.fen, steps)


def _moved(before: Known, after: Known) -> bool:
    """A verdict by another engine or by more work, whose score has moved; a mate always has."""
    if before.engine == after.engine and after.nodes < before.nodes:
        return False
    return before.pawns is None or after.pawns is None or abs(after.pawns - before.pawns) >= TURNED


#: The signs' words, and their places on the scale from Black's win to White's; an unclear position is as good for both.
_WORDS: Final = {one.symbol: str(one.meaning) for one in Sign}
_STEP: Final = {
    Sign.BLACK_WINNING.symbol: -3, Sign.BLACK_CLEAR.symbol: -2, Sign.BLACK_SLIGHT.symbol: -1, Sign.EQUAL.symbol: 0,
    Sign.UNCLEAR.symbol: 0, Sign.WHITE_SLIGHT.symbol: 1, Sign.WHITE_CLEAR.symbol: 2, Sign.WHITE_WINNING.symbol: 3,
}  # fmt: skip


def _failing(then: Remembered, today: Remembered, findings: Sequence[Finding]) -> Iterator[NewsItem]:
    """Claims that held or were undecided, and fail today."""
    was: Mapping[tuple[str, str], Held] = {(h.kind, h.words): h for h in then.findings}
    for finding in findings:
        before = was.get((str(finding.kind), finding.said.words))
        if before is None or str(finding.verdict) != "fails" or before.verdict == "fails":
            continue
        place = finding.said.place
        what = f"“{finding.said.words}” {'held' if before.verdict == 'holds' else 'was undecided'} and now fails"
        proposed = f"Now: {finding.evidence}. Correct the sentence, or mark it {{stet}}."
        yield NewsItem(
            Sort.FAILS, what, proposed, finding.said.words, place.line, place.column,
            finding.before, finding.met,
        )  # fmt: skip


def _sources(then: Remembered, today: Remembered, findings: Sequence[Finding]) -> Iterator[NewsItem]:
    """Quotes that mean another game of the base today, one where none was known, or one that is known more fully."""
    was = {(h.kind, h.words): h for h in then.findings}
    now_known = {(h.kind, h.words): h for h in today.findings}
    for finding in findings:
        place, key = finding.said.place, (str(finding.kind), finding.said.words)
        before, known, game = was.get(key), now_known.get(key), finding.game
        if before is None or known is None or game is None:
            continue
        named = named_game(game.white, game.black, game.event or game.site, game.date)
        other = known.game != before.game and (before.game or known.verdict != "fails")  # the failing says it all
        if known.fuller and known.fuller != before.fuller:
            what, proposed = f"the base has a fuller record of the game quoted: {known.fuller}", known.fuller
        elif other:
            what = f"the base {'has a better source for' if before.game else 'now has'} the game quoted: {named}"
            proposed = named
        else:
            continue
        proposed = f"Quote it as {proposed}."
        if known.verdict == "holds" and before.verdict != "holds":
            what += "; what is said of it holds"
        yield NewsItem(Sort.SOURCE, what, proposed, finding.said.words, place.line, place.column, finding.before, 1.0)


def news_lines(found: News) -> Iterator[str]:
    """A talk's news, as linters print: place, sort, what; then the proposal."""
    if not found.since:
        yield f"{found.source}: checked for the first time; news from now on"
        return
    more = f"{count(abs(found.added), 'game')} {'more' if found.added >= 0 else 'fewer'}"
    if not found.items:
        yield f"{found.source}: nothing new since {found.since} ({more})"
        return
    yield f"{found.source}: {len(found.items)} news since {found.since} ({more})"
    for item in found.items:
        words = f" “{item.words}” —" if item.words and item.words not in item.what else ""
        yield f"{found.source}:{item.line}:{item.column}: {item.sort}:{words} {item.what}"
        yield f"    proposed: {item.proposed}"
    if found.more:
        yield f"    … and {found.more:,} less pressing new moves and turned verdicts"


def digest(all_news: Sequence[News], when: str, most: int = 12) -> Iterator[str]:
    """One page for all talks: the most pressing first."""
    order = list(Sort)
    rows = [(order.index(item.sort), -item.weight, one.title, item) for one in all_news for item in one.items]
    rows.sort(key=lambda row: row[:3])
    yield f"News of {len(all_news)} talk{'s' if len(all_news) != 1 else ''}, {when}"
    yield ""
    for _, _, title, item in rows[:most]:
        yield f"{title}: {item.sort}: {item.what}"
        yield f"    {item.proposed}"
    more = len(rows) - most + sum(one.more for one in all_news)
    if more > 0:
        yield f"… and {more:,} more: linewright news TALK"
    quiet = [one.title for one in all_news if one.since and not one.items]
    if quiet:
        yield f"Nothing new: {', '.join(quiet)}."
    first = [one.title for one in all_news if not one.since]
    if first:
        yield f"Checked for the first time: {', '.join(first)}."


def news_json(all_news: Sequence[News]) -> dict[str, Any]:
    """The news for programs."""
    return {"test": TEST, "talks": [asdict(one) for one in all_news]}

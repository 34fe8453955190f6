"""What the games say of a lesson's lines, and the games worth showing beside them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Protocol

import chess

from linewright.games.api import FOLLOWING_PLIES, GameRow, Order, Replies
from linewright.lesson.finding import Finding, GameRef, Kind, Verdict
from linewright.lesson.spoken import written
from linewright.lesson.walk import Walk
from linewright.publish.handout.book import Section

#: Games that a figure must rest on; below it an earlier move of the line is counted instead. Half the width of
#: the 95 % interval of 30 even games is about 17 points (Wilson), as much as a table can bear.
ENOUGH_GAMES = 30

#: Games looked at for one to show, and shown at most.
LOOKED_AT, SHOWN = 24, 4


class LessonGames(Protocol):
    """The part of the games base that hand-outs and pages ask."""

    def replies(self, position: chess.Board) -> Replies: ...

    def games(self, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]: ...

    def moves(self, game: int) -> tuple[str, ...]: ...


class Signs(Protocol):
    """Whoever knows the trade's sign of a position (``⩲``, ``=``, ``∓`` …); None where it is not known."""

    def sign(self, fen: str) -> str | None: ...


@dataclass(frozen=True, slots=True)
class LineScore:
    """The expected score of a line in the games, seen from the lesson's side.

    :param node: the move it is counted after; the deepest of the line with enough games.
    :param games: games with that move and a known result.
    :param score: 0-1, win 1, draw ½.
    :param low: lower end of its 95 % Wilson interval, 0-1.
    :param high: upper end.
    """

    node: int
    games: int
    score: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ShownGame:
    """A real game that goes through a position of the lesson.

    :param node: that position.
    :param moves: the game's moves from there to its end, in UCI; ``whole`` says whether none is missing.
    :param row: who, when and where.
    """

    node: int
    row: GameRow
    moves: tuple[str, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class GameEvidence:
    """What games and an engine say of a lesson's lines; all of it may be missing.

    :param scores: for each section of the book its score.
    :param models: games to show.
    :param signs: the trade's sign for each section's last position, ``""`` where unknown.
    """

    scores: tuple[LineScore | None, ...] = ()
    models: tuple[ShownGame, ...] = ()
    signs: tuple[str, ...] = ()


NO_EVIDENCE = GameEvidence()


def gather(
    walk: Walk,
    sections: Sequence[Section],
    games: LessonGames | None,
    signs: Signs | None,
    findings: Sequence[Finding] = (),
) -> GameEvidence:
    """Ask the games base and the engine's verdicts, where there are any, for what is shown of its lines.

    :param findings: the games quoted in them are shown before those that nobody named.
    """
    quoted = quoted_games(walk, findings)
    more = max(0, SHOWN - len(quoted))
    others = model_games(walk, sections, games, more, {game.row.id for game in quoted}) if games else ()
    return GameEvidence(
        tuple(score_of(walk, section, games) for section in sections) if games else (),
        (*quoted, *others),
        tuple(signs.sign(walk.nodes[section.last].fen) or "" for section in sections) if signs else (),
    )


def score_of(walk: Walk, section: Section, games: LessonGames) -> LineScore | None:
    """A line's score, counted after its deepest move with enough games; None where no game knows the line."""
    best: LineScore | None = None
    for bit in section.bits:
        node = walk.nodes[bit.node]
        assert node.parent is not None
        board = chess.Board(walk.nodes[node.parent].fen)
        reply = next((r for r in games.replies(board).replies if r.uci == node.uci), None)
        if reply is None or not reply.scored:
            break
        if best is not None and reply.scored < ENOUGH_GAMES:
            break
        ours = board.turn == (walk.side != "black")
        score, low, high = (
            (reply.score, reply.low, reply.high) if ours else (1 - reply.score, 1 - reply.high, 1 - reply.low)
        )
        best = LineScore(node.id, reply.scored, score, low, high)
    return best


def quoted_games(walk: Walk, findings: Sequence[Finding]) -> tuple[ShownGame, ...]:
    """The games of the base that the talk quotes, from the last position that they share with the lesson's line on.

    Each game once, in the order of the talk; a quote that fails is not shown as the talk's.
    """
    found: dict[int, ShownGame] = {}
    for finding in findings:
        game = finding.game
        if game is None or finding.kind is not Kind.QUOTE or finding.verdict is Verdict.FAILS or game.id in found:
            continue
        shared = _shared(walk, walk.node_after(finding.step), game)
        if shared is None:
            continue
        node, reached = shared
        played = written(chess.STARTING_FEN, game.moves)
        row = GameRow(
            id=game.id,
            white=game.white,
            black=game.black,
            white_rating=None,
            black_rating=None,
            result=game.result,
            date=game.date,
            year=game.year,
            event=game.event,
            site=game.site,
            round=game.round,
            eco="",
            plies=len(game.moves),
            reached=reached,
            following=tuple(san for _, san in played[reached : reached + FOLLOWING_PLIES]),
            source="",
        )
        found[game.id] = ShownGame(node, row, game.moves[reached:], whole=True)
    return tuple(found.values())


def _shared(walk: Walk, node: int, game: GameRef) -> tuple[int, int] | None:
    """The last node on the way to ``node`` that the game reaches too, and after how many half-moves it does; None
    where the lesson starts from a position that the game never had."""
    board = chess.Board()
    reached = {board.epd(): 0}
    for ply, uci in enumerate(game.moves, 1):
        board.push_uci(uci)
        reached.setdefault(board.epd(), ply)
    for shared in (*reversed(walk.line(node)), 0):
        key = chess.Board(walk.nodes[shared].fen).epd()
        if key in reached:
            return shared, reached[key]
    return None


def model_games(
    walk: Walk, sections: Sequence[Section], games: LessonGames, most: int = SHOWN, but: Collection[int] = ()
) -> tuple[ShownGame, ...]:
    """For each line the strongest game that follows it longest, one won by the lesson's side where there is one.

    Each game is shown once; main line first.

    :param but: numbers of games that are shown already.
    """
    found: list[ShownGame] = []
    seen = set(but)
    for section in sections:
        if len(found) >= most:
            break
        for bit in reversed(section.bits):
            board = chess.Board(walk.nodes[bit.node].fen)
            rows = [row for row in games.games(board, "strongest", LOOKED_AT) if row.following]
            rows = [row for row in rows if row.id not in seen]
            if rows:
                won = "0-1" if walk.side == "black" else "1-0"
                row = next((row for row in rows if row.result == won), rows[0])
                seen.add(row.id)
                found.append(whole_game(bit.node, row, games))
                break
    return tuple(found)


def whole_game(node: int, row: GameRow, games: LessonGames) -> ShownGame:
    """A game from the position where it meets the lesson to its end."""
    moves = games.moves(row.id)[row.reached :]
    return ShownGame(node, row, moves, row.plies == row.reached + len(moves))


def heading(row: GameRow) -> str:
    """``Lind – Novak, Harbour Open 1998`` (surnames as the game spells them, unknown parts left out)."""
    names = " – ".join(surname(name) for name in (row.white, row.black))
    where = [part for part in (row.event.strip("? "), str(row.year or "")) if part]
    if len(where) == 2 and where[1] in where[0]:
        where.pop()
    return ", ".join([names, " ".join(where)]) if where else names


def surname(name: str) -> str:
    """The part before the comma; ``?`` for nobody."""
    return name.partition(",")[0].strip() or "?"

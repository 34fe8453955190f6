"""What the base answers, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import chess

from linewright.cli.terminal.text import beside_board
from linewright.games.api import (
    EXPECTATION_FORMULA,
    FEW_GAMES,
    GameRow,
    GameTags,
    ModelGame,
    PatternAnswer,
    Proportion,
    QuoteAnswer,
    QuotedGame,
    RatingExpectation,
    Scored,
    StudiedReply,
    Study,
)

#: Columns of the 0-100 % scale that an expected score is drawn on; odd, so that 50 % has a column.
SCALE_WIDTH: Final = 21


def reply_lines(study: Study, more: bool) -> list[str]:
    """The replies as a table in text.

    :param more: with trend, plans and first game of each, and how games came to the position.
    """
    side = "White" if study.fen.split()[1] == "w" else "Black"
    lines = [study.fen, f"{side} to move, {_games(study.total, study.only)}"]
    if study.ended:
        lines[1] += f" (and {study.ended:,} that ended here)"
    if not study.replies:
        return lines
    scale = f"{'0 %':<{SCALE_WIDTH // 2 - 1}}50 %{'100 %':>{SCALE_WIDTH - SCALE_WIDTH // 2 - 3}}"
    head = f"{'move':<7}{'games':>7}{'share':>8}  {scale} {'score':>6}  {'95 %':<8}{'over':>5}{'rating':>7}  last"
    lines += ["", head, *map(_reply_line, study.replies)]
    if more:
        for reply in study.replies:
            lines += ["", *_more(study, reply)]
        lines += _arrival_lines(study)
    return [*lines, "", *_notes(study)]


def _notes(study: Study) -> Iterator[str]:
    """What a reader must know to take the figures for what they are."""
    if study.total < FEW_GAMES:
        yield f"Few games (fewer than {FEW_GAMES}): trust the intervals, not the single figures."
    if any(reply.expectation for reply in study.replies):
        yield "Over: points in a hundred above (+) or below (−) the score that the ratings let expect,"
        yield f"{EXPECTATION_FORMULA}."


def _reply_line(studied: StudiedReply) -> str:
    reply = studied.reply
    score = percent(reply.score) if reply.scored else "–"
    interval = between(reply.low, reply.high).removesuffix(" %") if reply.scored else "no result"
    whisker = scale(reply.score, reply.low, reply.high) if reply.scored else scale(None, 0, 1)
    rating = str(reply.mean_rating) if reply.mean_rating is not None else "–"
    last = str(reply.last_year) if reply.last_year is not None else "–"
    return (
        f"{reply.san:<7}{reply.games:>7,}{_share(studied.part):>8}  {whisker} {score:>6}  "
        f"{interval:<9}{_over(studied.expectation):>4}{rating:>7}  {last}"
    )


def _share(part: Proportion) -> str:
    """A share; of few games the two numbers, which say how little they are."""
    return f"{part.games} of {part.of}" if part.few else f"{100 * part.share:.1f} %"


def _over(expectation: RatingExpectation | None) -> str:
    if expectation is None:
        return "–"
    return f"{100 * expectation.over:+.0f}".replace("-", "−")


def _more(study: Study, studied: StudiedReply) -> Iterator[str]:
    board = chess.Board(study.fen)
    reply, first = studied.reply, studied.first
    yield numbered(board.ply(), [reply.san])
    if first:
        date = first.date.replace(".??", "")
        event = f", {first.event}" if first.event else ""
        yield f"  first   {date} {first.by or '?'} ({first.white or '?'} – {first.black or '?'}{event})"
    periods = ", ".join(
        f"{p.first}–{p.last} {_share(p.part)}" if p.first != p.last else f"{p.first} {_share(p.part)}"
        for p in studied.trend.periods
    )
    if periods:
        yield f"  trend   {studied.trend.direction}: {periods}"
    for number, plan in enumerate(studied.plans):
        part = plan.part
        share = "" if part.few else f", {percent(part.share)}"
        yield (
            f"  {'plan' if not number else '':<7} {', '.join(plan.moves)}: {part.games:,} of {part.of:,} games{share}; "
            f"{_scored(plan.scored)}; as in {numbered(board.ply(), plan.line)}"
        )


def _scored(scored: Scored) -> str:
    if not scored.games:
        return "no result known"
    return f"scores {percent(scored.score)} ({between(scored.low, scored.high)})"


def _arrival_lines(study: Study) -> Iterator[str]:
    if not study.orders:
        return
    yield ""
    yield f"Games came here by {study.orders_known:,} order{'s' * (study.orders_known > 1)} of moves:"
    for order in study.orders:
        yield f"  {_share(order.part):>9}  {numbered(0, order.moves)}"
    if len(study.arrivals) > 1:
        yield "The last move was:"
        for arrival in study.arrivals:
            last = numbered(len(arrival.example) - 1, arrival.example[-1:])
            yield f"  {_share(arrival.part):>9}  {last} as in {numbered(0, arrival.example)}"


def percent(part: float) -> str:
    return f"{100 * part:.0f} %"


def between(low: float, high: float) -> str:
    return f"{100 * low:.0f}–{100 * high:.0f} %"


def scale(score: float | None, low: float, high: float) -> str:
    """An expected score on a 0-100 % scale: a dot with a whisker, ``├──●───┤``; ``┊`` marks 50 %.

    :param score: 0-1; None draws the scale alone.
    """
    columns = [" "] * SCALE_WIDTH
    columns[SCALE_WIDTH // 2] = "┊"
    if score is not None:
        first, dot, last = (round(part * (SCALE_WIDTH - 1)) for part in (low, score, high))
        columns[first : last + 1] = "─" * (last + 1 - first)
        columns[first], columns[last] = "├", "┤"
        columns[dot] = "●"
    return "".join(columns)


def game_lines(position: chess.Board, only: str, total: int, games: Sequence[GameRow]) -> list[str]:
    """The games, two lines each."""
    lines = [position.fen()]
    if not games:
        asked = f" ({only})" if only else ""
        lines.append(f"no game in the base reached this position{asked}")
    elif total > len(games):
        lines.append(f"{len(games):,} of {_games(total, only)}")
    for game in games:
        lines += ["", _heading(game), "            " + (numbered(game.reached, game.following) or "it ended here")]
    return lines


def model_lines(position: chess.Board, only: str, games: Sequence[ModelGame]) -> list[str]:
    """Model games, three lines each: heading, moves, reasons."""
    lines = game_lines(position, only, len(games), [model.game for model in games])
    if not games:
        return lines
    lines, rest = lines[:1], lines[1:]
    for place, model in enumerate(games):
        reasons = f"            {model.merits.total:.2f}  {model.why}"
        lines += [*rest[3 * place : 3 * place + 3], reasons]
    return lines


def _heading(game: GameRow | GameTags) -> str:
    event = ", ".join(part for part in (game.event, game.site) if part)
    white, black = player(game.white, game.white_rating), player(game.black, game.black_rating)
    return f"{game.date}  {white} – {black}  {game.result}  {event}".rstrip()


def player(name: str, rating: int | None) -> str:
    return (name or "?") + (f" ({rating})" if rating else "")


def numbered(reached: int, sans: Sequence[str]) -> str:
    """Moves with their numbers, ``reached`` half-moves into the game."""
    parts = []
    for ply, san in enumerate(sans, start=reached):
        number = f"{ply // 2 + 1}." if ply % 2 == 0 else f"{ply // 2 + 1}..." if ply == reached else ""
        parts.append(number + san)
    return " ".join(parts)


def found_lines(found: PatternAnswer, only: str, columns: int | None = None) -> list[str]:
    """The games that show a pattern.

    :param columns: of a terminal, where small boards stand for FENs; None for FENs.
    """
    part, asked = found.part, f" ({only})" if only else ""
    if not part.games:
        return [f"none of {part.of:,} games{asked} shows: {found.question}"]
    share = "" if part.few else f" ({100 * part.share:.1f} %)"
    verb = "shows" if part.games == 1 else "show"
    lines = [f"{part.games:,} of {part.of:,} games{asked}{share} {verb}: {found.question}"]
    lines.append(f"The side that shows it {_scored(found.scored)}.")
    for shown in found.games:
        stood = f"{shown.side.title()}, {shown.stood} position{'s' * (shown.stood > 1)}"
        line = numbered(shown.game.reached, shown.game.following) or "it ended there"
        lines += ["", _heading(shown.game)]
        if columns is None:
            lines += [f"            {stood}; then {line}", f"            {shown.fen}"]
        else:
            lines += beside_board(shown.fen, [f"{stood}; then", line], columns, shown.side == "black")
    return lines


#: Moves of a quoted game that are shown, from the first that agrees on.
_QUOTED: Final = 16


def quote_lines(quote: QuoteAnswer) -> list[str]:
    """The game that is meant, with where memory and game differ; else the nearest games."""
    if not quote.candidates:
        return ["no game in the base comes near"]
    lines = [] if quote.fits else ["no game in the base fits; the nearest:"]
    for place, found in enumerate(quote.candidates[:1] if quote.fits else quote.candidates):
        lines += ([""] if place else []) + list(_quoted_lines(quote, found))
    return lines


def _quoted_lines(quote: QuoteAnswer, found: QuotedGame) -> Iterator[str]:
    yield _heading(found.game)
    if quote.moves_given:
        sure = f", {percent(found.likely)} sure among the base's games" if quote.fits else ""
        yield f"  {found.agreeing} of {quote.moves_given} quoted moves agree; {found.distance:.1f} moves apart{sure}"
    if found.first is not None:
        yield f"  {numbered(found.first, found.moves[found.first : found.first + _QUOTED])}"
    if quote.fits:
        yield from (f"  - {difference.words}" for difference in found.differences)


def _games(count: int, only: str) -> str:
    asked = f" ({only})" if only else ""
    if not count:
        return f"no game in the base went on from here{asked}"
    return f"{count:,} game{'s' * (count > 1)}{asked}"

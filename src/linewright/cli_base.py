"""``linewright base …``: add games, and ask what is played."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Final

import chess
import typer
from rich.console import Console
from rich.progress import BarColumn, Task, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bar

from linewright.base.model import AddReport, BaseInfo, GameRow, Order, Progress, Replies, Reply
from linewright.base.position import parse_position
from linewright.base.store import Base, add
from linewright.cli_shared import STOPPED, BaseOption, JsonOption, usable
from linewright.home import base_path

app = typer.Typer(name="base", help="The games base: add games, ask what is played.", no_args_is_help=True)

#: Columns of the 0-100 % scale that an expected score is drawn on; odd, so that 50 % has a column.
SCALE_WIDTH: Final = 31

#: Games that ``base games`` lists unless told otherwise.
GAMES_LISTED: Final = 10

FenOption = Annotated[str | None, typer.Option("--fen", help="The position, or where the moves start from.")]
MovesArgument = Annotated[
    list[str] | None, typer.Argument(metavar="[MOVES]…", help="Moves to the position: e4 e5 Nf3, or e2e4 …")
]


@app.command("add")
def add_command(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILE…", help="PGN, plain or packed (.zst .gz .bz2 .zip), or folders."),
    ],
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add the games of PGN files; broken games and duplicates are left out.

    It can be stopped at any moment: the base keeps what was finished, and adding the same files again
    completes it.

    Example: linewright base add masters.pgn.zst club-games/
    """
    path = base_path(base)
    with usable():
        try:
            with _bar() as show:
                report = add(path, files, show)
        except KeyboardInterrupt:
            kept = f"{path} keeps the batches that were finished" if path.exists() else "nothing was finished yet"
            typer.echo(f"linewright: stopped; {kept}. Add the same files again to complete it.", err=True)
            raise typer.Exit(STOPPED) from None
    if as_json:
        _print_json(asdict(report) | {"base": path})
        return
    for line in report_lines(report):
        typer.echo(line, err=True)
    typer.echo(
        f"{path}: {report.added:,} games added in {report.seconds:.1f} s, "
        f"{report.duplicates:,} duplicates and {report.skipped_count:,} others left out."
    )


def report_lines(report: AddReport) -> list[str]:
    """The games left out, one a line, as ``file:line: reason``."""
    lines = [str(game) for game in report.skipped]
    rest = report.skipped_count - len(lines)
    return [*lines, f"… and {rest:,} more"] if rest else lines


@contextmanager
def _bar() -> Iterator[Callable[[Progress], None]]:
    """A progress bar on standard error, where that is a terminal."""
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        _Rate(),
        TimeRemainingColumn(),
    )
    console = Console(stderr=True)
    with Bar(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("reading", total=None, rate=0.0)

        def show(progress: Progress) -> None:
            bar.update(
                task,
                description=Path(progress.file).name,
                total=progress.total,
                completed=progress.done,
                rate=progress.games_per_second,
            )

        yield show


class _Rate(TextColumn):
    def __init__(self) -> None:
        super().__init__("")

    def render(self, task: Task) -> Any:
        self.text_format = f"{task.fields['rate']:,.0f} games/s"
        return super().render(task)


@app.command("upgrade")
def upgrade_command(base: BaseOption = None) -> None:
    """Bring a base made by an older Linewright up to date; no game is lost.

    Example: linewright base upgrade
    """
    from linewright.base.upgrading import upgrade  # compiled parts, not needed for asking

    path = base_path(base)
    with usable():
        done = upgrade(path)
    typer.echo(f"{path}: brought up to date." if done else f"{path}: up to date.")


@app.command("info")
def info_command(base: BaseOption = None, as_json: JsonOption = False) -> None:
    """What the base holds: games, positions, players, years, sources.

    Example: linewright base info
    """
    with usable(), Base.open(base_path(base)) as games_base:
        info = games_base.info()
    if as_json:
        _print_json(asdict(info))
        return
    for line in info_lines(info):
        typer.echo(line)


def info_lines(info: BaseInfo) -> list[str]:
    """The base in a few lines."""
    years = f"{info.first_year} to {info.last_year}" if info.first_year else "unknown"
    rows = [
        ("base", str(info.path)),
        ("games", f"{info.games:,}, of which {info.rated:,} with both ratings"),
        ("positions", f"{info.positions:,} different ones"),
        ("players", f"{info.players:,} names"),
        ("years", years),
        ("size", f"{info.size / 1e6:,.1f} MB"),
        *(("source", f"{name}: {games:,} games") for name, games in info.sources),
    ]
    return [f"{name:<10} {value}" for name, value in rows]


@app.command("replies")
def replies_command(
    moves: MovesArgument = None,
    fen: FenOption = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """What is played from a position, reached by any order of moves, and how it scores.

    The score is the expected score of the side to move, with its 95 % interval: a dot with a whisker on a
    scale from 0 to 100 %.

    Example: linewright base replies e4 c6 d4 d5
    """
    with usable():
        position = parse_position(fen, " ".join(moves or []))
        with Base.open(base_path(base)) as games_base:
            replies = games_base.replies(position)
    if as_json:
        _print_json(asdict(replies))
        return
    for line in reply_lines(replies):
        typer.echo(line)


def reply_lines(replies: Replies) -> list[str]:
    """The replies as a table in text."""
    side = "White" if replies.fen.split()[1] == "w" else "Black"
    lines = [replies.fen, f"{side} to move, {_games(replies.total)}"]
    if replies.ended:
        lines[1] += f" (and {replies.ended:,} that ended here)"
    if not replies.replies:
        return lines
    scale = f"{'0 %':<{SCALE_WIDTH // 2 - 1}}50 %{'100 %':>{SCALE_WIDTH - SCALE_WIDTH // 2 - 3}}"
    head = f"{'move':<8}{'games':>8}{'share':>8}   {scale}   {'score':>5}  {'95 %':<8} {'rating':>6}  last"
    return [*lines, "", head, *map(_reply_line, replies.replies)]


def _reply_line(reply: Reply) -> str:
    score = f"{100 * reply.score:.0f} %" if reply.scored else "–"
    interval = f"{100 * reply.low:.0f}–{100 * reply.high:.0f} %" if reply.scored else "no result"
    whisker = scale(reply.score, reply.low, reply.high) if reply.scored else scale(None, 0, 1)
    rating = str(reply.mean_rating) if reply.mean_rating is not None else "–"
    last = str(reply.last_year) if reply.last_year is not None else "–"
    return (
        f"{reply.san:<8}{reply.games:>8,}{100 * reply.share:>6.1f} %   {whisker}   {score:>5}  "
        f"{interval:<8} {rating:>6}  {last}"
    )


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


@app.command("games")
def games_command(
    moves: MovesArgument = None,
    fen: FenOption = None,
    order: Annotated[Order, typer.Option("--order", help="Which games come first.")] = "newest",
    limit: Annotated[int, typer.Option("--limit", min=1, help="How many games at most.")] = GAMES_LISTED,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Games through a position, the newest or the strongest first, with their next moves.

    Example: linewright base games --order strongest e4 c6 d4 d5 e5 c5
    """
    with usable():
        position = parse_position(fen, " ".join(moves or []))
        with Base.open(base_path(base)) as games_base:
            games = games_base.games(position, order, limit)
    if as_json:
        _print_json({"fen": position.fen(), "order": order, "games": [asdict(game) for game in games]})
        return
    for line in game_lines(position, games):
        typer.echo(line)


def game_lines(position: chess.Board, games: Sequence[GameRow]) -> list[str]:
    """The games, two lines each."""
    lines = [position.fen()]
    if not games:
        lines.append("no game of the base reached this position")
    for game in games:
        event = ", ".join(part for part in (game.event, game.site) if part)
        white, black = _player(game.white, game.white_rating), _player(game.black, game.black_rating)
        lines += [
            "",
            f"{game.date}  {white} – {black}  {game.result}  {event}".rstrip(),
            "            " + (_numbered(game.reached, game.following) or "it ended here"),
        ]
    return lines


def _player(name: str, rating: int | None) -> str:
    return (name or "?") + (f" ({rating})" if rating else "")


def _numbered(reached: int, sans: Sequence[str]) -> str:
    """Moves with their numbers, ``reached`` half-moves into the game."""
    parts = []
    for ply, san in enumerate(sans, start=reached):
        number = f"{ply // 2 + 1}." if ply % 2 == 0 else f"{ply // 2 + 1}..." if ply == reached else ""
        parts.append(number + san)
    return " ".join(parts)


def _games(count: int) -> str:
    return "no game of the base went on from here" if not count else f"{count:,} game{'s' * (count > 1)}"


def _print_json(value: dict[str, Any]) -> None:
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2, default=str)
    sys.stdout.write("\n")

"""``linewright base …``: add games, and ask what is played."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.progress import BarColumn, Task, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bar

from linewright.cli.base.queries import print_json, register
from linewright.cli.shared import STOPPED, BaseOption, ForceOption, JsonOption, usable
from linewright.cli.terminal.help import Command, Group
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import folded, remark
from linewright.games.api import AddReport, BaseInfo, GamesBase, Progress, add_games, left_over
from linewright.support.paths import base_path

app = typer.Typer(
    name="base",
    help="The games base: add games, ask what is played.\n\nExample: linewright base add masters.pgn.zst",
    cls=Group,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)


@app.command("add", cls=Command)
def add_command(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE…", help="PGN files, plain or compressed (.zst .gz .bz2 .zip), or folders of them."
        ),
    ],
    on: Annotated[
        str | None,
        typer.Option(
            "--on",
            metavar="ADDRESS",
            help="Build a base in parts on a Dask cluster (tcp://HOST:8786), or with processes on this machine: local.",
        ),
    ] = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add the games in PGN files. Broken games and duplicates are left out.

    You can stop at any moment with Ctrl-C: what is finished is kept, and adding the same files again does the rest.

    Example: linewright base add masters.pgn.zst club-games/
    """
    path = base_path(base)
    with usable():
        try:
            with _bar() as show:
                report = _add_on(on, path, files, show) if on else add_games(path, files, show)
        except KeyboardInterrupt:
            kept = "what is finished is kept" if left_over(path) else "nothing is finished yet"
            remark(f"stopped; {kept}. Add the same files again to do the rest.")
            raise typer.Exit(STOPPED) from None
    if as_json:
        print_json(asdict(report) | {"base": path})
        return
    for line in report_lines(report):
        typer.echo(line, err=True)
    typer.echo(
        f"{path}: {report.added:,} games added in {report.seconds:.1f} s, "
        f"{report.duplicates:,} duplicates and {report.skipped_count:,} others left out."
    )


def _add_on(address: str, path: Path, files: list[Path], show: Callable[[Progress], None]) -> AddReport:
    from linewright.games.api import add_on

    return add_on(address, path, files, show)


def report_lines(report: AddReport) -> list[str]:
    """The games left out, one per line, as ``file:line: reason``."""
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


@app.command("remove", cls=Command)
def remove_command(
    source: Annotated[
        str, typer.Argument(metavar="SOURCE", help="A source as `base info` names it, or the end of its name.")
    ],
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Remove a source's games from the base. Games that another source has too are kept.

    Example: linewright base remove club-games.pgn
    """
    from linewright.games.api import remove_source

    path = base_path(base)
    with usable(f"stopped; {path} is unchanged"), working() as work:
        work.begin("removing")
        report = remove_source(path, source)
    if as_json:
        print_json(asdict(report) | {"base": path})
        return
    one = report.kept == 1
    shared = f"{'is' if one else 'are'} kept, since another source has {'it' if one else 'them'} too"
    kept = f"; {report.kept:,} {shared}" if report.kept else ""
    typer.echo(f"{path}: {report.removed:,} games of {report.source} removed{kept}.")


@app.command("export", cls=Command)
def export_command(
    out: Annotated[Path, typer.Argument(metavar="FILE", help="The file to write: .pgn, or .pgn.zst to compress it.")],
    source: Annotated[str | None, typer.Option("--source", metavar="SOURCE", help="Only this source's games.")] = None,
    force: ForceOption = False,
    base: BaseOption = None,
) -> None:
    """Write the base's games as PGN: tags and moves of every game, in the standard's export format.

    Example: linewright base export all-games.pgn.zst
    """
    from linewright.games.api import export_games

    path = base_path(base)
    with usable(f"stopped; {out} was not written"), _bar() as show:
        start = time.monotonic()
        games = export_games(
            path,
            out,
            source=source,
            force=force,
            progress=lambda done, total: show(Progress(str(out), done, total, done, time.monotonic() - start)),
        )
    typer.echo(f"{out}: {games:,} games written.")


@app.command("upgrade", cls=Command)
def upgrade_command(base: BaseOption = None) -> None:
    """Bring a base made by an older version of Linewright up to date. No game is lost.

    Example: linewright base upgrade
    """
    from linewright.games.api import upgrade_base

    path = base_path(base)
    with usable(), working() as work:
        work.begin("upgrading")
        done = upgrade_base(path)
    typer.echo(f"{path}: brought up to date." if done else f"{path}: up to date.")


@app.command("info", cls=Command)
def info_command(base: BaseOption = None, as_json: JsonOption = False) -> None:
    """Show what the base contains: games, positions, players, years, sources.

    Example: linewright base info
    """
    with usable(), GamesBase.open(base_path(base)) as games_base:
        info = games_base.info()
    if as_json:
        print_json(asdict(info))
        return
    for line in folded(info_lines(info)):
        typer.echo(line)


def info_lines(info: BaseInfo) -> list[str]:
    """The base in a few lines."""
    years = f"{info.first_year} to {info.last_year}" if info.first_year else "unknown"
    rows = [
        ("base", str(info.path)),
        ("games", f"{info.games:,}, {info.rated:,} of them with both ratings"),
        ("positions", f"{info.positions:,} different ones"),
        ("players", f"{info.players:,}"),
        ("years", years),
        ("size", f"{info.size / 1e6:,.1f} MB"),
        *(("source", f"{name}: {games:,} games") for name, games in info.sources),
    ]
    return [f"{name:<10} {value}" for name, value in rows]


register(app)

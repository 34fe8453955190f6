"""``linewright base replies|games|find|quote``: what is played, and the games."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Final

import chess
import typer

from linewright.cli.base.filter_options import NO_FILTER, FilterOptions, with_filter_options
from linewright.cli.base.query_text import found_lines, game_lines, model_lines, quote_lines, reply_lines
from linewright.cli.shared import FOUND, BaseOption, JsonOption, usable
from linewright.cli.terminal.help import Command
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import beside_board, folded, is_terminal, remark, width
from linewright.games.api import (
    PATTERN_HELP,
    Colour,
    GameFilter,
    ModelGame,
    Order,
    QuoteAnswer,
    QuotedGame,
    Study,
    last_position,
    open_base,
    open_games,
    parse_description,
    parse_pattern,
    parse_position,
)
from linewright.support.errors import UnusableInput
from linewright.support.paths import base_path

#: Games that ``base games`` lists by default.
GAMES_LISTED: Final = 10
#: Seconds that a question about one position, and a search through all games, usually take (see ``shared``).
ASKING: Final = 1.0
SEARCHING: Final = 5.0

FenOption = Annotated[
    str | None, typer.Option("--fen", metavar="FEN", help="The position, or where the moves start from.")
]
PgnOption = Annotated[
    Path | None,
    typer.Option("--pgn", metavar="FILE", help="The last position of this file's first game, instead of --fen."),
]
MovesArgument = Annotated[
    list[str] | None, typer.Argument(metavar="[MOVES]…", help="Moves that lead to the position: e4 e5 Nf3, or e2e4 …")
]


def register(app: typer.Typer) -> None:
    """Add the commands to ``linewright base``."""
    app.command("replies", cls=Command)(with_filter_options(replies_command))
    app.command("games", cls=Command)(with_filter_options(games_command))
    app.command("find", cls=Command)(with_filter_options(find_command))
    app.command("quote", cls=Command)(quote_command)


def asked_position(fen: str | None, pgn: Path | None, moves: Sequence[str] | None) -> chess.Board:
    """The position that the options describe.

    :raises UnusableInput: for what can't be read or played, and for two positions at once.
    """
    if pgn is None:
        return parse_position(fen, " ".join(moves or []))
    if fen is not None:
        raise UnusableInput("--fen and --pgn each give a position", "Use one of them.")
    return parse_position(last_position(pgn).fen(), " ".join(moves or []))


def replies_command(
    moves: MovesArgument = None,
    fen: FenOption = None,
    pgn: PgnOption = None,
    more: Annotated[bool, typer.Option("--more", help="Add trend, plans, first game and move orders.")] = False,
    only: FilterOptions = NO_FILTER,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show what is played in a position, reached by any move order, and how it scores.

    The score is that of the side to move, with its 95 % interval: a dot with a whisker on a scale from 0 to 100 %.

    Example: linewright base replies e4 c6 d4 d5 --years 2010- --more
    """
    with usable():
        position = asked_position(fen, pgn, moves)
        asked = only.read()
        with open_games(base_path(base), base is not None) as games, working(("asking the games", ASKING)) as work:
            work.begin("asking the games")
            study = games.study(position, asked)
            if games.note:
                remark(games.note)
    if as_json:
        print_json(study_json(study))
        return
    for line in shown(reply_lines(study, more), study.fen):
        typer.echo(line)


def study_json(study: Study) -> dict[str, Any]:
    """A study as one JSON object; a reply's own figures stand beside its ``part``, ``expectation``, ``trend``, …"""
    answer = asdict(study)
    answer["replies"] = [reply.pop("reply") | reply for reply in answer["replies"]]
    return answer


def games_command(
    moves: MovesArgument = None,
    fen: FenOption = None,
    pgn: PgnOption = None,
    order: Annotated[
        Order, typer.Option("--order", metavar="ORDER", help="Which games come first: newest or strongest.")
    ] = "newest",
    model: Annotated[
        bool, typer.Option("--model", help="The games most worth showing, each with the reasons.")
    ] = False,
    side: Annotated[
        Colour | None,
        typer.Option("--side", metavar="SIDE", help="With --model: the side of the lesson, white or black."),
    ] = None,
    limit: Annotated[
        int, typer.Option("--limit", metavar="N", min=1, help="List at most so many games.")
    ] = GAMES_LISTED,
    only: FilterOptions = NO_FILTER,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """List games that reached a position, with their next moves.

    With --model those most worth showing: strong players, a decisive result, not too long, the typical pawn structure
    on the board for long, and the usual moves.

    Example: linewright base games --model --side white e4 c6 d4 d5 e5 c5
    """
    with usable():
        position = asked_position(fen, pgn, moves)
        asked = only.read()
        opened = open_base(base_path(base), base is not None)
        with opened as games_base, working(("asking the games", ASKING)) as work:
            work.begin("asking the games")
            if model:
                models = games_base.model_games(position, limit, asked, side)
            else:
                total, games = games_base.list_games(position, order, limit, asked)
    if model:
        show_model_games(position, asked, models, as_json)
        return
    if as_json:
        found = [asdict(game) for game in games]
        print_json({"fen": position.fen(), "order": order, "only": asked.in_words(), "total": total, "games": found})
        return
    for line in shown(game_lines(position, asked.in_words(), total, games), position.fen()):
        typer.echo(line)


def show_model_games(position: chess.Board, only: GameFilter, games: Sequence[ModelGame], as_json: bool) -> None:
    """Print model games."""
    if as_json:
        print_json({"fen": position.fen(), "only": only.in_words(), "games": [asdict(game) for game in games]})
        return
    for line in shown(model_lines(position, only.in_words(), games), position.fen()):
        typer.echo(line)


def find_command(
    question: Annotated[
        str, typer.Argument(metavar="QUESTION", help="What is on the board, in words; “help” lists what can be asked.")
    ],
    moves: MovesArgument = None,
    fen: FenOption = None,
    pgn: PgnOption = None,
    limit: Annotated[
        int, typer.Option("--limit", metavar="N", min=0, help="List at most so many games.")
    ] = GAMES_LISTED,
    only: FilterOptions = NO_FILTER,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find games by structure, material or pieces on squares.

    Conditions are separated by commas and must hold at the same time. With moves or --fen, only games through that
    position count, and only from there on.

    Example: linewright base find "white isolated d-pawn, queens off"
    """
    with usable():
        if question.strip().lower() == "help":
            typer.echo("\n".join(folded(PATTERN_HELP)))
            return
        pattern = parse_pattern(question)
        position = asked_position(fen, pgn, moves) if fen or pgn or moves else None
        asked = only.read()
        opened = open_base(base_path(base), base is not None)
        with opened as games_base, working(("searching the games", SEARCHING)) as work:
            work.begin("searching the games")
            found = games_base.find_pattern(pattern, limit, position, asked)
    if as_json:
        print_json(asdict(found) | {"only": asked.in_words(), "fen": position.fen() if position else None})
        return
    for line in folded(found_lines(found, asked.in_words(), width() if is_terminal() else None)):
        typer.echo(line)


def quote_command(
    words: Annotated[
        list[str],
        typer.Argument(metavar="WORDS…", help="Names, year, event, moves, how it ended: all that you remember."),
    ],
    fen: Annotated[
        str | None, typer.Option("--fen", metavar="FEN", help="The position that the moves start from.")
    ] = None,
    pgn: PgnOption = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find a half-remembered game, and show where your memory and the game differ.

    Moves may be wrong, missing or swapped, names misspelled. The exit code is 1 when no game in the base fits.

    Example: linewright base quote "Marlow against Tessen, 2016, 9.Nd4 Bd7"
    """
    with usable():
        position = asked_position(fen, pgn, None) if fen or pgn else None
        opened = open_base(base_path(base), base is not None)
        with opened as games_base, working(("searching the games", SEARCHING)) as work:
            work.begin("searching the games")
            quote = games_base.find_quoted(parse_description(" ".join(words), position))
    if as_json:
        print_json(quote_json(quote))
    else:
        for line in folded(quote_lines(quote)):
            typer.echo(line)
    if not quote.fits:
        raise typer.Exit(FOUND)


def quote_json(quote: QuoteAnswer) -> dict[str, Any]:
    """A quote's answer as one JSON object, by names that programs know."""
    return {
        "fits": quote.fits,
        "told_moves": quote.moves_given,
        "candidates": [_candidate_json(candidate) for candidate in quote.candidates],
    }


def _candidate_json(candidate: QuotedGame) -> dict[str, Any]:
    found = asdict(candidate)
    differences = [
        {"told" if name == "said" else name: value for name, value in one.items()} for one in found["differences"]
    ]
    return {
        "partings" if name == "differences" else name: value
        for name, value in (found | {"differences": differences}).items()
    }


def shown(lines: Sequence[str], fen: str) -> Iterator[str]:
    """Lines that begin with a FEN as a program takes them; for a reader, a small board stands for it."""
    if not is_terminal():
        yield from lines
        return
    yield from beside_board(fen, lines[1:2], width())
    yield fen
    yield from folded(lines[2:])


def print_json(value: dict[str, Any]) -> None:
    """One JSON object on standard output."""
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2, default=str)
    sys.stdout.write("\n")

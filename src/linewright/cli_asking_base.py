"""``linewright base replies|games|find|quote``: what is played, and the games."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Final

import chess
import typer

from linewright.base.archive import Archive
from linewright.base.filters import Colour, GameFilter, Outcome, Result, parse_band
from linewright.base.model import Order
from linewright.base.model_games import ModelGame
from linewright.base.pace import Pace
from linewright.base.patterns import HELP, parse_pattern
from linewright.base.pgn_position import last_position
from linewright.base.position import parse_position
from linewright.base.store import Base
from linewright.base.study_model import Study
from linewright.base.told import parse_told
from linewright.cli_base_text import found_lines, game_lines, model_lines, quote_lines, reply_lines
from linewright.cli_shared import FOUND, BaseOption, JsonOption, usable
from linewright.errors import UnusableInput
from linewright.home import base_path

#: Games that ``base games`` lists unless told otherwise.
GAMES_LISTED: Final = 10

FenOption = Annotated[str | None, typer.Option("--fen", help="The position, or where the moves start from.")]
PgnOption = Annotated[
    Path | None, typer.Option("--pgn", metavar="FILE", help="Its first game's last position, instead of --fen.")
]
MovesArgument = Annotated[
    list[str] | None, typer.Argument(metavar="[MOVES]…", help="Moves to the position: e4 e5 Nf3, or e2e4 …")
]
_FILTERS: Final = "Which games count"
RatingsOption = Annotated[
    str | None,
    typer.Option("--ratings", metavar="BAND", help="Both players': 2400-2600, 2400-.", rich_help_panel=_FILTERS),
]
YearsOption = Annotated[
    str | None,
    typer.Option("--years", metavar="BAND", help="1990-1999, 2010-, 1972.", rich_help_panel=_FILTERS),
]
ResultOption = Annotated[Result | None, typer.Option("--result", help="The game's result.", rich_help_panel=_FILTERS)]
PlayerOption = Annotated[
    str | None,
    typer.Option("--player", metavar="NAME", help='"Amber, Ada", "A Amber" or just "Amber".', rich_help_panel=_FILTERS),
]
ColourOption = Annotated[Colour | None, typer.Option("--colour", help="The player's.", rich_help_panel=_FILTERS)]
OutcomeOption = Annotated[Outcome | None, typer.Option("--outcome", help="For the player.", rich_help_panel=_FILTERS)]
EventOption = Annotated[
    str | None, typer.Option("--event", metavar="WORDS", help="Words of the event's name.", rich_help_panel=_FILTERS)
]
PaceOption = Annotated[
    Pace | None,
    typer.Option("--pace", help="By time control or event's name, where known.", rich_help_panel=_FILTERS),
]
LengthOption = Annotated[
    str | None, typer.Option("--length", metavar="BAND", help="In moves: -25, 20-40.", rich_help_panel=_FILTERS)
]


def register(app: typer.Typer) -> None:
    """Add the commands to ``linewright base``."""
    app.command("replies")(replies_command)
    app.command("games")(games_command)
    app.command("find")(find_command)
    app.command("quote")(quote_command)


def asked_position(fen: str | None, pgn: Path | None, moves: Sequence[str] | None) -> chess.Board:
    """The position that the options name.

    :raises UnusableInput: for what can't be read or played, and for two positions at once.
    """
    if pgn is None:
        return parse_position(fen, " ".join(moves or []))
    if fen is not None:
        raise UnusableInput("--fen and --pgn both name a position", "Give one of them.")
    return parse_position(last_position(pgn).fen(), " ".join(moves or []))


def _filter(
    ratings: str | None,
    years: str | None,
    result: Result | None,
    player: str | None,
    colour: Colour | None,
    outcome: Outcome | None,
    event: str | None,
    pace: Pace | None,
    length: str | None,
) -> GameFilter:
    return GameFilter(
        ratings=parse_band(ratings, "ratings") if ratings else None,
        years=parse_band(years, "years") if years else None,
        result=result,
        player=player,
        colour=colour,
        outcome=outcome,
        event=event,
        pace=pace,
        length=parse_band(length, "moves") if length else None,
    )


def replies_command(
    moves: MovesArgument = None,
    fen: FenOption = None,
    pgn: PgnOption = None,
    more: Annotated[
        bool, typer.Option("--more", help="With trend, plans, first game, and how games came here.")
    ] = False,
    ratings: RatingsOption = None,
    years: YearsOption = None,
    result: ResultOption = None,
    player: PlayerOption = None,
    colour: ColourOption = None,
    outcome: OutcomeOption = None,
    event: EventOption = None,
    pace: PaceOption = None,
    length: LengthOption = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """What is played from a position, reached by any order of moves, and how it scores.

    The score is the expected score of the side to move, with its 95 % interval: a dot with a whisker on a
    scale from 0 to 100 %.

    Example: linewright base replies e4 c6 d4 d5 --years 2010- --more
    """
    with usable():
        position = asked_position(fen, pgn, moves)
        only = _filter(ratings, years, result, player, colour, outcome, event, pace, length)
        with Base.open(base_path(base)) as games_base:
            study = Archive(games_base).study(position, only)
    if as_json:
        print_json(study_json(study))
        return
    for line in reply_lines(study, more):
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
    order: Annotated[Order, typer.Option("--order", help="Which games come first.")] = "newest",
    model: Annotated[
        bool, typer.Option("--model", help="The games worth showing first, each with the reasons.")
    ] = False,
    side: Annotated[Colour | None, typer.Option("--side", help="With --model: whom the lesson is for.")] = None,
    limit: Annotated[int, typer.Option("--limit", min=1, help="How many games at most.")] = GAMES_LISTED,
    ratings: RatingsOption = None,
    years: YearsOption = None,
    result: ResultOption = None,
    player: PlayerOption = None,
    colour: ColourOption = None,
    outcome: OutcomeOption = None,
    event: EventOption = None,
    pace: PaceOption = None,
    length: LengthOption = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Games through a position, the newest or the strongest first, with their next moves.

    With --model those worth showing: strong players, a decision, not too long, the typical pawn structure standing
    long, and the usual moves.

    Example: linewright base games --model --side white e4 c6 d4 d5 e5 c5
    """
    with usable():
        position = asked_position(fen, pgn, moves)
        only = _filter(ratings, years, result, player, colour, outcome, event, pace, length)
        with Base.open(base_path(base)) as games_base:
            archive = Archive(games_base)
            if model:
                show_model_games(position, only, archive.model_games(position, limit, only, side), as_json)
                return
            total, games = archive.games(position, order, limit, only)
    if as_json:
        found = [asdict(game) for game in games]
        print_json({"fen": position.fen(), "order": order, "only": only.told(), "total": total, "games": found})
        return
    for line in game_lines(position, only.told(), total, games):
        typer.echo(line)


def show_model_games(position: chess.Board, only: GameFilter, games: Sequence[ModelGame], as_json: bool) -> None:
    """Print model games."""
    if as_json:
        print_json({"fen": position.fen(), "only": only.told(), "games": [asdict(game) for game in games]})
        return
    for line in model_lines(position, only.told(), games):
        typer.echo(line)


def find_command(
    question: Annotated[str, typer.Argument(metavar="QUESTION", help="What stands on the board, in words.")],
    moves: MovesArgument = None,
    fen: FenOption = None,
    pgn: PgnOption = None,
    limit: Annotated[int, typer.Option("--limit", min=0, help="How many games at most.")] = GAMES_LISTED,
    ratings: RatingsOption = None,
    years: YearsOption = None,
    result: ResultOption = None,
    player: PlayerOption = None,
    colour: ColourOption = None,
    outcome: OutcomeOption = None,
    event: EventOption = None,
    pace: PaceOption = None,
    length: LengthOption = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Games that show a structure, material or pieces on squares; with moves or --fen only from that position on.

    Conditions are parted by commas and must hold together. "help" as the question lists what can be asked.

    Example: linewright base find "white isolated d-pawn, queens off, within the first 25 moves"
    """
    with usable():
        if question.strip().lower() == "help":
            typer.echo("\n".join(HELP))
            return
        pattern = parse_pattern(question)
        position = asked_position(fen, pgn, moves) if fen or pgn or moves else None
        only = _filter(ratings, years, result, player, colour, outcome, event, pace, length)
        with Base.open(base_path(base)) as games_base:
            found = Archive(games_base).find(pattern, limit, position, only)
    if as_json:
        print_json(asdict(found) | {"only": only.told(), "fen": position.fen() if position else None})
        return
    for line in found_lines(found, only.told()):
        typer.echo(line)


def quote_command(
    words: Annotated[
        list[str], typer.Argument(metavar="WORDS…", help="Names, year, event, moves, how it ended, as remembered.")
    ],
    fen: Annotated[str | None, typer.Option("--fen", help="The position that the moves follow.")] = None,
    pgn: PgnOption = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """The game that a half-remembered telling means, and where the telling and the game part.

    Moves may be wrong, missing or swapped, names misspelled. Exit code 1: no game of the base fits.

    Example: linewright base quote "Marlow against Tessen, 2016, 9.Nd4 Bd7 10.f3 Qc7, and Black resigned"
    """
    with usable():
        position = asked_position(fen, pgn, None) if fen or pgn else None
        with Base.open(base_path(base)) as games_base:
            quote = Archive(games_base).quote(parse_told(" ".join(words), position))
    if as_json:
        print_json(asdict(quote))
    else:
        for line in quote_lines(quote):
            typer.echo(line)
    if not quote.fits:
        raise typer.Exit(FOUND)


def print_json(value: dict[str, Any]) -> None:
    """One JSON object on standard output."""
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2, default=str)
    sys.stdout.write("\n")

"""The options by which commands count only some games: declared once, for every command that takes them."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import wraps
from typing import Annotated, Any, Final, get_type_hints

import typer

from linewright.games.api import Colour, GameFilter, Outcome, Pace, Result, parse_band


def _option(name: str, metavar: str, text: str) -> Any:
    return typer.Option(f"--{name}", metavar=metavar, help=text, rich_help_panel="Count only some games")


@dataclass(frozen=True, slots=True)
class FilterOptions:
    """The conditions as the user gave them, each an option of its own; :class:`GameFilter` says what they mean."""

    ratings: Annotated[str | None, _option("ratings", "BAND", "Ratings of both players: 2400-2600, 2400-.")] = None
    years: Annotated[str | None, _option("years", "BAND", "Years: 1990-1999, 2010-, 1972.")] = None
    result: Annotated[Result | None, _option("result", "RESULT", "1-0, 1/2-1/2 or 0-1.")] = None
    player: Annotated[str | None, _option("player", "NAME", 'A player: "Amber, Ada", "A Amber" or just "Amber".')] = (
        None
    )
    colour: Annotated[Colour | None, _option("colour", "COLOUR", "The player's colour: white or black.")] = None
    outcome: Annotated[Outcome | None, _option("outcome", "OUTCOME", "The player's outcome: won, drawn or lost.")] = (
        None
    )
    event: Annotated[str | None, _option("event", "WORDS", "Words in the event's name.")] = None
    pace: Annotated[Pace | None, _option("pace", "PACE", "classical, rapid or blitz, where known.")] = None
    length: Annotated[str | None, _option("length", "BAND", "Length in moves: -25, 20-40.")] = None

    def read(self) -> GameFilter:
        """The filter that they mean.

        :raises UnusableInput: for what is no band, and for a colour or an outcome without a player.
        """
        return GameFilter(
            ratings=parse_band(self.ratings, "ratings") if self.ratings else None,
            years=parse_band(self.years, "years") if self.years else None,
            result=self.result,
            player=self.player,
            colour=self.colour,
            outcome=self.outcome,
            event=self.event,
            pace=self.pace,
            length=parse_band(self.length, "moves") if self.length else None,
        )


#: None given.
NO_FILTER: Final = FilterOptions()
_NAMES: Final = tuple(field.name for field in fields(FilterOptions))


def with_filter_options(command: Callable[..., None]) -> Callable[..., None]:
    """A command for typer, whose one parameter ``only`` of type :class:`FilterOptions` becomes the options."""
    hints = get_type_hints(command, include_extras=True)
    options = get_type_hints(FilterOptions, include_extras=True)
    spread: dict[str, Any] = {}
    for name, parameter in inspect.signature(command).parameters.items():
        if name == "only":
            spread |= {
                option: inspect.Parameter(option, parameter.KEYWORD_ONLY, default=None, annotation=kind)
                for option, kind in options.items()
            }
        else:
            spread[name] = parameter.replace(kind=parameter.KEYWORD_ONLY, annotation=hints[name])

    @wraps(command)
    def run(**given: Any) -> None:
        only = FilterOptions(**{name: given.pop(name) for name in _NAMES})
        command(**given, only=only)

    run.__annotations__ = {name: parameter.annotation for name, parameter in spread.items()}
    run.__signature__ = inspect.Signature(list(spread.values()))  # type: ignore[attr-defined]  # what typer reads
    return run

"""Commands that are imported when they are asked for: ``check`` need not wait for the desk's server to load."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from typing import Any, Final, NamedTuple

import typer

from linewright.cli.terminal.help import Command, Group


class CommandEntry(NamedTuple):
    """Where a command stands, and how it is listed.

    :param module: its module in this package.
    :param name: there its function, or its app for a command with commands of its own.
    :param heading: what it is listed under.
    :param line: what it does, without the subject; known here so that listing commands loads none of them.
    """

    module: str
    name: str
    heading: str
    line: str


_LESSON, _PLANNING, _PUPILS, _GAMES = "From talk to lesson", "What to teach", "Pupils", "Games"

#: The commands, in the order of a lesson's way.
COMMANDS: Final[dict[str, CommandEntry]] = {
    "hear": CommandEntry("hear", "hear_command", _LESSON, "turn a recording into captions and timed words"),
    "read": CommandEntry("read", "read_command", _LESSON, "read the moves in a talk"),
    "check": CommandEntry("check", "check_command", _LESSON, "check what a talk says against board, games and engine"),
    "build": CommandEntry("build", "build_command", _LESSON, "make the lesson: page, hand-out, PGN, captions, film"),
    "desk": CommandEntry("desk", "desk_command", _LESSON, "write, check, rehearse and build talks in the browser"),
    "plan": CommandEntry("plan", "plan_command", _PLANNING, "find what deserves the minutes; see what talks cover"),
    "news": CommandEntry("news", "news_command", _PLANNING, "see what has changed since a talk was last checked"),
    "drills": CommandEntry("drills", "drills_command", _PUPILS, "make exercises from a talk: page, sheet, cards"),
    "class": CommandEntry("classes", "app", _PUPILS, "invite pupils, see what they practised and what they miss"),
    "pupils": CommandEntry("pupils", "app", _PUPILS, "compare pupils' games with the lesson"),
    "base": CommandEntry("base.commands", "app", _GAMES, "add games to the base, ask what is played"),
    "demo": CommandEntry("demo", "demo_command", "To try it", "read, check and build an invented lesson"),
}

FIRST_STEPS: Final = (
    ("linewright demo", "see it all on an invented lesson (a minute)"),
    ("linewright check talk.md", "see what is right and wrong in a talk of yours"),
    ("linewright desk", "write and check talks in the browser"),
)


class LazyCommands(Group):
    """The program's commands."""

    def list_commands(self, ctx: Any) -> list[str]:
        return [*COMMANDS, *super().list_commands(ctx)]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in COMMANDS:
            return super().get_command(ctx, cmd_name)
        entry = COMMANDS[cmd_name]
        found = getattr(import_module(f"linewright.cli.{entry.module}"), entry.name)
        if isinstance(found, typer.Typer):
            group = typer.main.get_group(found)
            group.name = cmd_name
            return group
        alone = typer.Typer(add_completion=False, rich_markup_mode=None)
        alone.command(cmd_name, cls=Command)(found)
        return typer.main.get_command(alone)

    def listed(self, ctx: Any) -> Iterator[tuple[str, list[tuple[str, str]]]]:
        yield "First steps", [*FIRST_STEPS]
        headings = dict.fromkeys(entry.heading for entry in COMMANDS.values())
        for heading in headings:
            yield heading, [(name, one.line) for name, one in COMMANDS.items() if one.heading == heading]

    def alone(self, ctx: Any) -> str:
        from linewright.cli.terminal.next_steps import next_steps

        return "\n".join(next_steps())

"""Commands that are imported when they are asked for: ``check`` need not wait for the desk's server to load."""

from __future__ import annotations

from importlib import import_module
from typing import Any, Final

import typer
from typer.core import TyperGroup

#: Where each command stands: its module, and there its function, or its app for a command with commands of its own.
COMMANDS: Final[dict[str, tuple[str, str]]] = {
    "hear": ("cli_hear", "hear_command"),
    "read": ("cli_read", "read_command"),
    "check": ("cli_check", "check_command"),
    "build": ("cli_build", "build_command"),
    "plan": ("cli_plan", "plan_command"),
    "news": ("cli_news", "news_command"),
    "pupils": ("cli_pupils", "app"),
    "desk": ("cli_desk", "desk_command"),
    "drills": ("cli_practice", "drills_command"),
    "class": ("cli_class", "app"),
    "base": ("cli_base", "app"),
    "demo": ("cli_demo", "demo_command"),
}


class LazyCommands(TyperGroup):
    """The program's commands, in the order of a lesson's way."""

    def list_commands(self, ctx: Any) -> list[str]:
        return [*COMMANDS, *super().list_commands(ctx)]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in COMMANDS:
            return super().get_command(ctx, cmd_name)
        module, name = COMMANDS[cmd_name]
        found = getattr(import_module(f"linewright.{module}"), name)
        if isinstance(found, typer.Typer):
            group = typer.main.get_group(found)
            group.name = cmd_name
            return group
        alone = typer.Typer(add_completion=False)
        alone.command(cmd_name)(found)
        return typer.main.get_command(alone)

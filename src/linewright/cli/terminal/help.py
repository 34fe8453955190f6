"""How help and refusals look: plain text of at most 80 columns, the example before the options, no boxes."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from enum import Enum
from typing import Any, Final

import typer
from typer.core import TyperCommand, TyperGroup

#: What Typer raises for words that it can't take. Which library it comes from differs between Typer's versions; that
#: it is the parent of ``BadParameter`` doesn't.
UsageError: Final[type[Any]] = typer.BadParameter.__mro__[1]

_EXAMPLE: Final = re.compile(r"^Examples?:\s*")
#: Columns of a command in a list, and of an option with what it takes; longer ones have a line of their own.
_NAMES: Final = 26
_OPTIONS: Final = 24


def paragraphs_of(help_text: str) -> tuple[list[str], list[str]]:
    """A docstring's paragraphs, and the lines of its example."""
    paragraphs = re.split(r"\n\s*\n", inspect.cleandoc(help_text))
    examples = [p for p in paragraphs if _EXAMPLE.match(p)]
    lines = [line.strip() for p in examples for line in _EXAMPLE.sub("", p).splitlines()]
    return [" ".join(p.split()) for p in paragraphs if p not in examples], lines


def first_sentence(help_text: str) -> str:
    """A docstring's first sentence without its full stop and capital, for a list of commands."""
    paragraphs, _ = paragraphs_of(help_text)
    first = paragraphs[0].split(". ")[0].removesuffix(".") if paragraphs else ""
    return first[:1].lower() + first[1:]


class Command(TyperCommand):
    """A command whose help is what it does, an example, and its options."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        _write_usage(self, ctx, formatter)
        _write_about(self, formatter)
        _write_parameters(self, ctx, formatter)

    def main(self, *args: Any, **extra: Any) -> Any:
        return _main(super().main, args, extra)


class Group(TyperGroup):
    """A command with commands of its own. Alone it shows its help; an unknown command is answered with likely ones."""

    def main(self, *args: Any, **extra: Any) -> Any:
        return _main(super().main, args, extra)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        if not args and self.no_args_is_help and not ctx.resilient_parsing:
            typer.echo(self.alone(ctx))
            ctx.exit(0)
        return super().parse_args(ctx, args)

    def alone(self, ctx: Any) -> str:
        """What is printed where no command is named."""
        return str(ctx.get_help())

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name = args[0]
        if not name.startswith("-") and self.get_command(ctx, name) is None:
            near = get_close_matches(name, self.list_commands(ctx), n=2)
            meant = f" Did you mean {' or '.join(near)}?" if near else ""
            ctx.fail(f"there is no command “{name}”.{meant}")
        return super().resolve_command(ctx, args)

    def format_help(self, ctx: Any, formatter: Any) -> None:
        _write_usage(self, ctx, formatter)
        _write_about(self, formatter)
        for heading, rows in self.listed(ctx):
            with formatter.section(heading):
                formatter.write_dl(rows, col_max=_NAMES)
        _write_parameters(self, ctx, formatter)
        formatter.write_paragraph()
        formatter.write_text(f"More on a command, with an example: {ctx.command_path} COMMAND --help")

    def listed(self, ctx: Any) -> Iterator[tuple[str, list[tuple[str, str]]]]:
        """Headings, and under each the commands with a line on each."""
        found = ((name, self.get_command(ctx, name)) for name in self.list_commands(ctx))
        yield "Commands", [(name, first_sentence(command.help or "")) for name, command in found if command is not None]


def _main(run: Any, args: Sequence[Any], extra: dict[str, Any]) -> Any:
    """Run a command; words that can't be taken are answered in one line and an example, exit code 2."""
    if not extra.get("standalone_mode", True):
        return run(*args, **extra)
    try:
        code = run(*args, **extra | {"standalone_mode": False})
    except UsageError as error:
        typer.echo("\n".join(refusal(error)), err=True)
        sys.exit(2)
    except typer.Abort:
        typer.echo("linewright: stopped", err=True)
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)


def refusal(error: Any) -> Iterator[str]:
    """Why words can't be taken, and how they should be."""
    ctx = error.ctx
    path = ctx.command_path if ctx is not None else "linewright"
    message = error.format_message()
    yield f"{path}: {message[:1].lower()}{message[1:]}"
    lines = paragraphs_of(ctx.command.help or "")[1] if ctx is not None else []
    yield f"Example: {lines[0]}" if lines else f"See: {path} --help"


def _write_usage(command: Any, ctx: Any, formatter: Any) -> None:
    arguments = [_argument(one) for one in command.get_params(ctx) if one.param_type_name == "argument"]
    tail = ["COMMAND …"] if isinstance(command, Group) else ["[OPTIONS]", *arguments]
    formatter.write_usage(ctx.command_path, " ".join(tail))


def _argument(one: Any) -> str:
    name = one.metavar or one.name.upper()
    return name if one.required or name.startswith("[") else f"[{name}]"


def _write_about(command: Any, formatter: Any) -> None:
    paragraphs, lines = paragraphs_of(command.help or "")
    for paragraph in paragraphs:
        formatter.write_paragraph()
        formatter.write_text(paragraph)
    if lines:
        formatter.write_paragraph()
        # As they are typed, never broken again.
        formatter.write("Example:\n" + "".join(f"  {line}\n" for line in lines))


def _write_parameters(command: Any, ctx: Any, formatter: Any) -> None:
    sections: dict[str, list[tuple[str, str]]] = {}
    for one in command.get_params(ctx):
        if getattr(one, "hidden", False):
            continue
        argument = one.param_type_name == "argument"
        if argument and not one.help:
            continue
        heading = getattr(one, "rich_help_panel", None) or ("Arguments" if argument else "Options")
        name = (one.metavar or one.name.upper()) if argument else _option(one)
        sections.setdefault(heading, []).append((name, f"{one.help or ''}{_aside(one)}"))
    for heading in sorted(sections, key=lambda heading: heading != "Arguments"):
        with formatter.section(heading):
            formatter.write_dl(sections[heading], col_max=_OPTIONS)


def _option(one: Any) -> str:
    """``-o, --out DIR``; a switch takes nothing."""
    names = ", ".join(sorted(one.opts, key=len))
    return names if one.is_flag else f"{names} {one.metavar or one.name.upper()}"


def _aside(one: Any) -> str:
    """Where a value comes from when none is given."""
    if one.param_type_name == "option" and one.required:
        return " (required)"
    known = one.default
    if isinstance(known, Enum):
        known = known.value
    if known in (None, "", False, ()) or callable(known) or not one.show_default or getattr(one, "is_flag", False):
        known = None
    parts = [f"or set {one.envvar}"] * bool(one.envvar) + [f"default: {known}"] * (known is not None)
    return f" ({'; '.join(parts)})" if parts else ""

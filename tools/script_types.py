"""Write the types that pages' scripts share with Python: TypeScript declarations of the dataclasses that are sent.

``python tools/script_types.py`` writes the files again; ``tests/web/test_scripts.py`` says when one is out of date.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, Field, fields, is_dataclass
from enum import StrEnum
from importlib import import_module
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from linewright.support.page_messages import FromPage, Message

WEB = Path(__file__).resolve().parents[1] / "src" / "linewright" / "web"

#: Each file in ``web/``: the module whose dataclasses and unions it declares, and their names.
FILES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "practice/drill.d.ts": ("linewright.practice.drills.drill", ("Drill",)),
    "desk/from_manuscript.d.ts": ("linewright.desk.messages.from_manuscript", ("FromManuscript",)),
    "desk/to_manuscript.d.ts": ("linewright.desk.messages.to_manuscript", ("ToManuscript",)),
    "desk/room_messages.d.ts": ("linewright.desk.messages.room", ("FromRoom", "ToRoom")),
    "desk/dictation_messages.d.ts": ("linewright.desk.messages.dictation", ("EndDictation", "ToDictation")),
}

_PLAIN = {str: "string", int: "number", float: "number", bool: "boolean", type(None): "null", Any: "any"}


def main() -> None:
    for name in FILES:
        (WEB / name).write_text(declarations(name), encoding="utf-8")


def declarations(name: str) -> str:
    """The text of one of :data:`FILES`."""
    module, names = FILES[name]
    found = import_module(module)
    known: dict[str, str] = {}
    for each in names:
        wanted = getattr(found, each)
        if not is_dataclass(wanted):
            known[each] = f"export type {each} = {script_type(wanted, known)};\n"
        else:
            script_type(wanted, known)
    head = f"// Made by tools/script_types.py from {module}: change that, then run it.\n"
    return "\n".join([head, *known.values()])


def script_type(wanted: Any, known: dict[str, str]) -> str:
    """A type as TypeScript writes it; the interfaces of dataclasses on the way are added to those known, by name.

    :raises TypeError: for a type that JSON has nothing for.
    """
    origin, inner = get_origin(wanted), get_args(wanted)
    if wanted in _PLAIN:
        return _PLAIN[wanted]
    if origin is Literal:
        return " | ".join(f'"{value}"' for value in inner)
    if origin in (Union, types.UnionType):
        return " | ".join(script_type(each, known) for each in inner)
    if origin in (tuple, list, Sequence) and (len(inner) == 1 or inner[1:] == (...,)):
        element = script_type(inner[0], known)
        return f"({element})[]" if "|" in element else f"{element}[]"
    if origin is tuple:
        return f"[{', '.join(script_type(each, known) for each in inner)}]"
    if origin in (dict, Mapping):
        return f"Record<{', '.join(script_type(each, known) for each in inner)}>"
    if isinstance(wanted, type) and issubclass(wanted, StrEnum):
        return " | ".join(f'"{value}"' for value in wanted)
    if isinstance(wanted, type) and is_dataclass(wanted):
        _declare(wanted, known)
        return wanted.__name__
    raise TypeError(f"{wanted} can't be sent as JSON")


def _declare(wanted: type, known: dict[str, str]) -> None:
    if wanted.__name__ in known:
        return
    known[wanted.__name__] = ""  # its place, before those that it names
    hints = get_type_hints(wanted)
    tag = f'  {wanted.tag_name}: "{wanted.tag}";\n' if issubclass(wanted, Message) and wanted.tag else ""
    rows = [tag, *(f"  {_name(wanted, field)}: {script_type(hints[field.name], known)};\n" for field in fields(wanted))]
    known[wanted.__name__] = f"export interface {wanted.__name__} {{\n{''.join(rows)}}}\n"


def _name(wanted: type, field: Field[Any]) -> str:
    """A field's name; one with a default may be left out of what a page sends (``do``)."""
    sent = issubclass(wanted, FromPage) and field.default is not MISSING
    return f"{field.name}?" if sent else field.name


if __name__ == "__main__":
    main()

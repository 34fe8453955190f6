"""Messages between Python and pages' scripts: frozen dataclasses to JSON and back.

What a page sends is checked against its dataclass; what doesn't fit is named in one sentence.
"""

from __future__ import annotations

import json
import types
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import cache
from typing import Any, ClassVar, Literal, Union, cast, dataclass_transform, get_args, get_origin, get_type_hints

from linewright.support.errors import UnusableInput

#: What to do about a message that can't be understood: the page is older than the desk, or not the desk's.
RELOAD = "Load the page again."
#: Characters of a value that are quoted.
_QUOTED = 40
_NAMES = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}


@dataclass_transform(frozen_default=True)
class Message:
    """What is sent, or a part of it. Every class of it is a frozen dataclass.

    A message's class is named to the other side by its tag: ``class Saved(FromDesk, tag="saved")``. One without a tag
    is a part of others, or has a field of the tag's name that says which of several it is.
    """

    tag_name: ClassVar[str] = ""
    tag: ClassVar[str] = ""

    def __init_subclass__(cls, tag: str = "") -> None:
        super().__init_subclass__()
        cls.tag = tag
        dataclass(frozen=True)(cls)


class FromPage(Message):
    """What a page's script sends: what is to be done (``do``)."""

    tag_name = "do"


class ToPage(Message):
    """What a page's script is sent: what it is (``what``)."""

    tag_name = "what"


def to_json(message: Any) -> str:
    """A message, or any value made of dataclasses, tuples and plain values."""
    return json.dumps(message, default=_fields, separators=(",", ":"))


def from_json(text: str | bytes, kind: Any) -> Any:
    """The message that a page sent.

    :param kind: a class of messages, or a union of them, which their tags tell apart.
    :raises UnusableInput: when it is none of them.
    """
    try:
        value = json.loads(text)
    except (ValueError, RecursionError):
        raise UnusableInput("a message was not understood: it is not JSON", RELOAD) from None
    return of_plain(value, kind)


def tags_of(kind: type[Message]) -> tuple[str, ...]:
    """The tags that a class of messages may have."""
    if kind.tag:
        return (kind.tag,)
    hints = _hints(cast(Any, kind))
    return get_args(hints[kind.tag_name]) if kind.tag_name in hints else ()


def of_plain(value: Any, kind: Any) -> Any:
    """As :func:`from_json`, from JSON values. Keys that a dataclass doesn't have are left out.

    :raises UnusableInput: when the value doesn't fit.
    """
    try:
        return _made(value, kind, "")
    except _Misfit as misfit:
        tag = value.get("do") if isinstance(value, dict) else None
        named = f" {tag!r:.{_QUOTED}}" if isinstance(tag, str) else ""
        raise UnusableInput(f"a message{named} was not understood: {misfit}", RELOAD) from None


class _Misfit(Exception):
    """What is wrong with a value."""


def _fields(value: Any) -> Any:
    if not is_dataclass(value) or isinstance(value, type):
        raise TypeError(f"{value!r} can't be sent as JSON")
    names, tagged = _outline(type(value))
    return tagged | {name: getattr(value, name) for name in names}


@cache
def _outline(kind: type) -> tuple[tuple[str, ...], dict[str, str]]:
    """The names of a dataclass's fields, and its tag by the tag's name."""
    names = tuple(field.name for field in fields(kind))
    return names, {kind.tag_name: kind.tag} if issubclass(kind, Message) and kind.tag else {}


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _made(value: Any, kind: Any, place: str) -> Any:
    """The value as a type has it: lists as tuples, objects as dataclasses."""
    origin, inner = get_origin(kind), get_args(kind)
    if kind is Any:
        return value
    if origin in (Union, types.UnionType):
        return _one_of(value, inner, place)
    if origin is Literal:
        return _checked(value, isinstance(value, str) and value in inner, " or ".join(map(repr, inner)), place)
    if origin is tuple and inner[1:] == (...,):
        _checked(value, isinstance(value, list), "a list", place)
        return tuple(_made(each, inner[0], f"{place}[{index}]") for index, each in enumerate(value))
    if isinstance(kind, type) and is_dataclass(kind):
        return _object(value, kind, place)
    fits = isinstance(value, int | float if kind is float else kind) and (kind is bool or not isinstance(value, bool))
    return _checked(value, fits, _NAMES.get(kind, "nothing"), place)


def _one_of(value: Any, kinds: tuple[Any, ...], place: str) -> Any:
    """Of a union: the dataclass that the value's tag names, else the first type that fits."""
    if value is None and type(None) in kinds:
        return None
    if isinstance(value, dict):
        for kind in kinds:
            if isinstance(kind, type) and issubclass(kind, Message) and value.get(kind.tag_name) in tags_of(kind):
                return _object(value, kind, place)
    for kind in kinds:
        if not is_dataclass(kind):
            try:
                return _made(value, kind, place)
            except _Misfit:
                continue
    raise _Misfit(f"{place or 'it'} is {_quoted(value)}, which has no meaning here")


def _object(value: Any, kind: type, place: str) -> Any:
    _checked(value, isinstance(value, dict), "an object", place)
    if issubclass(kind, Message) and kind.tag:
        _made(value.get(kind.tag_name), Literal[kind.tag], kind.tag_name)
    found: dict[str, Any] = {}
    for field in fields(kind):
        where = f"{place}.{field.name}".lstrip(".")
        if field.name in value:
            found[field.name] = _made(value[field.name], _hints(kind)[field.name], where)
        elif field.default is MISSING:
            raise _Misfit(f"{where} is missing")
    return kind(**found)


def _checked(value: Any, fits: bool, wanted: str, place: str) -> Any:
    if not fits:
        raise _Misfit(f"{place or 'it'} should be {wanted}, not {_quoted(value)}")
    return value


def _quoted(value: Any) -> str:
    try:
        text = json.dumps(value)
    except (ValueError, RecursionError):
        return "this"
    return text if len(text) <= _QUOTED else f"{text[:_QUOTED]}…"

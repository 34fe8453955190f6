"""Wordings as templates that a chess player can read, compiled into patterns once.

A template is words with single spaces between them, and a few signs::

    {man} {be}? {not}? (state=hangs: hanging | en prise | up for grabs) !(pawns | in the air)

| sign | means |
|---|---|
| ``a \\| b c`` | either; ``( … )`` keeps them together |
| ``x?`` ``x*`` ``x+`` ``x~3`` | may be left out; any number of times; at least once; up to three times |
| ``x*?`` ``x~3?`` | any number of times, up to three times: as few as will do |
| ``pawn[s]`` | letters not needed |
| ``{name}`` | a list of words, a part or a raw pattern of this file or of ``common.toml`` |
| ``{other=name}`` | the same, the names of what it catches beginning with ``other_`` |
| ``(who: white \\| black)`` | caught under a name, as its words … |
| ``(state=hangs: hangs \\| en prise)`` | … or as the value named |
| ``!(x \\| y)`` ``&(x \\| y)`` | not followed, only if (``$``: the end, ``,``: a pause; ``{name}``: any of a part's) |
| ``<!(x \\| y)`` ``<&(x \\| y)`` | not after, only after |
| ``^`` ``$`` | the sentence's beginning, its end |

What may be left out takes the space beside it along.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

#: What ends a pattern: a word's end; a word's end that no apostrophe follows; nothing.
ENDS: Final = {"letter": r"\b", "word": r"(?![\w'])", "any": ""}
#: Stands for the space after a comma or stop where a text is read with its pauses.
PAUSE: Final = "\n"

_TOKEN = re.compile(
    r"(?P<open><?[!&]?\()|(?P<close>\))|(?P<bar>\|)|(?P<space>\s+)|(?P<quant>\*\?|[?*+]|~\d\??)|(?P<edge>[\^$,])"
    r"|\{(?:(?P<prefix>\w+)=)?(?P<ref>\w+)\}|(?P<letters>\[[\w']+\])|(?P<label>[a-z]\w*(?:=[\w ]+)?:)"
    r"|(?P<text>[^\s{}()|\[\]?*+~^$,:<>&!=]+)"
)
#: Times that stand for any number.
MANY: Final = 99
_AROUND: Final = {"!(": "(?!", "&(": "(?=", "<!(": "(?<!", "<&(": "(?<="}


class TemplateFault(ValueError):
    """A template that can't be compiled; its words say which one and why."""


@dataclass(frozen=True, slots=True)
class Lexicon:
    """What templates may refer to.

    :param parts: templates by name.
    :param raw: patterns by name, as they are; without groups that count.
    """

    parts: Mapping[str, str] = field(default_factory=dict)
    raw: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A compiled template.

    :param regex: finds it in words in lower case with single spaces.
    :param caught: by the name of each group of ``regex`` the name under which it catches, and its value ("": the
        words themselves).
    """

    regex: re.Pattern[str]
    caught: Mapping[str, tuple[str, str]]

    def value(self, match: re.Match[str], name: str) -> str:
        """What was caught under a name; ``""`` for nothing."""
        group = self.group(match, name)
        return (self.caught[group][1] or match[group]) if group else ""

    def group(self, match: re.Match[str], name: str) -> str:
        """The group that caught something under a name; ``""`` for none."""
        return next((g for g, (own, _) in self.caught.items() if own == name and match[g] is not None), "")

    def values(self, match: re.Match[str]) -> dict[str, str]:
        """All that was caught, by name; the first group of a name counts."""
        out: dict[str, str] = {}
        for group, (name, value) in self.caught.items():
            if match[group] is not None:
                out.setdefault(name, value or match[group])
        return out


def compile_template(
    template: str, lexicon: Lexicon, end: str = "letter", begin: str = "word", any_case: bool = False
) -> Pattern:
    """Compile a template.

    :param end: how the match ends, a key of :data:`ENDS`.
    :param begin: ``word``: where a word begins; ``any``: anywhere.
    :param any_case: capitals and small letters are alike.
    :raises TemplateFault: when it can't be compiled.
    """
    writer = _Writer(lexicon)
    body = writer.alternatives(_Reader(template), "")
    start = "" if template.startswith("^") or begin == "any" else r"\b"
    try:
        regex = re.compile(f"{start}{body}{ENDS[end]}", re.IGNORECASE if any_case else 0)
    except re.error as error:
        raise TemplateFault(f"the template “{template}”: {error}") from error
    return Pattern(regex, writer.caught)


class _Reader:
    """The tokens of a template, one after another."""

    def __init__(self, template: str) -> None:
        self.template = template
        self._found = list(self._tokens(template.strip()))
        self._at = 0

    def _tokens(self, text: str) -> Iterator[re.Match[str]]:
        at = 0
        while at < len(text):
            match = _TOKEN.match(text, at)
            if match is None:
                raise self.fault(f"“{text[at:]}” is no sign and no word")
            yield match
            at = match.end()

    def peek(self) -> tuple[str, str]:
        """Kind and text of the next token; two empty ones at the end."""
        if self._at >= len(self._found):
            return "", ""
        match = self._found[self._at]
        kind = "ref" if match["ref"] else match.lastgroup or ""
        return kind, match[0]

    def take(self) -> re.Match[str]:
        self._at += 1
        return self._found[self._at - 1]

    def skip_space(self) -> bool:
        """Whether there was space, now passed."""
        found = self.peek()[0] == "space"
        self._at += found
        return found

    def take_lone_part(self, parts: Mapping[str, str]) -> str:
        """Pass over a part that is an alternative by itself; its template, or ``""`` where something else stands."""
        self.skip_space()
        start = self._at
        part = ""
        if self.peek()[0] == "ref":
            part = parts.get(self.take()["ref"], "")
            self.skip_space()
            part = part if self.peek()[0] in ("", "bar", "close") else ""
        self._at = self._at if part else start
        return part

    def fault(self, why: str) -> TemplateFault:
        return TemplateFault(f"the template “{self.template}”: {why}; language/templates.py explains the signs")


@dataclass(slots=True)
class _Item:
    """One piece of a sequence.

    :param look: it only looks at what is beside it, and is written without a space.
    """

    text: str
    quant: str = ""
    look: str = ""
    choices: tuple[str, ...] = ()


class _Writer:
    """Writes a template as a regular expression, and remembers what its groups catch."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.caught: dict[str, tuple[str, str]] = {}
        self._inside: list[str] = []

    def alternatives(self, reader: _Reader, prefix: str) -> str:
        """All alternatives up to the closing bracket or the end, as one group unless there is only one."""
        found = self.choices(reader, prefix)
        return found[0] if len(found) == 1 else f"(?:{'|'.join(found)})"

    def choices(self, reader: _Reader, prefix: str) -> list[str]:
        found = [self.sequence(reader, prefix)]
        while reader.peek()[0] == "bar":
            reader.take()
            found.append(self.sequence(reader, prefix))
        return found

    def looked_for(self, reader: _Reader, prefix: str) -> list[str]:
        """The alternatives of what is only looked at: a part that stands alone lends its own."""
        found: list[str] = []
        while True:
            part = reader.take_lone_part(self.lexicon.parts)
            found += self.looked_for(_Reader(part), prefix) if part else [self.sequence(reader, prefix)]
            if reader.peek()[0] != "bar":
                return found
            reader.take()

    def sequence(self, reader: _Reader, prefix: str) -> str:
        """Items with spaces between them: what may be left out takes a space along."""
        reader.skip_space()
        pieces: list[list[_Item]] = []
        apart = True
        while reader.peek()[0] not in ("", "bar", "close"):
            item = self.item(reader, prefix)
            if apart:
                pieces.append([item])
            else:
                pieces[-1].append(item)
            apart = reader.skip_space()
        return _joined(pieces, reader)

    def item(self, reader: _Reader, prefix: str) -> _Item:
        kind, text = reader.peek()
        match = reader.take()
        if kind == "open":
            item = self.bracket(reader, text, prefix)
        elif kind == "ref":
            inner = f"{prefix}{match['prefix']}_" if match["prefix"] else prefix
            item = _Item(self.referred(match["ref"], reader, inner))
        elif kind == "letters":
            item = _Item(f"(?:{re.escape(text[1:-1])})?" if len(text) > 3 else f"{re.escape(text[1:-1])}?")
        elif kind == "edge":
            item = _Item({"^": "^", "$": "$", ",": PAUSE}[text], look="edge")
        elif kind == "text":
            item = _Item(re.escape(text).replace("\\-", "-").replace("\\'", "'"))
        else:
            raise reader.fault(f"“{text}” stands where a word should")
        if reader.peek()[0] == "quant":
            item.quant = reader.take()[0]
        return item

    def bracket(self, reader: _Reader, opening: str, prefix: str) -> _Item:
        label = ""
        reader.skip_space()
        if reader.peek()[0] == "label":
            label = reader.take()[0][:-1]
        found = self.looked_for(reader, prefix) if opening in _AROUND else self.choices(reader, prefix)
        if reader.peek()[0] != "close":
            raise reader.fault("a bracket isn't closed")
        reader.take()
        if opening in _AROUND:
            return _Item("", look=opening, choices=tuple(found))
        joined = "|".join(found)
        if not label:
            return _Item(f"(?:{joined})")
        name, _, value = label.partition("=")
        group = f"g{len(self.caught)}"
        self.caught[group] = (prefix + name, value)
        return _Item(f"(?P<{group}>{joined})")

    def referred(self, name: str, reader: _Reader, prefix: str) -> str:
        if name in self.lexicon.raw:
            return f"(?:{self.lexicon.raw[name]})"
        if name not in self.lexicon.parts:
            raise reader.fault(f"{{{name}}} is not in this file and not in common.toml")
        if name in self._inside:
            raise reader.fault(f"{{{name}}} contains itself")
        self._inside.append(name)
        written = self.alternatives(_Reader(self.lexicon.parts[name]), prefix)
        self._inside.pop()
        return f"(?:{written})"


def _joined(pieces: list[list[_Item]], reader: _Reader) -> str:
    """The sequence as written. Before the first word that must be there, what may be left out takes the space behind
    it along; from there on the space before it."""
    out, begun = "", False
    for number, piece in enumerate(pieces):
        item = piece[0]
        low, high, lazy = _bounds(item.quant)
        if len(piece) == 1 and item.look:
            out += _looking(item, " " if begun else "")
        elif len(piece) == 1 and item.quant and not low:
            if not begun and number == len(pieces) - 1:
                raise reader.fault("nothing in it must be there")
            out += _repeated(f" {item.text}" if begun else f"{item.text} ", 0, high, lazy)
        else:
            again = _repeated(f" {item.text}", 0, high, lazy) if len(piece) == 1 and item.quant else ""
            text = item.text if len(piece) == 1 else "".join(_glued(each) for each in piece)
            out += f"{' ' if begun else ''}{text}{again}"
            begun = True
    return out


def _glued(item: _Item) -> str:
    """An item that another one touches without a space."""
    if item.look:
        return _looking(item, "")
    if not item.quant:
        return item.text
    low, high, lazy = _bounds(item.quant)
    return _repeated(item.text, low, high, lazy)


def _bounds(quant: str) -> tuple[int, int, str]:
    """Least and most times, and whether as few as will do."""
    if not quant:
        return 1, 1, ""
    if quant[0] == "~":
        return 0, int(quant[1]), quant[2:]
    return int(quant[0] == "+"), 1 if quant == "?" else MANY, "?" if quant == "*?" else ""


def _repeated(text: str, low: int, high: int, lazy: str) -> str:
    sign = {(0, 1): "?", (0, MANY): "*", (1, MANY): "+"}.get((low, high), f"{{{low},{high}}}")
    return f"(?:{text}){sign}{lazy}"


def _looking(item: _Item, space: str) -> str:
    """What only looks: ahead each alternative begins with the space, behind it ends with one."""
    if item.look == "edge":
        return item.text
    if item.look.startswith("<"):
        if item.look == "<!(":
            return "".join(f"(?<!{choice} )" for choice in item.choices)
        return f"(?:{'|'.join(f'(?<={choice} )' for choice in item.choices)})"
    ahead = [choice if choice in ("$", PAUSE) else rf"{space}{choice}\b" for choice in item.choices]
    return f"{_AROUND[item.look]}{'|'.join(ahead)})"

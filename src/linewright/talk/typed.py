"""Typed talks: plain text or light Markdown, with Linewright's own marks in braces.

Only marks that are surely marks are taken off: move numbers at the start of a line stay ("1. e4 e5" is no
list), a lone ``*`` is the PGN standard's "unfinished", ``+-`` and ``=`` are verdicts. What Markdown means by
headings, list bullets, emphasis, code spans, links and escapes follows CommonMark 0.31
(https://spec.commonmark.org); this reads the part that trainers type.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from linewright.talk.model import Aside, Place, Talk, Unit, Word
from linewright.talk.places import Lines, at

#: The light marks, ``{name: value}``.
MARKS = ("start", "side", "here", "back", "ring", "dot", "cross", "path", "stet")
#: Marks that may stand without a value.
BARE = frozenset({"stet"})

_SAID, _MARK, _GAP = 1, 0, 2  # a character is said, is a mark inside a word, or parts words

_QUOTE = re.compile(r" {0,3}(?:> ?)+")
_HEADING = re.compile(r" {0,3}(#{1,6})(?:[ \t]+|$)")
_UNDERLINE = re.compile(r" {0,3}(={3,}|-{3,})[ \t]*$")
_RULE = re.compile(r" {0,3}([-*_])(?:[ \t]*\1){2,}[ \t]*$")
_FENCE = re.compile(r" {0,3}(?:```|~~~)[^`]*$")
_BULLET = re.compile(r"[ \t]*[-*+][ \t]+(?=\S)")
_LITERAL = re.compile(r"(?P<escape>\\(?=[!-/:-@\[-`{-~\r\n]))|(?P<ticks>`+)|(?P<braces>\{[^{}]*\})|(?P<brace>[{}])")
_LINK = re.compile(r"(?P<image>!\[[^\[\]]*\]\([^()\s]*\))|\[(?P<text>[^\[\]]+)(?P<target>\]\([^()\s]*\))")
_EMPHASIS = re.compile(r"\*{1,3}|_{1,3}|~~")
_NAME = re.compile(r"\{\s*([^\W\d_]+)(?=[\s:])")

#: How many marks of emphasis wait for their fellow at once; a trainer nests two or three.
_MOST_OPEN = 32


@dataclass(slots=True)
class _Block:
    """A paragraph, heading or list item: a half-open range of the text."""

    start: int
    end: int
    heading: int = 0
    lines: int = 1


@dataclass(slots=True)
class _TypedPage:
    """A talk while its marks are being separated from its words."""

    text: str
    source: str
    lines: Lines
    kind: bytearray
    literal: bytearray
    asides: list[tuple[int, str, str]] = field(default_factory=list)
    notes: list[tuple[int, str]] = field(default_factory=list)

    def set(self, start: int, end: int, kind: int) -> None:
        self.kind[start:end] = bytes([kind]) * (end - start)

    def visible(self, start: int, end: int) -> str:
        """The text from ``start`` to ``end``, same length, without what is already settled.

        Marks are spaces, characters that must be taken as they stand are dots.
        """
        return "".join(
            " " if self.kind[i] != _SAID else "." if self.literal[i] else self.text[i] for i in range(start, end)
        )


def typed_talk(text: str, title: str, source: str) -> Talk:
    """Read a typed talk; ``title`` is used when it has no top heading. Never fails."""
    page = _TypedPage(text, source, Lines(text), bytearray([_SAID]) * len(text), bytearray(len(text)))
    _take_comments(page)
    blocks = _blocks(page)
    for block in blocks:
        _take_literals(page, block)
        _take_links(page, block)
        _take_emphasis(page, block)
    words = _words(page, blocks)
    notes = tuple(f"{at(source, page.lines.place(i))}: {note}" for i, note in sorted(page.notes))
    top = tuple(w.paragraph for w in words if w.heading == 1)
    if top:
        title = " ".join(w.text for w in words if w.paragraph == top[0])
    return Talk(title, source, Unit.CHARACTERS, text, words, _asides(page, words), notes)


def _take_comments(page: _TypedPage) -> None:
    """HTML comments are the trainer's own notes and not said."""
    position = 0
    while (start := page.text.find("<!--", position)) >= 0:
        position = page.text.find("-->", start + 4) + 3
        if position < 3:
            page.set(start, start + 4, _GAP)
            why = "this comment is never closed; its words are read as said. Close it with -->"
            page.notes.append((start, why))
            return
        page.set(start, position, _GAP)


def _blocks(page: _TypedPage) -> list[_Block]:
    """Part the text at blank lines, headings and list items, taking their marks off."""
    blocks: list[_Block] = []
    open_block: _Block | None = None
    for start, end in page.lines.spans:
        line = page.visible(start, end)
        quote = _QUOTE.match(line)
        if quote:
            page.set(start, start + quote.end(), _GAP)
            line = " " * quote.end() + line[quote.end() :]
        underline = _UNDERLINE.match(line)
        if not line.strip():
            # A line that only holds a comment does not end a paragraph, an empty one does.
            if quote or not page.text[start:end].strip():
                open_block = None
        elif heading := _HEADING.match(line):
            page.set(start, start + heading.end(), _GAP)
            page.set(start + _heading_end(line, heading.end()), end, _GAP)
            blocks.append(_Block(start, end, len(heading[1])))
            open_block = None
        elif underline and open_block and open_block.lines == 1:
            page.set(start, end, _GAP)
            open_block.heading = 1 if underline[1][0] == "=" else 2
            open_block = None
        elif _RULE.match(line) or _FENCE.match(line) or underline:
            page.set(start, end, _GAP)
            open_block = None
        elif bullet := _BULLET.match(line):
            page.set(start, start + bullet.end(), _GAP)
            open_block = _Block(start, end)
            blocks.append(open_block)
        elif open_block:
            open_block.end = end
            open_block.lines += 1
        else:
            open_block = _Block(start, end)
            blocks.append(open_block)
    return blocks


def _heading_end(line: str, start: int) -> int:
    """Where a heading's words end, its closing number signs left out: they need a space before them."""
    body = line[start:].rstrip(" \t")
    shorter = body.rstrip("#")
    return start + len(shorter if shorter.rstrip(" \t") != shorter or not shorter else body)


def _take_literals(page: _TypedPage, block: _Block) -> None:
    """Escapes, code spans and marks in braces: what is inside them is no Markdown."""
    line = page.visible(block.start, block.end)
    position = 0
    while found := _LITERAL.search(line, position):
        start, position = block.start + found.start(), found.end()
        if found["escape"]:
            page.set(start, start + 1, _MARK)
            page.literal[start + 1 : start + 2] = b"\1"
            position += 1
        elif found["ticks"]:
            closing = re.compile(rf"(?<!`){found['ticks']}(?!`)").search(line, position)
            if closing:
                page.set(start, block.start + found.end(), _MARK)
                page.set(block.start + closing.start(), block.start + closing.end(), _MARK)
                inside = slice(block.start + found.end(), block.start + closing.start())
                page.literal[inside] = b"\1" * (closing.start() - found.end())
                position = closing.end()
        elif found["braces"]:
            _take_braces(page, start, found["braces"])
        else:
            page.set(start, start + 1, _MARK)
            which = "never closed" if found["brace"] == "{" else "closed without being opened"
            page.notes.append((start, f"a brace is {which}; its words are read as said. Marks look like {{ring: e5}}"))


def _take_braces(page: _TypedPage, start: int, braces: str) -> None:
    """One ``{…}``: a light mark, or words that only look like one."""
    end = start + len(braces)
    found = _NAME.match(braces)
    name = found[1].lower() if found else braces[1:-1].strip().lower()
    value = " ".join(braces[found.end() : -1].strip().removeprefix(":").split()) if found else ""
    if name in MARKS and (value or name in BARE):
        page.asides.append((start, name, value))
        page.set(start, end, _GAP)
        return
    page.set(start, start + 1, _MARK)
    page.set(end - 1, end, _MARK)
    shown = " ".join(braces.split())
    why = f"{shown} says nothing after its name" if name in MARKS else f"{shown} is not one of the light marks"
    page.notes.append((start, f"{why}; its words are read as said. The marks are {', '.join(MARKS)}"))


def _take_links(page: _TypedPage, block: _Block) -> None:
    """A link's text is said and its target is not; a picture is not said at all."""
    for link in _LINK.finditer(page.visible(block.start, block.end)):
        start, end = block.start + link.start(), block.start + link.end()
        if link["image"]:
            page.set(start, end, _GAP)
        else:
            page.set(start, start + 1, _MARK)
            page.set(block.start + link.start("target"), end, _MARK)


def _take_emphasis(page: _TypedPage, block: _Block) -> None:
    """Pairs of ``*``, ``_`` or ``~~`` runs of one length that hug words; a run without its fellow is text."""
    line = page.visible(block.start, block.end)
    openers: list[re.Match[str]] = []
    for run in _EMPHASIS.finditer(line):
        before = line[run.start() - 1] if run.start() else " "
        after = line[run.end()] if run.end() < len(line) else " "
        if not before.isspace() and not after.isalnum():
            fellow = next((i for i in reversed(range(len(openers))) if openers[i][0] == run[0]), None)
            if fellow is not None:
                for mark in (openers[fellow], run):
                    page.set(block.start + mark.start(), block.start + mark.end(), _MARK)
                del openers[fellow:]
                continue
        if not after.isspace() and not before.isalnum():
            openers = [*openers[-_MOST_OPEN:], run]


def _words(page: _TypedPage, blocks: list[_Block]) -> tuple[Word, ...]:
    words: list[Word] = []
    paragraph = 0
    for block in blocks:
        count = len(words)
        said: list[int] = []
        for i in range(block.start, block.end + 1):
            if i == block.end or page.kind[i] == _GAP or (page.kind[i] == _SAID and page.text[i].isspace()):
                if said:
                    words.append(_word(page, said, paragraph, block.heading))
                said = []
            elif page.kind[i] == _SAID:
                said.append(i)
        paragraph += len(words) > count
    return tuple(words)


def _word(page: _TypedPage, said: list[int], paragraph: int, heading: int) -> Word:
    start, end = said[0], said[-1] + 1
    text = "".join(page.text[i] for i in said)
    return Word(
        text,
        (start, end),
        float(start),
        float(end),
        page.lines.place(start),
        paragraph=paragraph,
        heading=heading,
    )


def _asides(page: _TypedPage, words: tuple[Word, ...]) -> tuple[Aside, ...]:
    asides = []
    index = 0
    for start, name, value in page.asides:
        while index < len(words) and words[index].at[0] < start:
            index += 1
        place: Place = page.lines.place(start)
        asides.append(Aside(name, value, index, place))
    return tuple(asides)

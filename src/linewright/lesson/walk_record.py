"""A walk as JSON values and back, exactly: what a PGN's moves and comments can't hold stands in such a record.

In a PGN file the record stands in escaped lines, which every reader skips (PGN standard 1994, section 6).
"""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Iterable
from dataclasses import astuple
from typing import Any

from linewright.lesson.walk import Alternative, BoardMark, MoveStep, Opening, ReturnStep, Said, Step, Unread, Walk
from linewright.talk.model import Aside, Caption, Place, Talk, Unit, Word

#: What begins an escaped line of a record; the number is the record's version.
ESCAPE = "%linewright-walk-1 "
#: Characters of a record on one line: with :data:`ESCAPE` fewer than 80 (PGN standard 3.2.4).
PIECE = 60
#: Bytes that a record may unfold to, against files made to fill the memory: ten hours of talk take about 8 MB.
MOST_BYTES = 64 * 1024 * 1024


def escaped_lines(walk: Walk) -> str:
    """The walk's record as escaped lines of a PGN file, each ending in a line break."""
    text = json.dumps(walk_json(walk), ensure_ascii=False, separators=(",", ":"))
    packed = base64.b64encode(zlib.compress(text.encode("utf-8", "surrogatepass"), 9)).decode()
    return "".join(f"{ESCAPE}{packed[i : i + PIECE]}\n" for i in range(0, len(packed), PIECE))


def walk_of_lines(lines: Iterable[str]) -> Walk | None:
    """The walk of a record's escaped lines; None when there is none, or it is damaged."""
    packed = "".join(line[len(ESCAPE) :].strip() for line in lines if line.startswith(ESCAPE))
    if not packed:
        return None
    unpacker = zlib.decompressobj()
    try:
        data = unpacker.decompress(base64.b64decode(packed, validate=True), MOST_BYTES)
        if not unpacker.eof:
            return None
        return walk_of_json(json.loads(data.decode("utf-8", "surrogatepass")))
    except (ValueError, KeyError, TypeError, IndexError, AttributeError, zlib.error, RecursionError):
        return None


def walk_json(walk: Walk) -> dict[str, Any]:
    """A walk as JSON values; :func:`walk_of_json` makes the same walk of them."""
    return {
        "talk": _talk_json(walk.talk),
        "start": walk.start,
        "side": walk.side,
        "opening": astuple(walk.opening) if walk.opening else None,
        "steps": [_step_json(step) for step in walk.steps],
        "unread": [[_said_json(unread.said), unread.why, unread.further] for unread in walk.unread],
        "marks": [[mark.shape, list(mark.squares), mark.step, *astuple(mark.place)] for mark in walk.marks],
    }


def walk_of_json(data: dict[str, Any]) -> Walk:
    """The walk of its JSON values.

    :raises ValueError, KeyError, TypeError, IndexError: when they are no walk's.
    """
    talk = _talk(data["talk"])
    return Walk(
        talk,
        tuple(_step(step) for step in data["steps"]),
        data["start"],
        data["side"],
        tuple(Unread(_said(said), why, *further) for said, why, *further in data["unread"]),
        tuple(BoardMark(shape, tuple(on), step, Place(*place)) for shape, on, step, *place in data["marks"]),
        Opening(*data["opening"]) if data["opening"] else None,
    )


def _talk_json(talk: Talk) -> dict[str, Any]:
    return {
        "title": talk.title,
        "source": talk.source,
        "unit": talk.unit.value,
        "text": talk.text,
        "words": [_word_json(word, talk.text) for word in talk.words],
        "asides": [[a.name, a.value, a.word, *astuple(a.place)] for a in talk.asides],
        "notes": list(talk.notes),
        "captions": [[c.first, c.last, c.start, c.end, c.lines, c.stamped] for c in talk.captions],
    }


def _talk(data: dict[str, Any]) -> Talk:
    text = data["text"]
    return Talk(
        data["title"],
        data["source"],
        Unit(data["unit"]),
        text,
        tuple(_word(word, text) for word in data["words"]),
        tuple(Aside(name, value, word, Place(*place)) for name, value, word, *place in data["asides"]),
        tuple(data["notes"]),
        tuple(_caption(*row) for row in data["captions"]),
    )


def _word_json(word: Word, text: str) -> list[Any]:
    """A word's own text is left out where the talk's text says it."""
    own = None if text[slice(*word.at)] == word.text else word.text
    row = [*word.at, word.start, word.end, *astuple(word.place), word.paragraph, word.heading, word.confidence, own]
    while row and row[-1] is None:
        row.pop()
    return row


def _word(row: list[Any], text: str) -> Word:
    first, last, start, end, line, column, paragraph, heading, *rest = row
    confidence, own = (*rest, None, None)[:2]
    said = text[first:last] if own is None else own
    return Word(said, (first, last), start, end, Place(line, column), paragraph, heading, confidence)


def _caption(first: int, last: int, start: float, end: float, lines: list[int], stamped: list[int]) -> Caption:
    return Caption(first, last, start, end, tuple(lines), tuple(stamped))


def _said_json(said: Said) -> list[Any]:
    return [said.first, said.last, said.words, said.start, said.end, *astuple(said.place)]


def _said(row: list[Any]) -> Said:
    first, last, words, start, end, line, column = row
    return Said(first, last, words, start, end, Place(line, column))


def _step_json(step: Step) -> dict[str, Any]:
    if isinstance(step, ReturnStep):
        return {"said": _said_json(step.said), "to": step.to, "node": step.node, "sure": step.sure}
    return {
        "said": _said_json(step.said),
        "san": step.san,
        "uci": step.uci,
        "before": step.before,
        "after": step.after,
        "parent": step.parent,
        "node": step.node,
        "sure": step.sure,
        "instead": [[other.san, other.uci, other.sure] for other in step.instead],
        "nag": step.nag,
        **({"given": True} if step.given else {}),
    }


def _step(data: dict[str, Any]) -> Step:
    said = _said(data["said"])
    if "to" in data:
        return ReturnStep(said, data["to"], data["node"], data["sure"])
    return MoveStep(
        *(said, data["san"], data["uci"], data["before"], data["after"], data["parent"], data["node"], data["sure"]),
        tuple(Alternative(*other) for other in data["instead"]),
        data["nag"],
        data.get("given", False),
    )

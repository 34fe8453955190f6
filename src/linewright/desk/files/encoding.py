"""A talk's text as the page edits it, and back to the bytes of its file: what wasn't edited stays byte for byte.

A page's text area knows only "\\n"; files may have other line ends, a byte-order mark, or an older encoding.
"""

from __future__ import annotations

import codecs
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from linewright.talk.decode import decode

_BREAK = re.compile(r"\r\n|\r|\n")
#: Lines from the first to the last edited one in which unedited ones are looked for: a quarter of a second where all
#: are alike.
MOST_COMPARED = 1000
_UTF16 = {codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}


def page_text(data: bytes, source: str) -> tuple[str, tuple[str, ...]]:
    """A file's text with "\\n" line ends, and notes on what had to be guessed.

    :raises UnusableInput: when the bytes are not text.
    """
    if not data.strip():
        return _BREAK.sub("\n", data.decode("ascii", "replace")), ()
    text, notes = decode(data, source)
    return _BREAK.sub("\n", text), notes


def file_bytes(text: str, old: bytes) -> bytes:
    """The bytes of an edited text, in the encoding and with the line ends that the file had.

    Lines that were not edited keep their own line end (see :func:`_kept` for how far); new ones get the file's
    commonest. What the old encoding
    can't write makes the file UTF-8.
    """
    bom = next((mark for mark in (codecs.BOM_UTF8, *_UTF16) if old.startswith(mark)), b"")
    before = decode(old, "")[0] if old.strip() else old.decode("ascii", "replace")
    after = _with_ends(_BREAK.sub("\n", text), before)
    if bom in _UTF16:
        return bom + after.encode(_UTF16[bom])
    try:
        old.decode("utf-8")
    except UnicodeDecodeError:
        try:
            return after.encode("cp1252")
        except UnicodeEncodeError:
            pass
    return bom + after.encode("utf-8")


def _with_ends(text: str, before: str) -> str:
    """The text with the line ends that its lines had in ``before``."""
    ends = _BREAK.findall(before)
    if not ends or set(ends) == {"\n"}:
        return text
    usual = Counter(ends).most_common(1)[0][0]
    old, new = _BREAK.split(before), text.split("\n")
    out = [usual] * (len(new) - 1)
    if len(set(ends)) > 1:
        for first_old, first_new, count in _kept(old, new):
            for i in range(count):
                if first_old + i < len(ends) and first_new + i < len(out):
                    out[first_new + i] = ends[first_old + i]
    return "".join(line + end for line, end in zip(new, [*out, ""], strict=True))


def _kept(old: Sequence[str], new: Sequence[str]) -> Iterator[tuple[int, int, int]]:
    """Runs of lines that were not edited: where each begins in ``old`` and in ``new``, and how many lines it has.

    Comparing takes the square of the lines that like ones are among, so that only what lies between the first and
    the last edited line is compared, and not even that where it is beyond any edit by hand.
    """
    short = min(len(old), len(new))
    head = next((i for i in range(short) if old[i] != new[i]), short)
    tail = next((i for i in range(short - head) if old[-1 - i] != new[-1 - i]), short - head)
    yield 0, 0, head
    yield len(old) - tail, len(new) - tail, tail
    between = old[head : len(old) - tail], new[head : len(new) - tail]
    if max(map(len, between)) <= MOST_COMPARED:
        for block in SequenceMatcher(None, *between, autojunk=False).get_matching_blocks():
            yield head + block.a, head + block.b, block.size

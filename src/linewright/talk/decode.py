"""From a file's bytes to its text: encodings, and recognising what is not text."""

from __future__ import annotations

import codecs
import re

from linewright.support.errors import UnusableInput

#: Share of control characters above which bytes are no text (our own choice: prose has none, compressed or
#: recorded data about one in eight).
MOST_CONTROLS = 0.02

_CONTROLS = bytes(set(range(32)) - set(b"\t\n\v\f\r\x1b"))
#: Characters that steer a terminal: the sets C0 and C1 of ECMA-48 without what counts as white space.
_STEERING = re.compile(r"[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f]")
_BOMS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))


def decode(data: bytes, source: str) -> tuple[str, tuple[str, ...]]:
    """The text of a file and notes on what had to be guessed or corrected.

    UTF-8 with or without byte-order mark, UTF-16 with one; bytes that are no UTF-8 are taken for
    Windows-1252, the encoding that old Western editors write, with a note. A byte-order mark is not part of
    the text.

    :raises UnusableInput: when the bytes are empty or no text.
    """
    if not data:
        raise UnusableInput(f"{source}: the file is empty", "Give a talk with words in it.")
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            body = data[len(bom) :]
            if encoding == "utf-8":
                _refuse_binary(body, source)
            return _unicode(body, encoding, source)
    _refuse_binary(data, source)
    return _unicode(data, "utf-8", source)


def _refuse_binary(data: bytes, source: str) -> None:
    controls = len(data) - len(data.translate(None, _CONTROLS))
    if b"\0" in data or controls > MOST_CONTROLS * len(data):
        raise UnusableInput(
            f"{source}: this is not a text file",
            "Give the talk as text or Markdown, its captions (.vtt, .srt) or the recogniser's JSON.",
        )


def _unicode(data: bytes, encoding: str, source: str) -> tuple[str, tuple[str, ...]]:
    try:
        return data.decode(encoding), ()
    except UnicodeDecodeError as error:
        if error.start > 0 and len(data) - error.start < 4 and error.reason.startswith(("unexpected", "truncated")):
            note = f"{source}: the file is cut in the middle of its last character; that one is left out"
            return data[: error.start].decode(encoding), (note,)
        if encoding != "utf-8":
            note = f"{source}: some characters are not valid {encoding.upper()} and are shown as �"
            return data.decode(encoding, errors="replace"), (note,)
    note = f"{source}: not UTF-8, read as Windows-1252; save it as UTF-8 if some letters look wrong"
    # Windows-1252 leaves five bytes undefined; Latin-1 gives them the control characters they are in Unicode.
    return "".join(_WINDOWS_1252[byte] for byte in data), (note,)


def unsteered(text: str) -> str:
    """A text from elsewhere with a space for each character that steers a terminal, so that places stay the same.

    Quoted in a terminal, such a text could clear the screen or paint over what was found about it.
    """
    return _STEERING.sub(" ", text)


def _windows_1252(byte: int) -> str:
    try:
        return bytes([byte]).decode("cp1252")
    except UnicodeDecodeError:
        return chr(byte)


_WINDOWS_1252 = tuple(map(_windows_1252, range(256)))

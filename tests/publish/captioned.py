"""Timed talks with their walks for tests of captions, and strict checkers of caption files.

The checkers are written from memory of the W3C text "WebVTT: The Web Video Text Tracks Format", section 4
("Syntax"), and of what SubRip players read (common practice); they share no code with Linewright's loaders.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass

import chess

from linewright.lesson.opening import name_opening
from linewright.lesson.walk import MoveStep, ReturnStep, Said, Step, Walk
from linewright.talk.model import Caption, Place, Talk, Unit, Word

_MARK = re.compile(r"\[\[(?P<san>[^|\]]+)\|(?P<words>[^\]]*)\]\]|(?P<back>\{back\})|(?P<line>\n)|(?P<word>\S+)")


def captioned(text: str, start: str = chess.STARTING_FEN) -> Walk:
    """A timed talk and its walk.

    ``[[Nf3|night F3]]`` are the words of a move (``Nf3?``: read unsurely), ``{back}`` goes back to the start;
    a line is a cue, each word of which takes a second, and ``/`` breaks a cue's line.
    """
    board = chess.Board(start)
    words: list[Word] = []
    cues: list[Caption] = []
    steps: list[Step] = []
    breaks = [0]
    node = nodes = 0

    def add(cores: str) -> None:
        for core in cores.split():
            if core == "/":
                breaks.append(len(words))
                continue
            at = float(len(words))
            words.append(Word(core, (0, 0), at, at + 0.9, Place(len(cues) + 1, len(words) + 1)))

    def cue() -> None:
        if len(words) > breaks[0]:
            cues.append(Caption(breaks[0], len(words), words[breaks[0]].start, words[-1].end, tuple(breaks)))
        breaks[:] = [len(words)]

    for mark in _MARK.finditer(text):
        if mark["line"]:
            cue()
        elif mark["back"]:
            board, node = chess.Board(start), 0
            steps.append(ReturnStep(_said(words, len(words)), board.fen(), 0))
        elif mark["word"]:
            add(mark["word"])
        else:
            first = len(words)
            add(mark["words"])
            move = board.parse_san(mark["san"].rstrip("?"))
            before, san = board.fen(), board.san(move)
            board.push(move)
            nodes += 1
            sure = 0.6 if mark["san"].endswith("?") else 0.99
            steps.append(MoveStep(_said(words, first), san, move.uci(), before, board.fen(), node, nodes, sure))
            node = nodes
    cue()
    talk = Talk("Test", "test.vtt", Unit.SECONDS, *placed(words), captions=tuple(cues))
    walk = Walk(talk, tuple(steps), start)
    return Walk(talk, walk.steps, start, opening=name_opening(walk))


def _said(words: list[Word], first: int) -> Said:
    told = " ".join(word.text for word in words[first:])
    return Said(first, len(words), told, float(first), float(len(words)), Place(1, first + 1))


def placed(words: list[Word]) -> tuple[str, tuple[Word, ...]]:
    """The running text of words and the words with their places in it."""
    out, length = [], 0
    for word in words:
        at = (length, length + len(word.text))
        out.append(Word(word.text, at, word.start, word.end, word.place, word.paragraph))
        length = at[1] + 1
    return " ".join(word.text for word in words), tuple(out)


@dataclass(frozen=True)
class Checked:
    """A cue as a strict checker found it: milliseconds and lines of text."""

    start: int
    end: int
    lines: tuple[str, ...]


_VTT_TIME = r"(?:([0-9]{2,}):)?([0-5][0-9]):([0-5][0-9])\.([0-9]{3})"
_VTT_TIMINGS = re.compile(rf"{_VTT_TIME}[ \t]+-->[ \t]+{_VTT_TIME}")
_SRT_TIME = r"([0-9]{2,}):([0-5][0-9]):([0-5][0-9]),([0-9]{3})"
_SRT_TIMINGS = re.compile(rf"{_SRT_TIME} --> {_SRT_TIME}")
_REFERENCE = re.compile(r"&(?:amp|lt|gt|nbsp|lrm|rlm|#[0-9]+|#x[0-9a-fA-F]+);")


def strict_webvtt(text: str) -> tuple[Checked, ...]:
    """The cues of a WebVTT file that keeps to the grammar; AssertionError with the place where it doesn't."""
    assert "\0" not in text, "NUL"
    assert "\r" not in text, "we end lines with LF only"
    assert text.startswith("WEBVTT\n\n") or text == "WEBVTT\n", "signature and a blank line"
    assert text.endswith("\n")
    cues: list[Checked] = []
    for block in re.split(r"\n{2,}", text[len("WEBVTT\n") :].strip("\n")):
        if not block:
            continue
        head, *payload = block.split("\n")
        timings = _VTT_TIMINGS.fullmatch(head)
        assert timings, f"no cue timings: {head!r}"
        start, end = _milliseconds(timings.groups()[:4]), _milliseconds(timings.groups()[4:])
        assert end > start, f"ends before it starts: {head}"
        assert not cues or start >= cues[-1].start, f"starts before the cue before it: {head}"
        assert payload, f"nothing shown: {head}"
        cues.append(Checked(start, end, tuple(_cue_text(payload, start, end))))
    return tuple(cues)


def _cue_text(payload: list[str], start: int, end: int) -> list[str]:
    latest = start
    lines = []
    for line in payload:
        assert line.strip(), "a blank line inside a cue"
        assert "-->" not in line, f"an arrow inside a cue: {line!r}"
        for stamp in re.findall(r"<([^>]*)>", line):
            inner = re.fullmatch(_VTT_TIME, stamp)
            assert inner, f"an unknown tag: {stamp!r}"
            moment = _milliseconds(inner.groups())
            assert latest < moment < end, f"an inner time stamp out of order: {line!r}"
            latest = moment
        plain = re.sub(r"<[^>]*>", "", line)
        assert not re.search("[<>]", plain), f"a bare angle: {line!r}"
        assert "&" not in _REFERENCE.sub("", plain), f"a bare ampersand: {line!r}"
        lines.append(html.unescape(plain))
    return lines


def strict_subrip(text: str) -> tuple[Checked, ...]:
    """The cues of a SubRip file as most players want it: numbered from 1, one blank line between cues."""
    cues: list[Checked] = []
    assert text.endswith("\n") and "\r" not in text and "\n\n\n" not in text
    for number, block in enumerate(text.strip("\n").split("\n\n"), 1):
        index, head, *payload = block.split("\n")
        assert index == str(number), f"numbered {index!r}, not {number}"
        timings = _SRT_TIMINGS.fullmatch(head)
        assert timings, f"no times: {head!r}"
        start, end = _milliseconds(timings.groups()[:4]), _milliseconds(timings.groups()[4:])
        assert end > start and (not cues or start >= cues[-1].start), f"times out of order: {head}"
        assert payload and all(line.strip() for line in payload), f"nothing shown: {head}"
        for line in payload:
            assert "-->" not in line, f"an arrow inside a cue: {line!r}"
            assert not re.search(r"</?[a-zA-Z]|\{\\", line), f"markup: {line!r}"
        cues.append(Checked(start, end, tuple(line.replace("\u2060", "") for line in payload)))
    return tuple(cues)


def _milliseconds(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, part = (int(p or 0) for p in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + part

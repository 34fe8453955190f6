"""What hearing leaves behind: captions and the words beside them; written whole or not at all.

Captions follow the W3C text (https://www.w3.org/TR/webvtt1/), section 4 "Syntax".
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Sequence
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Final

from linewright.hear.caption_cutting import CutCue
from linewright.hear.heard_words import HeardWord
from linewright.support.atomic_write import beside
from linewright.support.errors import UnusableInput

#: Marks what Linewright wrote, with the SHA-256 of the text that follows: once edited, it is the trainer's.
_MARK: Final = re.compile(r"Unedited while what follows has the SHA-256 ([0-9a-f]{64})")
_JSON_MARK: Final = re.compile(r'"sha256": "([0-9a-f]{64})"\},\n')

#: Bytes above which a file is not ours, so that nothing large is read to find out.
_MOST_BYTES: Final = 64 * 1024 * 1024


def clock(seconds: float) -> str:
    """A WebVTT timestamp, to the thousandth.

    >>> clock(3723.5)
    '01:02:03.500'
    """
    minutes, thousandths = divmod(round(seconds * 1000), 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{thousandths // 1000:02}.{thousandths % 1000:03}"


def webvtt(cues: Iterable[CutCue], by: str = "") -> str:
    """A WebVTT file.

    :param by: one line about where the captions come from, put into a comment.
    """
    body = "".join(f"\n{_times(cue)}\n{_payload(cue)}\n" for cue in cues)
    digest = hashlib.sha256(body.encode()).hexdigest()
    about = _comment(by)
    mark = f"Unedited while what follows has the SHA-256 {digest}"
    return "WEBVTT\n\nNOTE\n" + "".join(f"{line}\n" for line in (about, mark) if line) + body


def words_json(words: Iterable[HeardWord], by: str = "") -> str:
    """The words with times in seconds and probabilities, one a line, as ``read`` takes them."""
    rows = ({"word": w.text, "start": round(w.start, 3), "end": round(w.end, 3), "p": round(w.p, 3)} for w in words)
    body = '"words": [\n' + ",\n".join(json.dumps(row, ensure_ascii=False) for row in rows) + "\n]}\n"
    digest = hashlib.sha256(body.encode()).hexdigest()
    return '{"made": ' + json.dumps({"by": by, "sha256": digest}, ensure_ascii=False) + ",\n" + body


def is_ours(text: str) -> bool:
    """Whether Linewright wrote a file's text and nobody changed it since."""
    for mark, gap in ((_MARK, 1), (_JSON_MARK, 0)):
        match = mark.search(text)
        if match:
            return hashlib.sha256(text[match.end() + gap :].encode()).hexdigest() == match[1]
    return False


def words_path(captions: Path) -> Path:
    """Where the words lie: ``talk.words.json`` beside ``talk.vtt``."""
    return captions.with_suffix(".words.json")


def check_targets(captions: Path, recording: Path, force: bool = False) -> None:
    """Make sure, before the long work, that its fruits can be written.

    :raises UnusableInput: when the name is no .vtt, its folder is missing, or a file lies there that Linewright
        did not write or that was edited since, and ``force`` is not given.
    """
    if captions.suffix.lower() != ".vtt":
        raise UnusableInput(f"{captions}: captions are written as WebVTT", f"Name them {captions.stem or 'talk'}.vtt.")
    if not captions.parent.is_dir():
        raise UnusableInput(f"{captions.parent}: no such folder", "Make it first, or choose another with -o.")
    for path in (captions, words_path(captions)):
        if path.is_dir():
            raise UnusableInput(f"{path}: this is a folder", "Choose another name with -o.")
        if path.exists() and recording.exists() and path.samefile(recording):
            raise UnusableInput(f"{path}: this is the recording itself", "Choose another name with -o.")
        if not force and path.exists() and not _wrote(path):
            raise UnusableInput(
                f"{path}: Linewright did not write this, or it was edited since",
                "Choose another name with -o, or add --force to overwrite it.",
            )


def _wrote(path: Path) -> bool:
    try:
        return path.stat().st_size <= _MOST_BYTES and is_ours(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False


def write(texts: Sequence[tuple[Path, str]]) -> None:
    """Write files: first all beside their places, then into them, so that stopping leaves none half-written.

    :raises UnusableInput: when one can't be written; the ones before may have been.
    """
    with ExitStack() as undo:
        new: list[tuple[Path, Path]] = []
        try:
            for path, text in texts:
                part = beside(path, text.encode())
                undo.callback(_remove, part)
                new.append((part, path))
            for part, path in new:
                part.replace(path)
        except OSError as error:
            raise UnusableInput(
                f"{path}: can't be written: {error.strerror or error}", "Choose another place with -o."
            ) from None


def _remove(part: Path) -> None:
    with suppress(OSError):
        part.unlink(missing_ok=True)


def _times(cue: CutCue) -> str:
    """Start and end; the end is after the start even where both round to the same thousandth."""
    return f"{clock(cue.start)} --> {clock(max(cue.end, round(cue.start, 3) + 0.001))}"


def _payload(cue: CutCue) -> str:
    """The lines, none empty (that would end the cue); what WebVTT gives a meaning is escaped."""
    return "\n".join(filter(None, (_escaped(" ".join(line.split())) for line in cue.lines)))


def _escaped(line: str) -> str:
    line = line.replace("\0", "")  # the one character that a WebVTT file may not hold
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _comment(by: str) -> str:
    """One line that may stand in a comment: no arrow, no control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in by).split()).replace("-->", "->")

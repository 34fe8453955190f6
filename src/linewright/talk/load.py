"""Loading a talk: from a file, or from text that is already there."""

from __future__ import annotations

import re
from dataclasses import replace
from enum import StrEnum
from pathlib import Path, PurePath

from linewright.support.errors import UnusableInput
from linewright.talk.captions import Captions, talk_of
from linewright.talk.decode import decode, unsteered
from linewright.talk.model import Talk
from linewright.talk.places import Lines
from linewright.talk.recogniser import recogniser_talk
from linewright.talk.subrip import TIMINGS, subrip
from linewright.talk.typed import typed_talk
from linewright.talk.webvtt import webvtt

#: Bytes above which a file is no talk: ten hours of recogniser JSON take about 8 MB.
MOST_BYTES = 32 * 1024 * 1024

_DOCUMENTS = re.compile(r"\.(docx?|epub|odt|pdf|pptx|rtf)", re.IGNORECASE)


class TalkFormat(StrEnum):
    """Formats of talks."""

    TYPED = "typed"
    WEBVTT = "webvtt"
    SUBRIP = "subrip"
    RECOGNISER = "recogniser"


#: Suffixes that settle the format; of any other file (.txt too) the first lines decide.
SUFFIXES = {
    ".md": TalkFormat.TYPED,
    ".markdown": TalkFormat.TYPED,
    ".vtt": TalkFormat.WEBVTT,
    ".srt": TalkFormat.SUBRIP,
    ".json": TalkFormat.RECOGNISER,
}
#: Suffixes of talks as people write them, of captions, and of a recogniser's words; a bare ``.json`` may be anything.
TYPED_SUFFIXES, CAPTION_SUFFIXES, WORDS_SUFFIX = (".md", ".markdown", ".txt"), (".vtt", ".srt"), ".words.json"
#: All suffixes of talks, the ones a trainer writes first: of files that differ in nothing else the first is taken.
TALK_SUFFIXES = (*TYPED_SUFFIXES, WORDS_SUFFIX, *CAPTION_SUFFIXES, ".json")
#: Suffixes of talks that a trainer edits; a recogniser's JSON is made by a program and read only.
EDITED_SUFFIXES = (*TYPED_SUFFIXES, *CAPTION_SUFFIXES)
#: Suffixes of recordings that browsers play; of two that lie beside a talk the first is taken.
PLAYED_SUFFIXES = (".mp4", ".webm", ".m4v", ".mov", ".m4a", ".mp3", ".ogg", ".oga", ".opus", ".wav", ".flac")
#: All suffixes of recordings, those that browsers play first.
RECORDING_SUFFIXES = (*PLAYED_SUFFIXES, ".aac", ".mkv", ".avi", ".wma", ".aif", ".aiff")


def load_talk(path: Path) -> Talk:
    """Read a talk from a file: typed text or Markdown, WebVTT, SubRip, or a recogniser's JSON.

    :raises UnusableInput: when there is no such file, it can't be opened, or it holds no talk.
    """
    source = str(path)
    data = _read(path, source)
    text, notes = decode(data, source)
    talk = load_text(text, SUFFIXES.get(path.suffix.lower()), source)
    return replace(talk, notes=(*notes, *talk.notes)) if notes else talk


def load_text(text: str, kind: TalkFormat | None = None, source: str = "-") -> Talk:
    """Read a talk from its text.

    :param kind: its format; None to recognise it by its first lines.
    :param source: how the user names it, for messages and the title.
    :raises UnusableInput: when it holds no talk.
    """
    text = unsteered(text)
    kind = kind or kind_of(text)
    title = _title(source)
    if kind is TalkFormat.TYPED:
        talk = typed_talk(text, title, source)
    elif kind is TalkFormat.RECOGNISER:
        talk = recogniser_talk(text, title, source)
    else:
        lines = Lines(text)
        captions = webvtt(text, lines) if kind is TalkFormat.WEBVTT else subrip(text, lines)
        talk = talk_of(_note_cut(captions, text), lines, title, source)
        if not talk.words:
            raise UnusableInput(
                f"{source}: no captions with words in this file",
                "A cue is a line like 00:01.000 --> 00:04.000 with the words on the lines below it.",
            )
    if not talk.words:
        raise UnusableInput(f"{source}: no words in this talk", "Give a talk with words in it.")
    return talk


def kind_of(text: str) -> TalkFormat:
    """Recognise a talk's format by its beginning; what looks like nothing else is typed."""
    head = text.lstrip("\ufeff")[:4000]
    if re.match(r"WEBVTT(\s|$)", head):
        return TalkFormat.WEBVTT
    if re.match(r'\s*(\{\s*"|\[\s*\{\s*")', head):
        return TalkFormat.RECOGNISER
    first_lines = [line for line in head.splitlines() if line.strip()][:2]
    if any(TIMINGS.match(line) for line in first_lines):
        return TalkFormat.SUBRIP
    return TalkFormat.TYPED


def _note_cut(captions: Captions, text: str) -> Captions:
    """A caption file that ends inside a line was probably cut; what is there is read all the same."""
    if not captions.cues or text.endswith(("\n", "\r")):
        return captions
    note = "the file ends in the middle of a line; if it was cut, its last words are missing"
    return replace(captions, notes=(*captions.notes, (len(text), note)))


def _title(source: str) -> str:
    """A file's name as a title: without the suffixes that only name its format, with a capital and spaces.

    ``panov.txt`` is "Panov", ``kings_indian.md`` "Kings indian", ``my-first-talk.vtt`` "My first talk". A single hyphen
    stays, since many openings have one ("Caro-Kann"); so do hyphens between digits, as in dates.
    """
    name = PurePath(source).name
    for suffix in (*SUFFIXES, ".txt", ".text", ".words"):
        if len(name) > len(suffix) and name.lower().endswith(suffix):
            name = name[: -len(suffix)]
    if not name.strip("-._ "):
        return "Talk"
    if " " not in name:
        name = name.replace("_", " ")
        if len(re.findall(r"(?<!\d)-|-(?!\d)", name)) > 1:
            name = re.sub(r"(?<!\d)-+|-+(?!\d)", " ", name)
    name = name.strip()
    return name[:1].upper() + name[1:]


def _read(path: Path, source: str) -> bytes:
    suffix = path.suffix
    try:
        if path.is_dir():
            raise UnusableInput(f"{source}: this is a folder", "Name a talk inside it.")
        if suffix.lower() in RECORDING_SUFFIXES and path.exists():
            raise UnusableInput(
                f"{source}: this is a recording", "Give its captions (.vtt, .srt) or the recogniser's JSON."
            )
        if _DOCUMENTS.fullmatch(suffix) and path.exists():
            raise UnusableInput(f"{source}: this is a {suffix[1:]} document", "Save it as plain text or Markdown.")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise UnusableInput(f"{source}: no such file", "Check the name and the folder.") from None
    except PermissionError:
        raise UnusableInput(
            f"{source}: no permission to read it", "Ask its owner, or copy it to your folder."
        ) from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise UnusableInput(f"{source}: can't be read: {why}", "Check the name and the disk.") from None
    if len(data) > MOST_BYTES:
        raise UnusableInput(
            f"{source}: over {MOST_BYTES // 2**20} MB, too long for a talk",
            "Games are added with: linewright base add",
        )
    return data

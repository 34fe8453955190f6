"""The answers file beside a talk: ``lesson.vtt.answers`` keeps what was settled about ``lesson.vtt``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from linewright.lesson.walk import Walk
from linewright.reading.answers import (
    Answer,
    AnswerLine,
    Finder,
    meet,
    obeyed,
    parse,
    rewritten,
    same_answer,
    step_for,
    written,
)
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.talk.model import Talk

SUFFIX = ".answers"

#: What a new file says about itself.
HEAD = """\
# What was settled about {name}, one answer a line; edit it as you like, lines like this one are yours.
# place (a hint) | move, - for none | the words in [brackets], with words around them | position before (FEN)
"""


def answers_path(talk: Path) -> Path:
    """Where a talk's answers lie."""
    return talk.with_name(talk.name + SUFFIX)


@dataclass(frozen=True, slots=True)
class Kept:
    """The answers that a file holds for a talk.

    :param placed: for each line (index from 0) whose place was found, the answer.
    :param troubles: what can't be used, as ``file:line: what``; such lines stay in the file.
    """

    path: Path
    lines: tuple[AnswerLine, ...] = ()
    placed: tuple[tuple[int, Answer], ...] = ()
    troubles: tuple[str, ...] = ()

    @property
    def answers(self) -> tuple[Answer, ...]:
        """In the order of the talk."""
        return tuple(sorted((answer for _, answer in self.placed), key=lambda a: a.first))

    def unfit(self, walk: Walk) -> tuple[str, ...]:
        """The answers that a reading can't obey, as ``file:line: what``."""
        return tuple(
            f"{self.path}:{index + 1}: this answer no longer fits: {_unfit(walk, answer)}; "
            "settle the place again with --ask, or delete the line"
            for index, answer in self.placed
            if not obeyed(walk, answer)
        )


def load_answers(path: Path, talk: Talk) -> Kept:
    """The answers beside the talk at ``path``; none when there is no such file.

    :raises UnusableInput: when the file can't be read.
    """
    file = answers_path(path)
    return kept(file, _read(file), talk)


def kept(file: Path, text: str, talk: Talk) -> Kept:
    """The answers in an answers file's text; of two for the same words the later counts."""
    lines = parse(text)
    finder = Finder(talk)
    placed: dict[int, Answer] = {}
    troubles: list[str] = []
    for index, line in enumerate(lines):
        if line.problem:
            troubles.append(f"{file}:{index + 1}: can't be read as an answer: {line.problem}")
        if line.note is None:
            continue
        place = finder.find(line.note)
        if place is None:
            troubles.append(
                f"{file}:{index + 1}: the place of this answer can't be found in the talk: "
                f"“{' '.join(line.note.words)}”; correct its words, or delete the line"
            )
            continue
        answer = Answer(*place, line.note.san, line.note.before)
        for other, earlier in list(placed.items()):
            if meet(earlier, answer):
                del placed[other]
                troubles.append(f"{file}:{other + 1}: line {index + 1} settles the same words; the later one counts")
        placed[index] = answer
    return Kept(file, lines, tuple(placed.items()), tuple(troubles))


def save_answers(path: Path, talk: Talk, old: Sequence[Answer], new: Sequence[Answer]) -> None:
    """Write the change from ``old`` answers to ``new`` ones into the file beside the talk at ``path``.

    The file is read again first, so that what was edited meanwhile stays; so do comments and lines that don't fit.

    :raises UnusableInput: when the file can't be read or written; it is then as it was.
    """
    file = answers_path(path)
    text = _read(file)
    now = kept(file, text, talk)
    dropped = frozenset(
        index
        for index, held in now.placed
        if any(same_answer(held, a) for a in old) and not any(same_answer(held, a) for a in new)
    )
    there = [held for _, held in now.placed]
    added = {a.first: written(talk, a) for a in new if not any(same_answer(a, held) for held in there)}
    if not dropped and not added:
        return
    places = {index: answer.first for index, answer in now.placed}
    lines = rewritten(now.lines or parse(HEAD.format(name=path.name)), dropped, added, places)
    end = "\r\n" if "\r\n" in text else "\n"
    _write(file, "".join(line.text + end for line in lines))


def _unfit(walk: Walk, answer: Answer) -> str:
    words = walk.talk.quote(answer.first, answer.last)
    step = step_for(walk, answer)
    wanted = answer.san or "no move"
    instead = f"“{words}” is read as {step.san}" if step is not None else f"“{words}” is read as no move"
    where = f" from {answer.before}" if answer.before else ""
    return f"{wanted}{where} can't be played there, {instead}"


def _read(file: Path) -> str:
    try:
        return file.read_bytes().decode("utf-8", "surrogateescape")
    except FileNotFoundError:
        return ""
    except OSError as error:
        raise UnusableInput(f"{file}: can't be read: {error.strerror or error}", "Check its permissions.") from None


def _write(file: Path, text: str) -> None:
    """Write a file whole or not at all."""
    try:
        write(file.resolve(), text.encode("utf-8", "surrogateescape"))
    except OSError as error:
        raise UnusableInput(
            f"{file}: the answers can't be written: {error.strerror or error}",
            "Make the talk's folder writable, or copy the talk to a folder of your own.",
        ) from None

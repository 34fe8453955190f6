"""Building a course: every talk of a folder, rebuilt only where something changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from linewright import __version__
from linewright.captions.corrected import NO_PLAYERS, correct_captions
from linewright.cli.shared import CHECKING, READING, findings_of, read, reading_part
from linewright.cli.terminal.progress import Part, Work
from linewright.cli.terminal.text import remark
from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.lesson.walk_record import walk_json, walk_of_json
from linewright.publish.build import write_files
from linewright.publish.course.course import Lesson
from linewright.publish.course.course_page import course_files
from linewright.publish.outputs import Order, book_chapter, lesson_files
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.slug import slug_of
from linewright.talk.model import Unit

#: Suffixes of talks, the ones a trainer writes first: of files that differ in nothing else the first is taken.
TALKS = (".md", ".markdown", ".txt", ".words.json", ".vtt", ".srt", ".json")

#: Suffixes of recordings that browsers play; of two that lie beside a talk the first is taken.
RECORDINGS = (".mp4", ".webm", ".m4v", ".mov", ".m4a", ".mp3", ".ogg", ".oga", ".opus", ".wav", ".flac")

#: Seconds that a talk and what all talks share usually take (see :mod:`linewright.cli.shared`).
EACH = READING + 2 * CHECKING
COMMON = 3.0

#: What was made of each talk, so that it need not be read again; hidden, inside the course's folder.
KEPT = ".linewright-course"


@dataclass(frozen=True, slots=True)
class Made:
    """A talk of the course, read and checked, or remembered."""

    day: date
    walk: Walk
    chapter: dict[str, Any]
    files: tuple[str, ...]
    fresh: bool


def talks_in(folder: Path) -> tuple[Path, ...]:
    """The folder's talks by name, one for each name before the suffix; hidden files are none."""
    best: dict[str, tuple[int, Path]] = {}
    for path in sorted(folder.iterdir()):
        rank = next((i for i, suffix in enumerate(TALKS) if path.name.lower().endswith(suffix)), None)
        if rank is None or path.name.startswith(".") or not path.is_file():
            continue
        stem = path.name[: -len(TALKS[rank])]
        if stem not in best or rank < best[stem][0]:
            best[stem] = (rank, path)
    return tuple(path for _, (_, path) in sorted(best.items()))


def recording_of(path: Path, walk: Walk) -> Path | None:
    """The recording that lies beside a timed talk under its name: ``slav.mp3`` of ``slav.vtt``; else None."""
    if walk.talk.unit is not Unit.SECONDS:
        return None
    return next((file for file in _recordings(path) if file.is_file()), None)


def _recordings(path: Path) -> tuple[Path, ...]:
    suffix = next(suffix for suffix in TALKS if path.name.lower().endswith(suffix))
    stem = path.name[: -len(suffix)]
    return tuple(path.with_name(f"{stem}{kind}") for kind in RECORDINGS)


def build_course(
    folder: Path,
    out: Path,
    games: GameSource | None,
    base: Path | None,
    order: Order,
    force: bool,
    work: Work,
) -> Iterator[Path]:
    """Build a site of all talks in a folder; yields what was written, nothing where nothing has changed.

    A talk that can't be used is named on standard error and left out.

    :param base: the games base's file; when it changes, everything is rebuilt.
    :param work: shows how far it is.
    :raises UnusableInput: when no talk can be used, or ``out`` can't be written to.
    """
    made: dict[str, Made] = {}
    talks = talks_in(folder)
    # What has not changed takes almost no time; known first, it tells how long the rest will take.
    kept = {path: _remembered(path, out, base, order) for path in talks}
    work.plan([(path.name, 0.0 if kept[path] else EACH) for path in talks] + [("contents and book", COMMON)])
    for path in talks:
        progress = work.begin(path.name)
        try:
            one = kept[path] or _read(path, games, order, progress)
        except UnusableInput as error:
            remark(f"left out: {error}")
            continue
        slug = _free(slug_of(one.walk.title), made)
        if not one.fresh and not all((out / f"{slug}{suffix}").exists() for suffix in one.files):
            one = _read(path, games, order, progress)
        if one.fresh:
            captions = correct_captions(one.walk, games or NO_PLAYERS)
            own = replace(order, captions=captions, recording=recording_of(path, one.walk), day=day_of(path))
            files = lesson_files(one.walk, findings_of(one.walk, games), own)
            yield from write_files({f"{slug}{suffix}": content for suffix, content in files.items()}, out, force)
            one = Made(one.day, one.walk, one.chapter, tuple(files), True)
            _remember(path, out, base, order, one)
        made[slug] = one
    if not made:
        raise UnusableInput(f"{folder}: no talk in this folder can be used", "Put talks into it: .md .txt .vtt .srt")
    work.begin("contents and book")
    yield from _common(folder, out, order, made, force)


def _common(folder: Path, out: Path, order: Order, made: dict[str, Made], force: bool) -> Iterator[Path]:
    """The course's own files, where a talk came, went or changed."""
    names = json.dumps([*made, *(str(one.day) for one in made.values()), repr(order.theme), __version__])
    kept = out / KEPT / "course"
    with suppress(OSError, UnicodeDecodeError):
        whole = all((out / name).exists() for name in ("index.html", "course.pgn", "course-book.pdf"))
        if whole and not any(one.fresh for one in made.values()) and kept.read_text(encoding="utf-8") == names:
            return
    lessons = [Lesson(slug, one.walk, one.day) for slug, one in made.items()]
    chapters = [one.chapter for one in made.values()]
    yield from write_files(course_files(lessons, chapters, course_title(folder), order.theme), out, force)
    write(kept, names.encode())


def day_of(path: Path) -> date:
    """When a talk was last written to."""
    return datetime.fromtimestamp(path.stat().st_mtime).astimezone().date()


def course_title(folder: Path) -> str:
    """The folder's name as a title: ``french-for-juniors`` is "French for juniors"."""
    name = folder.resolve().name.replace("-", " ").replace("_", " ").strip() or "Course"
    return name[:1].upper() + name[1:]


def _read(path: Path, games: GameSource | None, order: Order, progress: Part) -> Made:
    walk = read(path, games, reading_part(progress, EACH))
    return Made(day_of(path), walk, book_chapter(walk, findings_of(walk, games), order), (), True)


def _free(slug: str, taken: dict[str, Made]) -> str:
    """A file name that no other talk of the course has, nor the course's own files."""
    number, name = 1, slug
    while name in taken or name in ("index", "course", "course-book"):
        number += 1
        name = f"{slug}-{number}"
    return name


def _key(path: Path, base: Path | None, order: Order) -> str:
    """Changes whenever what is made of a talk could change."""
    parts = [__version__, repr((order.theme, sorted(order.parts), order.level, order.doubts))]
    if base is not None and base.exists():
        stat = base.stat()
        parts.append(f"{base} {stat.st_size} {stat.st_mtime_ns}")
    else:
        parts.append("starter table")
    digest = hashlib.sha256("\n".join(parts).encode())
    for file in (path, path.with_name(path.name + ".answers"), order.theme.mark):
        digest.update(b"\0" if file is None or not file.exists() else file.read_bytes())
    for file in _recordings(path):
        with suppress(OSError):
            stat = file.stat()
            digest.update(f"\0{file.name} {stat.st_size} {stat.st_mtime_ns}".encode())
    return digest.hexdigest()


def _remembered(path: Path, out: Path, base: Path | None, order: Order) -> Made | None:
    """What was made of a talk, if nothing that it was made from has changed; None to rebuild it."""
    try:
        kept = json.loads((out / KEPT / f"{path.name}.json").read_text(encoding="utf-8"))
        if kept["key"] != _key(path, base, order):
            return None
        return Made(day_of(path), walk_of_json(kept["walk"]), kept["chapter"], tuple(kept["files"]), False)
    except (OSError, ValueError, KeyError, TypeError, IndexError):
        return None


def _remember(path: Path, out: Path, base: Path | None, order: Order, one: Made) -> None:
    kept = {
        "key": _key(path, base, order),
        "walk": walk_json(one.walk),
        "chapter": one.chapter,
        "files": list(one.files),
    }
    (out / KEPT).mkdir(exist_ok=True)
    write(out / KEPT / f"{path.name}.json", json.dumps(kept, ensure_ascii=True).encode())

"""Building a course: every talk of a folder, rebuilt only where something changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from linewright import __version__
from linewright.captions.corrected import NO_PLAYERS, correct_captions
from linewright.engine.remembered_signs import remembered_signs
from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.lesson.walk_record import walk_json, walk_of_json
from linewright.publish.build import write_files
from linewright.publish.course.course import Lesson, course_pgn
from linewright.publish.course.course_page import course_page
from linewright.publish.games_shown import Signs
from linewright.publish.outputs import ALL, Order, OutputPart, book_chapter, lesson_files
from linewright.publish.theme import Theme
from linewright.settle.answers_file import answers_path
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.slug import slug_of
from linewright.talk.model import Unit
from linewright.talk.talk_files import SourceTalk, source_talk, talks_in
from linewright.workflow.build_lesson import day_of
from linewright.workflow.check_lesson import find_by_memory
from linewright.workflow.progress import CHECKING, READING, UNWATCHED, Note, Stages, first_part, ignore
from linewright.workflow.read_lesson import read_lesson

#: Where a folder's course is written when no folder is named: inside it.
COURSE: Final = "course"
#: Seconds that a talk and what all talks share usually take (see ``progress``).
EACH, COMMON = READING + 2 * CHECKING, 3.0
#: What was made of each talk, so that it need not be read again; hidden, inside the course's folder.
KEPT: Final = ".linewright-course"
#: The course's own files, by the parts that they belong to.
COMMON_FILES: Final[Mapping[OutputPart, str]] = {
    OutputPart.PAGE: "index.html",
    OutputPart.PGN: "course.pgn",
    OutputPart.HANDOUT: "course-book.pdf",
}
#: File names that no talk of the course may have.
_TAKEN: Final = frozenset(name.split(".")[0] for name in COMMON_FILES.values())


@dataclass(frozen=True, slots=True)
class CourseOrder:
    """What is to be built of a folder of talks. One that can't be carried out can't be made.

    :param folder: its name is the course's title.
    :param talks: the talks, in the course's order.
    :param out: the course's folder; None for ``course`` inside :attr:`folder`.
    :param outputs: the parts of each talk and of the course, and how they look; a film is none of them.
    :param base_file: the games base's file; when it changes, everything is rebuilt.
    :param force: write over what Linewright did not write.
    :raises UnusableInput: for a film, or one recording for all.
    """

    folder: Path
    talks: tuple[SourceTalk, ...]
    out: Path | None = None
    outputs: Order = field(default_factory=lambda: Order(ALL, doubts=False))
    base_file: Path | None = None
    force: bool = False

    def __post_init__(self) -> None:
        if OutputPart.FILM in self.outputs.parts or self.outputs.recording is not None:
            raise UnusableInput(
                f"{self.folder}: a course takes neither a film nor one recording",
                "A recording beside its talk under the same name (slav.mp3, slav.vtt) is played without asking; "
                "for a film, build the talk alone: linewright build TALK --film --recording FILE",
            )

    @property
    def place(self) -> Path:
        """The course's folder."""
        return self.out or self.folder / COURSE


@dataclass(frozen=True, slots=True)
class _Built:
    """A talk of the course, built now or before.

    :param chapter: its chapter of the book; None where no book is wanted.
    :param files: what follows its name in the names of its files.
    :param fresh: built now.
    """

    day: date
    walk: Walk
    chapter: dict[str, Any] | None
    files: tuple[str, ...]
    fresh: bool


def course_talks(folder: Path) -> tuple[SourceTalk, ...]:
    """A folder's talks, each with the recording beside it."""
    return tuple(map(source_talk, talks_in(folder)))


def build_course(
    order: CourseOrder, games: GameSource, verdicts: Path, note: Note = ignore, work: Stages = UNWATCHED
) -> Iterator[Path]:
    """Build a site of several talks; yields what was written, nothing where nothing has changed.

    A talk that can't be used is noted and left out.

    :param verdicts: the file of remembered verdicts; no engine is asked.
    :raises UnusableInput: when no talk can be used, or the folder can't be written to.
    """
    with remembered_signs(verdicts) as signs:
        yield from _Course(order, games, verdicts, signs, note).build(work)


def course_title(folder: Path) -> str:
    """The folder's name as a title: ``french-for-juniors`` is "French for juniors"."""
    name = folder.resolve().name.replace("-", " ").replace("_", " ").strip() or "Course"
    return name[:1].upper() + name[1:]


@dataclass(frozen=True, slots=True)
class _Course:
    """A course being built."""

    order: CourseOrder
    games: GameSource
    verdicts: Path
    signs: Signs | None
    note: Note

    def build(self, work: Stages) -> Iterator[Path]:
        """Build what has changed; yields what was written."""
        order, built = self.order, dict[str, _Built]()
        # What has not changed takes almost no time; known first, it tells how long the rest will take.
        kept = {talk: self._load_kept(talk) for talk in order.talks}
        stages = [(talk.path.name, 0.0 if kept[talk] else EACH) for talk in order.talks]
        work.plan([*stages, ("contents and book", COMMON)])
        for talk in order.talks:
            progress, one = work.begin(talk.path.name), kept[talk]
            slug = _free(slug_of(one.walk.title), built) if one else ""
            if one is None or not all((order.place / f"{slug}{suffix}").exists() for suffix in one.files):
                made = self._build_talk(talk, first_part(progress, READING / EACH))
                if made is None:
                    continue
                one, contents = made
                slug = _free(slug_of(one.walk.title), built)
                yield from self._write({f"{slug}{suffix}": content for suffix, content in contents.items()})
                self._keep(talk, one)
            built[slug] = one
        if not built:
            raise UnusableInput(
                f"{order.folder}: no talk in this folder can be used", "Put talks into it: .md .txt .vtt .srt"
            )
        work.begin("contents and book")
        yield from self._build_common(built)

    def _build_talk(
        self, talk: SourceTalk, progress: Callable[[float], None]
    ) -> tuple[_Built, Mapping[str, bytes]] | None:
        """A talk read, checked and made into files by their suffixes; None, with a note, where it can't be used."""
        try:
            walk = read_lesson(talk.path, self.games, self.note, progress)
            findings = find_by_memory(walk, self.games, self.verdicts, self.note)
            order = replace(
                self.order.outputs,
                games=self.games,
                signs=self.signs,
                captions=correct_captions(walk, self.games or NO_PLAYERS),
                recording=talk.recording if walk.talk.unit is Unit.SECONDS else None,
                day=day_of(talk.path),
            )
            chapter = book_chapter(walk, findings, order) if OutputPart.HANDOUT in order.parts else None
            files = lesson_files(walk, findings, order)
        except UnusableInput as error:
            self.note(f"left out: {error}")
            return None
        return _Built(day_of(talk.path), walk, chapter, tuple(files), True), files

    def _build_common(self, built: Mapping[str, _Built]) -> Iterator[Path]:
        """The course's own files, where a talk came, went or changed."""
        order, theme = self.order, self.order.outputs.theme
        wanted = [part for part in COMMON_FILES if part in order.outputs.parts]
        days = (str(one.day) for one in built.values())
        names = json.dumps([*built, *days, *wanted, repr(theme), __version__])
        kept = order.place / KEPT / "course"
        with suppress(OSError, UnicodeDecodeError):
            whole = all((order.place / COMMON_FILES[part]).exists() for part in wanted)
            if whole and not any(one.fresh for one in built.values()) and kept.read_text(encoding="utf-8") == names:
                return
        lessons = [Lesson(slug, one.walk, one.day) for slug, one in built.items()]
        chapters = [one.chapter for one in built.values() if one.chapter is not None]
        contents = {
            COMMON_FILES[part]: _common_file(part, lessons, chapters, course_title(order.folder), theme)
            for part in wanted
        }
        yield from self._write(contents)
        write(kept, names.encode())

    def _write(self, contents: Mapping[str, bytes]) -> tuple[Path, ...]:
        return write_files(contents, self.order.place, self.order.force)

    # -- what was built before ---------------------------------------------------------------------------

    def _key(self, talk: SourceTalk) -> str:
        """Changes whenever what is made of a talk could change."""
        outputs, base = self.order.outputs, self.order.base_file
        parts = [__version__, repr((outputs.theme, sorted(outputs.parts), outputs.level, outputs.doubts))]
        if base is not None and base.exists():
            stat = base.stat()
            parts.append(f"{base} {stat.st_size} {stat.st_mtime_ns}")
        else:
            parts.append("starter table")
        digest = hashlib.sha256("\n".join(parts).encode())
        for file in (talk.path, answers_path(talk.path), outputs.theme.mark):
            digest.update(b"\0" if file is None or not file.exists() else file.read_bytes())
        if talk.recording is not None:
            with suppress(OSError):
                stat = talk.recording.stat()
                digest.update(f"\0{talk.recording.name} {stat.st_size} {stat.st_mtime_ns}".encode())
        return digest.hexdigest()

    def _load_kept(self, talk: SourceTalk) -> _Built | None:
        """What was made of a talk, if nothing that it was made from has changed; None to rebuild it."""
        try:
            kept = json.loads(self._kept_file(talk).read_text(encoding="utf-8"))
            if kept["key"] != self._key(talk):
                return None
            walk = walk_of_json(kept["walk"])
            return _Built(day_of(talk.path), walk, kept["chapter"], tuple(kept["files"]), False)
        except (OSError, ValueError, KeyError, TypeError, IndexError):
            return None

    def _keep(self, talk: SourceTalk, one: _Built) -> None:
        """Remember what was made of a talk."""
        kept = {
            "key": self._key(talk),
            "walk": walk_json(one.walk),
            "chapter": one.chapter,
            "files": list(one.files),
        }
        self._kept_file(talk).parent.mkdir(exist_ok=True)
        write(self._kept_file(talk), json.dumps(kept, ensure_ascii=True).encode())

    def _kept_file(self, talk: SourceTalk) -> Path:
        return self.order.place / KEPT / f"{talk.path.name}.json"


def _common_file(
    part: OutputPart, lessons: Sequence[Lesson], chapters: Sequence[dict[str, Any]], title: str, theme: Theme
) -> bytes:
    """One of the course's own files; see :data:`COMMON_FILES`."""
    if part is OutputPart.PAGE:
        return course_page(lessons, title, theme).encode("utf-8", "replace")
    if part is OutputPart.PGN:
        return course_pgn(lessons).encode("utf-8", "replace")
    from linewright.publish.handout.handout import book_pdf  # the typesetter is loaded only when it is needed

    return book_pdf(chapters, title, theme)


def _free(slug: str, taken: Mapping[str, _Built]) -> str:
    """A file name that no other talk of the course has, nor the course's own files."""
    number, name = 1, slug
    while name in taken or name in _TAKEN:
        number += 1
        name = f"{slug}-{number}"
    return name

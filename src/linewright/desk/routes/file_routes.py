"""What is dropped on the desk and what is made on it: uploads, hearing, building, and the files made."""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from pathlib import Path, PurePath

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from linewright.desk.files.folder import NoSuchTalk
from linewright.desk.guard import STRANGER
from linewright.desk.processes.background_jobs import build_course_job, build_lesson_job, hear_recording_job
from linewright.desk.state import Desk, asked, desk_of
from linewright.publish.outputs import ALL, Order, OutputPart
from linewright.support.atomic_write import new_mode
from linewright.support.errors import UnusableInput
from linewright.support.paths import OWN_THEME_FILE, VERDICTS_FILE
from linewright.talk.load import EDITED_SUFFIXES, MOST_BYTES, RECORDING_SUFFIXES
from linewright.talk.talk_files import SourceTalk
from linewright.workflow.build_course import COURSE, CourseOrder, course_talks
from linewright.workflow.build_lesson import LESSONS, LessonOrder
from linewright.workflow.find_theme import find_theme
from linewright.workflow.hear_recording import HearingOrder

#: Files of a lesson that a browser shows itself; others are downloaded.
SHOWN = {".html": "text/html", ".pdf": "application/pdf", ".mp4": "video/mp4"}
_ODD = re.compile(r"[^\w .,()'’&+-]+")


async def upload(request: Request) -> Response:
    """``/upload?name=``: a recording or captions, the body as it is. Never over another file.

    :raises UnusableInput: for other files, and where it can't be kept.
    """
    desk = desk_of(request)
    name = _ODD.sub("-", PurePath(request.query_params.get("name", "").replace("\\", "/")).name).lstrip(".- ")
    suffix = PurePath(name).suffix.lower()
    if suffix not in (*RECORDING_SUFFIXES, *EDITED_SUFFIXES) or not PurePath(name).stem:
        raise UnusableInput(
            f"{name or 'this'} is neither a recording nor a talk",
            f"Drop one of {', '.join((*RECORDING_SUFFIXES, *EDITED_SUFFIXES))}.",
        )
    handle, part = tempfile.mkstemp(prefix=".upload-", dir=desk.folder.root)
    try:
        size = 0
        with os.fdopen(handle, "wb") as file:
            async for chunk in request.stream():
                size += len(chunk)
                if suffix in EDITED_SUFFIXES and size > MOST_BYTES:
                    raise UnusableInput(
                        f"{name} is over {MOST_BYTES // 2**20} MB, too long for a talk", "OutputPart it."
                    )
                file.write(chunk)
        if not size:
            raise UnusableInput(f"{name} is empty", "Choose another file.")
        kept = await asyncio.to_thread(_kept, Path(part), desk.folder.path(name))
    except OSError as error:
        raise UnusableInput(f"{name} can't be kept: {error.strerror or error}", "Check the disk.") from None
    finally:
        Path(part).unlink(missing_ok=True)
    return JSONResponse({"name": kept.name, "talk": suffix in EDITED_SUFFIXES})


def _kept(part: Path, wanted: Path) -> Path:
    """Give a file its name; with a number, where there is one of that name."""
    part.chmod(new_mode())
    for number in range(1, 1000):
        target = wanted if number == 1 else wanted.with_stem(f"{wanted.stem} {number}")
        try:
            os.link(part, target)
        except FileExistsError:
            continue
        return target
    raise UnusableInput(f"there are too many files called {wanted.name}", "Rename it.")


async def hear(request: Request) -> Response:
    """``{"recording", "about"}``: write a recording down as captions beside it."""
    desk, wanted = desk_of(request), await asked(request)
    recording = _file(desk, str(wanted.get("recording", "")), RECORDING_SUFFIXES)
    about = str(wanted.get("about", ""))[:100].strip() or None
    order = HearingOrder(recording, about=about, base=desk.base, model=desk.model)
    number = desk.jobs.start("hear", recording.name, hear_recording_job, order)
    return JSONResponse({"job": number})


async def build(request: Request) -> Response:
    """``{"talk", "film"}``: build a talk's lesson."""
    desk, wanted = desk_of(request), await asked(request)
    name = str(wanted.get("talk", ""))
    talk = _file(desk, name, EDITED_SUFFIXES)
    recordings = {found.name: found.recording for found in await asyncio.to_thread(desk.folder.talks)}
    recording = desk.folder.path(recordings[name]) if recordings.get(name) else None
    parts = ALL | {OutputPart.FILM} if wanted.get("film") is True else ALL
    theme = await asyncio.to_thread(find_theme, talk, desk.home / OWN_THEME_FILE)
    order = LessonOrder(SourceTalk(talk, recording), outputs=Order(parts, theme, doubts=False))
    verdicts = desk.home / VERDICTS_FILE
    number = desk.jobs.start("build", name, build_lesson_job, order, desk.base, verdicts)
    return JSONResponse({"job": number, "folder": order.folder.relative_to(desk.folder.root).as_posix()})


async def course(request: Request) -> Response:
    """``{"folder"}``: build the course of a folder of talks; ``""`` is the desk's own folder.

    :raises UnusableInput: when too much is going on, or the theme can't be used.
    """
    desk, wanted = desk_of(request), await asked(request)
    name = str(wanted.get("folder", ""))
    folder = desk.folder.path(name) if name else desk.folder.root
    if not folder.is_dir():
        raise NoSuchTalk(name)
    order = await asyncio.to_thread(_course_order, desk, folder)
    number = desk.jobs.start("course", name, build_course_job, order, desk.base, desk.home / VERDICTS_FILE)
    return JSONResponse({"job": number, "folder": order.place.relative_to(desk.folder.root).as_posix()})


def _course_order(desk: Desk, folder: Path) -> CourseOrder:
    """The course of a folder; talks and recordings that links lead out of the desk's folder are none."""
    talks = tuple(
        SourceTalk(one.path, one.recording if one.recording and desk.folder.holds(one.recording) else None)
        for one in course_talks(folder)
        if desk.folder.holds(one.path)
    )
    theme = find_theme(folder, desk.home / OWN_THEME_FILE)
    return CourseOrder(folder, talks, outputs=Order(ALL, theme, doubts=False), base_file=desk.base)


async def stop(request: Request) -> Response:
    """``{"job"}``: stop a job."""
    number = (await asked(request)).get("job")
    return JSONResponse({"stopped": isinstance(number, int) and desk_of(request).jobs.stop(number)})


async def made(request: Request) -> Response:
    """``/made/…``: a file of a built lesson or course; its scripts run as a stranger's to the desk."""
    folder = desk_of(request).folder
    path = folder.path(request.path_params["name"])
    if not {LESSONS, COURSE} & set(path.relative_to(folder.root).parts) or not path.is_file():
        raise HTTPException(404)
    shown = SHOWN.get(path.suffix.lower())
    policy = {"content-security-policy": STRANGER} if shown != "application/pdf" else {}
    return FileResponse(
        path,
        media_type=shown or "application/octet-stream",
        filename=path.name,
        content_disposition_type="inline" if shown else "attachment",
        headers=policy,
    )


async def recording(request: Request) -> Response:
    """``/recording/…``: a recording of the folder, to be played."""
    return FileResponse(_file(desk_of(request), request.path_params["name"], RECORDING_SUFFIXES))


def _file(desk: Desk, name: str, suffixes: tuple[str, ...]) -> Path:
    path = desk.folder.path(name)
    if path.suffix.lower() not in suffixes or not path.is_file():
        raise NoSuchTalk(name)
    return path


routes = [
    Route("/upload", upload, methods=["POST"]),
    Route("/hear", hear, methods=["POST"]),
    Route("/build", build, methods=["POST"]),
    Route("/course", course, methods=["POST"]),
    Route("/stop", stop, methods=["POST"]),
    Route("/made/{name:path}", made),
    Route("/recording/{name:path}", recording),
]

"""The desk's own pages: the list of talks, the manuscript, and going back to earlier versions."""

from __future__ import annotations

import asyncio
import re
from datetime import datetime
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from linewright.desk.files.folder import Conflict
from linewright.desk.pages import page
from linewright.desk.state import Desk, asked, desk_of
from linewright.settle.answers_file import answers_path
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput

#: What may stand in a new talk's name: letters of all languages, digits and a few signs.
_NAME = re.compile(r"[\w][\w .,()'’&-]{0,80}")


async def contents(request: Request) -> Response:
    """The folder's talks."""
    desk = desk_of(request)
    talks = await asyncio.to_thread(desk.folder.talks)
    rows = [
        {
            "name": talk.name,
            "address": "/talk/" + quote(talk.name),
            "changed": datetime.fromtimestamp(talk.changed).strftime("%-d %B %Y, %H:%M"),
            "recording": talk.recording,
        }
        for talk in talks
    ]
    return page("contents.html.j2", folder=desk.folder.root.name, talks=rows)


async def manuscript(request: Request) -> Response:
    """A talk's page; the text itself comes by its live connection."""
    desk, name = desk_of(request), request.path_params["name"]
    path = desk.folder.talk_path(name)
    if not path.is_file():
        raise HTTPException(404)
    talks = await asyncio.to_thread(desk.folder.talks)
    recording = next((talk.recording for talk in talks if talk.name == name), "")
    captions = path.suffix.lower() in (".vtt", ".srt")
    return page(
        "desk.html.j2",
        name=name,
        title=path.stem,
        captions=captions,
        recording=recording,
        dictates=not captions and desk.ear.usable(),
    )


async def new_talk(request: Request) -> Response:
    """``{"title"}``: begin a talk; its file is named after it."""
    desk = desk_of(request)
    title = str((await asked(request)).get("title", "")).strip()
    if not _NAME.fullmatch(title):
        raise UnusableInput(
            f"{title[:40]!r} is not a valid name for a talk", "Use letters, digits, spaces and - . , ( ) '"
        )
    name = f"{title}.md"
    saved = await asyncio.to_thread(desk.folder.save, name, f"# {title}\n\n", "")
    if isinstance(saved, Conflict):
        raise UnusableInput(f"{name} already exists", "Choose another name, or open it.")
    return JSONResponse({"address": "/talk/" + quote(name)})


async def versions(request: Request) -> Response:
    """The earlier versions of a talk, the newest first."""
    desk, name = desk_of(request), request.path_params["name"]
    desk.folder.talk_path(name)
    kept = await asyncio.to_thread(desk.folder.versions.all, name)
    return JSONResponse([{"version": v.version, "time": v.time, "size": v.size, "why": v.why} for v in kept[::-1]])


async def version(request: Request) -> Response:
    """The text of an earlier version, by ``?version=``."""
    desk, name = desk_of(request), request.path_params["name"]
    desk.folder.talk_path(name)
    text = await asyncio.to_thread(desk.folder.text_of, name, request.query_params.get("version", ""))
    if text is None:
        raise HTTPException(404)
    return JSONResponse({"text": text})


async def undo_answer(request: Request) -> Response:
    """Take back what was settled last about a talk."""
    desk, name = desk_of(request), request.path_params["name"]
    return JSONResponse({"undone": await asyncio.to_thread(_undo_answer, desk, name)})


def _undo_answer(desk: Desk, name: str) -> bool:
    """Put the answers file back as it was before the last change made on the desk; False when there is none."""
    file, kept = answers_path(desk.folder.talk_path(name)), f"{name}.answers"
    now = file.read_bytes() if file.exists() else b""
    store = desk.folder.versions
    for version in reversed(store.all(kept)):
        before = store.get(kept, version.version)
        if before is not None and before != now and version.why == "settled":
            store.keep(kept, now, "undone")
            write(file, before)
            return True
    return False


async def no_such_talk(request: Request, error: Exception) -> Response:
    """A name that is no talk of the folder."""
    return page("missing.html.j2", 404)


routes = [
    Route("/", contents),
    Route("/talks", new_talk, methods=["POST"]),
    Route("/talk/{name:path}", manuscript),
    Route("/versions/{name:path}", versions),
    Route("/version/{name:path}", version),
    Route("/answers/undo/{name:path}", undo_answer, methods=["POST"]),
]

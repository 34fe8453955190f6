"""The pupils' pages: a class's practice page by personal links, and nothing of the trainer's desk.

An app of its own. A pupil's secret stands behind ``#`` in the link, which browsers send to nobody; the page's script
sends it in a header, so that no cookie exists that another page could borrow, and no address in a log holds it.
"""

from __future__ import annotations

import asyncio
import gzip
import json
from collections.abc import Awaitable, Callable
from functools import cache, partial
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from linewright.practice.classes.class_rows import Pupil, SchoolClass
from linewright.practice.classes.store import Store
from linewright.practice.outputs.practice_page import page_script, page_style, served_page
from linewright.practice.playing_on import Partner
from linewright.practice.schedule.log import LogEntry, entries_of_json, entry_json
from linewright.practice.server.classroom import Classroom
from linewright.publish.html.typefaces import FONTS, faces
from linewright.support.errors import UnusableInput

#: Bytes in a request's body: a thousand answers.
MOST_BODY = 512 * 1024
#: Entries taken in one request.
MOST_ENTRIES = 1000

HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "microphone=(), camera=(), geolocation=(), payment=(), usb=()",
}

_Handler = Callable[[Request, Pupil, SchoolClass], Awaitable[Response]]


def make_class_app(store: Store, partner: Partner | None = None) -> Starlette:
    """The pupils' app over a store.

    :param partner: the engine that positions are played on against; without it none is offered. The caller closes both.
    """
    app = Starlette(
        routes=[
            Route("/", _to_page),
            Route("/practice", _to_page),
            Route("/practice/", _page),
            Route("/practice/practice.js", _script),
            Route("/practice/practice.css", _style),
            Route("/practice/fonts/{file}", _font),
            Route("/practice/lessons", _for_pupil(_lessons)),
            Route("/practice/mine", _for_pupil(_mine)),
            Route("/practice/sync", _for_pupil(_sync), methods=["POST"]),
            Route("/practice/play", _for_pupil(_play), methods=["POST"]),
        ],
        exception_handlers={HTTPException: _refused, Exception: _broken},
    )
    app.state.classroom = Classroom(store, partner)
    return app


async def _refused(request: Request, error: Exception) -> Response:
    """An address or a method that isn't there."""
    assert isinstance(error, HTTPException)
    answer = _no(error.status_code, error.detail)
    answer.headers.update(error.headers or {})
    return answer


async def _broken(request: Request, error: Exception) -> Response:
    """What went wrong stands in the trainer's window, and not in a pupil's."""
    return _no(500, "this did not work; your trainer can see why")


async def _to_page(request: Request) -> Response:
    return RedirectResponse("/practice/", headers=HEADERS)


async def _page(request: Request) -> Response:
    return HTMLResponse(served_page(), headers=HEADERS)


async def _script(request: Request) -> Response:
    return _packed(request, _pack(page_script()), "text/javascript", "no-cache")


async def _style(request: Request) -> Response:
    return _packed(request, _pack(page_style()), "text/css", "no-cache")


async def _font(request: Request) -> Response:
    """One of the page's typefaces; a day's keeping saves a class that opens the page at once a hundred answers."""
    file = request.path_params["file"]
    if all(face.file != file for face in faces()):
        raise HTTPException(404)
    return FileResponse(FONTS / file, media_type="font/woff2", headers={**HEADERS, "cache-control": "max-age=86400"})


@cache
def _pack(text: str) -> bytes:
    """Text as it is sent, compressed once and not for each pupil."""
    return gzip.compress(text.encode(), mtime=0)


def _packed(request: Request, body: bytes, kind: str, caching: str) -> Response:
    """A compressed body, unpacked for a client that takes no gzip."""
    headers = {**HEADERS, "cache-control": caching, "vary": "accept-encoding"}
    if "gzip" not in request.headers.get("accept-encoding", ""):
        return Response(gzip.decompress(body), media_type=kind, headers=headers)
    return Response(body, media_type=kind, headers={**headers, "content-encoding": "gzip"})


def _for_pupil(handler: _Handler) -> Callable[[Request], Awaitable[Response]]:
    """A handler for requests that carry a pupil's secret; others are refused, and slowed down."""

    async def guarded(request: Request) -> Response:
        room: Classroom = request.app.state.classroom
        address = request.client.host if request.client else ""
        scheme, _, token = request.headers.get("authorization", "").partition(" ")
        # A stranger who shares their address, as in a school, shuts out nobody: pupils who were in already go on, and
        # those who come first after many wrong links have a chance besides, of which there are few for all together.
        guessing = not room.was_in(token) and room.strangers.empty(address)
        if guessing and not room.latecomers.allows(""):
            return _no(429, "too many wrong links from here; try again in a minute")
        found = await room.who(token) if scheme.lower() == "bearer" else None
        if found is None:
            room.strangers.allows(address)
            if guessing:
                return _no(429, "too many wrong links from here; try again in a minute")
            return _no(401, "this link does not work; ask your trainer for a new one")
        if not room.pupils.allows(found[0].id):
            return _no(429, "too often; try again in a moment")
        try:
            return await handler(request, *found)
        except UnusableInput as error:
            return _no(422, str(error))

    return guarded


def _no(status: int, what: str) -> JSONResponse:
    return JSONResponse({"error": what}, status, headers={**HEADERS, "cache-control": "no-store"})


def _own(data: Any) -> JSONResponse:
    return JSONResponse(data, headers={**HEADERS, "cache-control": "no-store"})


async def _lessons(request: Request, pupil: Pupil, school_class: SchoolClass) -> Response:
    body = await request.app.state.classroom.lessons(school_class)
    return _packed(request, body, "application/json", "no-store")


async def _mine(request: Request, pupil: Pupil, school_class: SchoolClass) -> Response:
    """Everything that is kept about this pupil."""
    room: Classroom = request.app.state.classroom
    if not room.whole_logs.allows(pupil.id):
        return _no(429, "all of it was taken just now; try again in a minute")

    def whole() -> Response:
        entries = [entry_json(entry) for entry in room.store.log(pupil.id)]
        return _own({"linewright": "practice log", "version": 1, "pupil": pupil.name, "entries": entries})

    return await asyncio.to_thread(whole)


async def _play(request: Request, pupil: Pupil, school_class: SchoolClass) -> Response:
    """The engine's reply when a pupil plays on, and how the goal stands. Nothing is kept of it."""
    room: Classroom = request.app.state.classroom
    if room.partner is None:
        return _no(404, "there is no engine to play against here")
    try:
        data = json.loads(await _body(request) or b"")
        name, moves, rating = data["drill"], data["moves"], data["rating"]
        if not isinstance(moves, list) or not all(isinstance(m, str) for m in moves) or not isinstance(rating, int):
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError):
        return _no(400, "playing on is {drill: name, moves: […], rating: number}")
    drill = (await room.played_on(school_class)).get(str(name))
    if drill is None:
        return _no(404, "there is no such position to play on")
    if room.playing.locked():
        return _no(503, "many are playing just now; try again in a moment")
    async with room.playing:
        asked = partial(room.partner.go_on, drill, moves, rating)
        played = await asyncio.get_running_loop().run_in_executor(room.at_the_engine, asked)
    return _own({"reply": played.reply, "state": played.state, "left": played.left, "words": played.words})


async def _sync(request: Request, pupil: Pupil, school_class: SchoolClass) -> Response:
    """Take what the device sends, and hand back what it doesn't know. What is no entry is counted, never kept."""
    body = await _body(request)
    if body is None:
        return _no(413, f"more than {MOST_BODY} bytes at once")
    try:
        data = json.loads(body)
        rows, since = data["entries"], data["since"]
        if not isinstance(rows, list) or not isinstance(since, int) or not 0 <= since < 2**63:
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError):
        return _no(400, "a sync is {entries: […], since: number}")
    if len(rows) > MOST_ENTRIES:
        return _no(413, f"more than {MOST_ENTRIES} answers at once")
    found = list(entries_of_json(rows))
    sent = [entry for entry in found if isinstance(entry, LogEntry)]
    done = await request.app.state.classroom.syncs.ask((pupil.id, sent, since))
    return _own(
        {
            "new": done.new,
            "refused": [index for index, entry in enumerate(found) if not isinstance(entry, LogEntry)],
            "entries": [entry_json(entry) for entry in done.entries],
            "seq": done.seq,
            "more": done.more,
        }
    )


async def _body(request: Request) -> bytes | None:
    """The body; None when it is too large, however long it says it is."""
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > MOST_BODY:
            return None
    return bytes(body)

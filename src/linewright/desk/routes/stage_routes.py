"""The stage, its prompter and the rehearsal: pages, and the room's WebSocket that keeps them in step.

What ``/room?talk=NAME`` takes and sends stands in :mod:`linewright.desk.messages.room`. Whatever hears steps may send
the position that it heard: keys overrule it.
"""

from __future__ import annotations

import asyncio
import contextlib
from pathlib import Path
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from linewright.desk.files.folder import NoSuchTalk
from linewright.desk.hub import FileNews
from linewright.desk.messages.room import FromRoom, ToRoom
from linewright.desk.messages.to_manuscript import Trouble
from linewright.desk.pages import page
from linewright.desk.rooms import Room
from linewright.desk.state import Desk, desk_of, next_text
from linewright.stage.rehearsal import RunReport, report_run
from linewright.stage.runs import SUFFIX, read_run, runs_of
from linewright.stage.script import script_of
from linewright.stage.trainer_rate import rate_beside
from linewright.support.errors import UnusableInput
from linewright.support.page_messages import from_json, to_json
from linewright.talk.load import load_talk

#: Shapes of the stage: the picture's width to its height.
SHAPES = ("wide", "tall", "free")


async def stage(request: Request) -> Response:
    """``/stage/NAME?shape=wide|tall|free&clear&strip&plain``: only the board."""
    desk, name = desk_of(request), request.path_params["name"]
    title = desk.folder.talk_path(name).stem
    shape = request.query_params.get("shape", "free")
    return page(
        "stage.html.j2",
        name=name,
        title=title,
        shape=shape if shape in SHAPES else "free",
        clear="clear" in request.query_params,
        strip="strip" in request.query_params,
    )


async def prompter(request: Request) -> Response:
    """``/prompter/NAME``: what the trainer sees while the stage is filmed."""
    desk, name = desk_of(request), request.path_params["name"]
    path = desk.folder.talk_path(name)
    if not path.is_file():
        raise NoSuchTalk(name)
    return page("prompter.html.j2", name=name, title=path.stem, address=quote(name), hears=desk.ear.usable())


async def room(socket: WebSocket) -> None:
    """A page's place in a talk's room."""
    desk = desk_of(socket)
    await socket.accept()
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        try:
            found = await _room(desk, socket.query_params.get("talk", ""))
        except NoSuchTalk:
            await socket.send_text(to_json(Trouble("there is no such talk", "Open it again from the desk.")))
            return
        except UnusableInput as trouble:
            await socket.send_text(to_json(Trouble(trouble.what, trouble.todo)))
            return
        async with found.joined() as waiting:
            tasks = [asyncio.create_task(_send(socket, waiting)), asyncio.create_task(_renew(desk, found.name))]
            try:
                await _take(socket, found, desk)
            finally:
                for task in tasks:
                    task.cancel()


async def _room(desk: Desk, name: str) -> Room:
    stored = await asyncio.to_thread(desk.folder.load, name)
    path = desk.folder.talk_path(name)
    return await desk.rooms.room(name, path, stored.text, stored.version, desk.readings.walk)


async def _renew(desk: Desk, name: str) -> None:
    """Take the talk into its room again whenever it changes on the disk; a run that is going keeps its own."""
    with desk.hub.listening() as news:
        while True:
            one = await news.get()
            if isinstance(one, FileNews) and one.talk == name:
                with contextlib.suppress(UnusableInput, NoSuchTalk):
                    await _room(desk, name)


async def _send(socket: WebSocket, waiting: asyncio.Queue[ToRoom]) -> None:
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        while True:
            await socket.send_text(to_json(await waiting.get()))


async def _take(socket: WebSocket, found: Room, desk: Desk) -> None:
    """Take a page's acts until it goes; what can't be done is reported to that page alone."""
    while True:
        try:
            act: FromRoom = from_json(await next_text(socket), FromRoom)
            await found.act(act, desk.readings.walk)
        except UnusableInput as trouble:
            await socket.send_text(to_json(Trouble(trouble.what, trouble.todo)))


async def rehearsal(request: Request) -> Response:
    """``/rehearsal/NAME?run=&heard=``: the minutes plan, the runs, and how one of them went."""
    desk, name = desk_of(request), request.path_params["name"]
    stored = await asyncio.to_thread(desk.folder.load, name)
    path = desk.folder.talk_path(name)
    walk = await desk.readings.walk(path, stored.text)
    script = await asyncio.to_thread(lambda: script_of(walk, rate_beside(path, walk)))
    runs = [found.name.removesuffix(SUFFIX).removeprefix(f"{path.stem}.") for found in runs_of(path)]
    chosen = request.query_params.get("run", runs[-1] if runs else "")
    heard_name = request.query_params.get("heard", "")
    result: RunReport | None = None
    trouble = ""
    if chosen in runs:
        try:
            run = await asyncio.to_thread(read_run, path.with_name(f"{path.stem}.{chosen}{SUFFIX}"))
            heard = await asyncio.to_thread(load_talk, desk.folder.talk_path(heard_name)) if heard_name else None
            if run.stops not in (0, len(script.stops)):
                raise UnusableInput("the talk has changed since this run", "Rehearse it again.")
            result = report_run(script, run, heard)
        except UnusableInput as error:
            trouble = str(error)
    return page(
        "rehearsal.html.j2",
        name=name,
        title=walk.title,
        address=quote(name),
        script=script,
        runs=runs[::-1],
        chosen=chosen,
        report=result,
        trouble=trouble,
        recordings=[t.name for t in await asyncio.to_thread(desk.folder.talks) if _timed(Path(t.name))],
        heard=heard_name,
    )


def _timed(path: Path) -> bool:
    return path.suffix.lower() in (".vtt", ".srt")


routes = [
    Route("/stage/{name:path}", stage),
    Route("/prompter/{name:path}", prompter),
    Route("/rehearsal/{name:path}", rehearsal),
    WebSocketRoute("/room", room),
]

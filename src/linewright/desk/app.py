"""The desk as one app: the pages' routes, put together and guarded.

A module of pages (``*_routes.py``) has a list ``routes`` of Starlette routes, and is added to :func:`make_app`'s
list. Its handlers are coroutines that take the shared state by :func:`linewright.desk.state.desk_of` and give heavy
work to threads (``asyncio.to_thread``), to ``desk.jobs`` (processes) or to ``desk.readings`` (``await
desk.readings.walk(path, text)``). Pages come from ``templates/`` by :func:`linewright.desk.pages.page` (everything is
escaped), scripts are ES modules in ``static/``: the guard's policy allows no inline script or style. Changes on the
disk and jobs are announced by ``desk.hub``. A name that a page gives becomes a path by ``desk.folder.path`` only.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import BaseRoute

from linewright.desk.files.folder import NoSuchTalk
from linewright.desk.guard import Door, Guard
from linewright.desk.pages import static_routes
from linewright.desk.routes import dictation, file_routes, manuscript_routes, stage_routes
from linewright.desk.routes import manuscript_socket as live
from linewright.desk.state import Desk
from linewright.support.errors import UnusableInput


def make_app(desk: Desk, door: Door, more: Sequence[BaseRoute] = ()) -> Starlette:
    """The guarded app.

    :param more: routes beside the desk's own, e.g. a test's.
    """

    @asynccontextmanager
    async def running(app: Starlette) -> AsyncIterator[None]:
        async with desk.running():
            yield

    app = Starlette(
        routes=[
            *static_routes(),
            *manuscript_routes.routes,
            *file_routes.routes,
            *live.routes,
            *dictation.routes,
            *stage_routes.routes,
            *more,
        ],
        middleware=[Middleware(Guard, door=door)],
        exception_handlers={UnusableInput: _unusable, NoSuchTalk: manuscript_routes.no_such_talk},
        lifespan=running,
    )
    app.state.desk = desk
    return app


async def _unusable(request: Request, error: Exception) -> Response:
    """Input that can't be used: what is wrong and what to do next, as one sentence each."""
    return PlainTextResponse(str(error), 422)

"""The desk as one app: the pages' routes, put together and guarded.

A module of pages (``*_routes.py``) has a list ``routes`` of Starlette routes, and is added to :func:`make_app`'s
list. Its handlers are coroutines that take the shared state by :func:`linewright.desk.state.desk_of` and give heavy
work to threads (``anyio.to_thread.run_sync``). Pages come from ``templates/`` by :func:`linewright.desk.pages.page`
(everything is escaped), scripts are ES modules in ``static/``: the guard's policy allows no inline script or style.
"""

from __future__ import annotations

from collections.abc import Sequence

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import BaseRoute

from linewright.desk import manuscript_routes
from linewright.desk.guard import Door, Guard
from linewright.desk.pages import static_routes
from linewright.desk.state import Desk
from linewright.errors import UnusableInput


def make_app(desk: Desk, door: Door, more: Sequence[BaseRoute] = ()) -> Starlette:
    """The guarded app.

    :param more: routes beside the desk's own, e.g. a test's.
    """
    app = Starlette(
        routes=[*static_routes(), *manuscript_routes.routes, *more],
        middleware=[Middleware(Guard, door=door)],
        exception_handlers={UnusableInput: _unusable},
    )
    app.state.desk = desk
    return app


async def _unusable(request: Request, error: Exception) -> Response:
    """Input that can't be used: what is wrong and what to do next, as one sentence each."""
    return PlainTextResponse(str(error), 422)

"""The desk's own pages: the list of talks and the manuscript."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from linewright.desk.pages import page
from linewright.desk.state import desk_of


async def contents(request: Request) -> Response:
    """The folder's talks."""
    return page("contents.html.j2", folder=desk_of(request).folder.name)


routes = [Route("/", contents)]

"""Server-rendered pages: Jinja templates with every text escaped, and the desk's static files."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from linewright.publish.html.board_element import ELEMENT
from linewright.publish.html.typefaces import FONTS, served_css

#: The package's own folder of scripts and styles; modules in it import each other by relative paths.
STATIC = Path(str(files("linewright.web") / "desk"))


@cache
def environment() -> Environment:
    """The desk's templates; all text is escaped whatever the file's name."""
    return Environment(
        loader=PackageLoader("linewright.desk", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """One page from ``templates/``."""
    return HTMLResponse(environment().get_template(template).render(**values), status)


def static_routes() -> list[BaseRoute]:
    """``/static`` serves the desk's scripts and styles, ``/element`` the board element's modules, ``/fonts`` the
    typefaces, with the style sheet that names them."""
    return [
        Route("/fonts/fonts.css", _typefaces),
        Mount("/fonts", StaticFiles(directory=FONTS), name="fonts"),
        Mount("/static", StaticFiles(directory=STATIC), name="static"),
        Mount("/element", StaticFiles(directory=ELEMENT), name="element"),
    ]


async def _typefaces(request: Request) -> Response:
    return Response(served_css(""), media_type="text/css")

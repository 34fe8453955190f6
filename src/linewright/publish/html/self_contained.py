"""What every page in one file needs: style and typefaces, data, and a policy that lets nothing else in."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable
from functools import cache
from importlib import resources
from typing import Any, Final

import jinja2
from markupsafe import Markup

from linewright.publish.html.typefaces import embedded_css
from linewright.publish.theme import LEAST_CONTRAST, PLAIN, Theme, contrast

#: The page's colour of what is said softly (in page.css); on a ground where it is too faint the ink stands in.
SOFT = "#5c5347"


def style_maker(theme: Theme, more: str = "") -> Callable[[str], tuple[Markup, str]]:
    """For templates: a function from a page's body to its style sheet, with the typefaces that the body needs, and
    the sheet's source expression.

    :param more: rules beside those of page.css.
    """
    sheet = asset("page.css") + theme_css(theme) + more

    def style(body: str) -> tuple[Markup, str]:
        css = embedded_css(body) + sheet
        return Markup(css), csp_hash(css)

    return style


def theme_css(theme: Theme) -> str:
    """The trainer's colours over the page's own, in light only: dark ones keep the contrast that was checked."""
    if (theme.ground, theme.ink, theme.accent) == (PLAIN.ground, PLAIN.ink, PLAIN.accent):
        return ""
    colours = f"--paper: {theme.ground}; --ink: {theme.ink}; --accent: {theme.accent};"
    if contrast(SOFT, theme.ground) < LEAST_CONTRAST:
        colours += f" --soft: {theme.ink};"
    return f"@media screen and (prefers-color-scheme: light) {{ :root {{ {colours} }} }}\n"


def mark_address(theme: Theme) -> str:
    """The trainer's mark as a data address, ``""`` for none."""
    if theme.mark is None:
        return ""
    kind = "image/svg+xml" if theme.mark.suffix.lower() == ".svg" else "image/png"
    return f"data:{kind};base64,{base64.b64encode(theme.mark.read_bytes()).decode()}"


def island(data: dict[str, Any]) -> Markup:
    """JSON that may stand inside a script element: no ``<``, so nothing in it can end the element."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029"))


def csp_hash(text: str) -> str:
    """The source expression for an inline style or script (W3C Content Security Policy 3, section 2.3.1)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


#: The packages that hold the page's files.
_ASSETS: Final = {"page.css": "linewright.publish.page", "page.js": "linewright.web.lesson"}


@cache
def asset(name: str) -> str:
    """One of the page's own files; styles and scripts stand in the page exactly as they are hashed."""
    return resources.files(_ASSETS[name]).joinpath(name).read_text(encoding="utf-8")


@cache
def environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.ChoiceLoader([jinja2.PackageLoader("linewright.publish", part) for part in ("page", "course")]),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

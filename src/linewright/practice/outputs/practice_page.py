"""The practice page: one HTML file that works from a stick, or served to a class, which then keeps the answers too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import fsrs
import jinja2
from markupsafe import Markup

from linewright.practice.drills.drill import Drill, Task, drill_json
from linewright.practice.drills.drill_paths import drill_paths
from linewright.practice.schedule.settings import LONGEST, MINUTES, RETENTION
from linewright.publish.html.board_element import element_script
from linewright.publish.html.joined_scripts import joined_modules
from linewright.publish.html.self_contained import csp_hash, island
from linewright.publish.html.typefaces import embedded_css, served_css
from linewright.support.slug import slug_of

#: The page's own modules.
SCRIPTS = files("linewright.web").joinpath("practice")
#: Fields of a drill that the page has no use for.
_UNUSED = ("goal",)


@dataclass(frozen=True, slots=True)
class Setting:
    """What a trainer sets for a page.

    :param retention: chance of remembering at which something is asked again, 0-1.
    :param minutes: a day; the pupil may change them.
    :param weights: fitted weights of the model of memory; the library's when left out.
    """

    retention: float = RETENTION
    minutes: float = MINUTES
    weights: tuple[float, ...] = ()


def practice_page(drills: Sequence[Drill], title: str, trainer: str = "", setting: Setting | None = None) -> str:
    """The practice page as one HTML file: no network, progress in the browser.

    Its content security policy lets nothing in or out; playing on needs an engine and is left out.
    """
    setting = setting or Setting()
    js = page_script()
    slug = slug_of(title)
    data = island(
        {**lesson_data([d for d in drills if d.task is not Task.PLAY], title, setting), "id": slug, "served": False}
    )
    css = embedded_css(f"{title}{trainer}{data}{js}") + _text("practice.css")
    return (
        _environment()
        .get_template("practice.html.j2")
        .render(
            title=title,
            trainer=trainer,
            served=False,
            css=Markup(css),
            js=Markup(js),
            css_hash=csp_hash(css),
            js_hash=csp_hash(js),
            data=data,
        )
    )


def served_page() -> str:
    """The page of a class: the same, but lessons, style and script come from the server, and lessons by the link."""
    data = {**lesson_data((), "Practice", Setting()), "id": "class", "served": True}
    template = _environment().get_template("practice.html.j2")
    return template.render(title="Practice", trainer="", served=True, data=island(data))


def lesson_data(drills: Sequence[Drill], title: str, setting: Setting) -> dict[str, Any]:
    """What the page's script needs, as JSON values.

    Keys: ``title``, ``slug``, ``retention``, ``minutes``, ``weights`` (21), ``longest`` (days), ``drills``: each as
    :func:`linewright.practice.drills.drill.drill_json` has it, with ``path``: the drills on the way to it.
    """
    paths = drill_paths(drills)
    return {
        "title": title,
        "slug": slug_of(title),
        "retention": setting.retention,
        "minutes": setting.minutes,
        "weights": list(setting.weights or fsrs.Scheduler().parameters),
        "longest": LONGEST,
        "drills": [
            {k: v for k, v in drill_json(drill).items() if k not in _UNUSED} | {"path": paths.get(drill.id, ())}
            for drill in drills
        ],
    }


@cache
def page_script() -> str:
    """The board element and the page's modules as one classic script."""
    return f"{element_script()}(() => {{\n{joined_modules(SCRIPTS, ['app.js'])}}})();\n"


def page_style() -> str:
    """The served page's style sheet; its typefaces lie beside it."""
    return served_css("fonts/") + _text("practice.css")


@cache
def _text(name: str) -> str:
    return SCRIPTS.joinpath(name).read_text(encoding="utf-8")


@cache
def _environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.PackageLoader("linewright.web", "practice"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )

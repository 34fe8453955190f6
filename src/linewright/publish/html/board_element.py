"""The board element: ES modules for browsers, served as they are or joined into one script for a page in one file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from linewright.publish.html.joined_scripts import joined_modules
from linewright.publish.theme import PLAIN, Theme

#: The folder of the modules; they import each other by relative paths, ``index.js`` exports what hosts use.
ELEMENT = Path(str(files("linewright.web") / "board"))

_NAMES = re.compile(r'^export \{([^}]*)\} from "\./([\w-]+\.js)";\n', re.M)


@cache
def element_script() -> str:
    """The modules as one classic script: ``const Linewright = …`` with the exports of ``index.js``.

    For pages in one file, where modules can't import each other. The board registers itself as ``<lw-board>``.
    It holds no ``</script`` and no ``<!--``, so that it may stand inside a ``<script>``.
    """
    index = (ELEMENT / "index.js").read_text(encoding="utf-8")
    exported = _NAMES.findall(index)
    names = ", ".join(part.strip() for found, _ in exported for part in found.split(",") if part.strip())
    bodies = joined_modules(ELEMENT, (name for _, name in exported))
    return f"const Linewright = (() => {{\n{bodies}\nreturn {{ {names} }};\n}})();\n"


def picture_labels(theme: Theme = PLAIN) -> Mapping[str, Any]:
    """The words of a board to look at, in the theme's language: a table for the element's ``labels`` that is JSON.

    It names the men, whose move it is and the marks. Moving and drawing by hand have more words, which stay English.
    """
    said = theme.labels()
    return {
        "board": said["board"],
        "white": said["white"],
        "black": said["black"],
        "pieces": {kind: [said[f"piece_{kind}"]] for kind in "kqrbnp"},
        "turn": {"w": said["to_move_w"], "b": said["to_move_b"]},
        "marks": {shape: said[f"mark_{shape}"] for shape in ("ring", "dot", "cross", "path")},
    }

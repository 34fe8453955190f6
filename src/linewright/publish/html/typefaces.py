"""The typefaces that travel with every page, so that it looks alike on machines that share no fonts.

``fonts/`` holds a cut-down book serif ("Linewright Serif", under the SIL Open Font License) and our own figurines,
made by ``tools/fonts``; ``faces.json`` there says what each file draws. Every rule has a ``unicode-range``: a figurine
font knows the letters K Q R B N too, and must never be asked for those of ordinary words.
"""

from __future__ import annotations

import base64
import json
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path

#: The folder of fonts, for servers; the files' names stand in ``faces.json``.
FONTS = Path(str(resources.files("linewright.publish.html") / "fonts"))

#: Draws the letters K Q R B N as pieces; only elements of the class ``fig`` name it.
MOVES = "Linewright Moves"


@dataclass(frozen=True, slots=True)
class Face:
    """One ``@font-face``.

    :param file: its name in ``fonts/``.
    :param weight: CSS weights it stands for: ``400``, or two that bound a range.
    :param range: CSS ``unicode-range``.
    """

    file: str
    family: str
    style: str
    weight: str
    range: str

    def rule(self, address: str) -> str:
        """The rule that fetches the face from an address."""
        return (
            f'@font-face {{ font-family: "{self.family}"; font-style: {self.style}; font-weight: {self.weight}; '
            f'src: url({address}) format("woff2"); unicode-range: {self.range}; }}\n'
        )

    def draws(self, text: str) -> bool:
        """Whether some letter of a text is this face's."""
        return re.search(_letters(self.range), text) is not None


@cache
def _letters(unicode_range: str) -> re.Pattern[str]:
    parts = (part.removeprefix("U+").split("-") for part in unicode_range.split(", "))
    return re.compile("[" + "".join("-".join(f"\\U{int(end, 16):08x}" for end in ends) for ends in parts) + "]")


@cache
def faces() -> tuple[Face, ...]:
    """All faces, those that every page needs first."""
    return tuple(Face(**face) for face in json.loads((FONTS / "faces.json").read_text(encoding="utf-8")))


def served_css(folder: str) -> str:
    """Rules for a server's pages: the browser fetches what a page shows.

    :param folder: the address of ``fonts/``, as the style sheet sees it, with its last slash.
    """
    return "".join(face.rule(folder + face.file) for face in faces())


def embedded_css(text: str) -> str:
    """Rules for a page in one file: the faces inside it, as data addresses, but only those that draw something.

    :param text: all that the page shows, as HTML or plain.
    """
    figured = 'class="fig"' in text
    return "".join(
        face.rule(_address(face.file)) for face in faces() if (figured if face.family == MOVES else face.draws(text))
    )


@cache
def _address(file: str) -> str:
    return f"data:font/woff2;base64,{base64.b64encode((FONTS / file).read_bytes()).decode()}"

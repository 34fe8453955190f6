"""The reader's weights for a language: three tables of log-odds in nats, fitted by ``bench/fit_reading.py``.

* ``playing``: a phrase is played on the board, rather than only mentioned;
* ``returning``: the trainer goes back before a phrase;
* ``target``: log-weight of a position to be the one gone back to.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from linewright.language.tables import ENGLISH, Language

#: Where a language's weights stand in its folder.
NAME = "reading/weights"
FILE = Path(__file__).parents[2] / "language" / ENGLISH.code / f"{NAME}.json"

Weights = dict[str, dict[str, float]]


@cache
def load(language: Language = ENGLISH) -> Weights:
    """The tables as they ship; a language without its own is read with English weights."""
    tables = language.table(NAME).values or ENGLISH.table(NAME).values
    return {name: dict(weights) for name, weights in tables.items()}


def write(tables: Weights) -> None:
    """Put new tables in their place (developers only, see ``bench/fit_reading.py``)."""
    FILE.write_text(json.dumps(tables, indent=1, sort_keys=True) + "\n", "utf-8")

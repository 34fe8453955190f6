"""The reader's weights: three tables of log-odds in nats, fitted by ``bench/fit_reading.py``.

* ``playing``: a phrase is played on the board, rather than only mentioned;
* ``returning``: the trainer goes back before a phrase;
* ``target``: log-weight of a position to be the one gone back to.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("weights.json")

Weights = dict[str, dict[str, float]]


@cache
def load() -> Weights:
    """The tables as they ship."""
    tables: Weights = json.loads(FILE.read_text("utf-8"))
    return tables


def write(tables: Weights) -> None:
    """Put new tables in their place (developers only, see ``bench/fit_reading.py``)."""
    FILE.write_text(json.dumps(tables, indent=1, sort_keys=True) + "\n", "utf-8")

"""What was true of a talk when it was last checked: a small JSON file beside the talk, or in the home folder."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput

#: The shape of the file; one of another shape is not used, nor written over.
VERSION: Final = 1
SUFFIX: Final = ".news"
#: Verdicts as files of earlier versions call them.
_RENAMED: Final = {"open": "undecided"}
#: Folder in the home folder for talks whose own folder can't be written to.
FOLDER: Final = "news"


@dataclass(frozen=True, slots=True)
class Known:
    """A position of the talk.

    :param replies: games by reply, in UCI.
    :param sign: the engine's sign, with its ``engine`` and ``nodes``; "" where there was no verdict.
    :param pawns: its score from White's side; None for a mate, and in files written before it was kept.
    """

    fen: str
    replies: Mapping[str, int]
    sign: str = ""
    engine: str = ""
    nodes: int = 0
    pawns: float | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """A finding as it was: kind, the talk's words, verdict, evidence, the game of a quote, and a fuller record of that
    game where the base has one ("": none)."""

    kind: str
    words: str
    verdict: str
    evidence: str
    game: str = ""
    fuller: str = ""


@dataclass(frozen=True, slots=True)
class Remembered:
    """All that was true.

    :param when: ISO date of the check.
    :param games: in the base; ``last`` the largest game number.
    :param positions: by position key, in hexadecimal.
    :param starter: they were counted in the starter table, not in a base of the user's.
    """

    when: str
    games: int
    last: int
    positions: Mapping[str, Known] = field(default_factory=dict)
    findings: tuple[Held, ...] = ()
    starter: bool = False


def place_of(talk: Path, home: Path) -> Path:
    """Beside the talk, where that folder can be written to."""
    beside = talk.with_name(talk.name + SUFFIX)
    if beside.exists() or os.access(talk.resolve().parent, os.W_OK):
        return beside
    digest = hashlib.sha256(str(talk.resolve()).encode()).hexdigest()[:16]
    return home / FOLDER / f"{talk.name}.{digest}.json"


def load(path: Path) -> Remembered | None:
    """What was remembered; None where nothing was yet.

    :raises UnusableInput: for a file that can't be read; it is left as it is.
    """
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        if found["version"] != VERSION:
            raise UnusableInput(f"{path} was written by another version of Linewright", "Move it away to start over.")
        return Remembered(
            str(found["when"]),
            int(found["games"]),
            int(found["last"]),
            {str(key): Known(**row) for key, row in found["positions"].items()},
            tuple(_held(row) for row in found["findings"]),
            bool(found.get("starter", False)),
        )
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise UnusableInput(f"{path} can't be read: {error}", "Move it away to start over.") from None


def _held(row: Mapping[str, str]) -> Held:
    return Held(**{**row, "verdict": _RENAMED.get(row["verdict"], row["verdict"])})


def save(path: Path, state: Remembered) -> None:
    """Write it whole or not at all."""
    document: dict[str, Any] = {
        "version": VERSION,
        "when": state.when,
        "games": state.games,
        "last": state.last,
        "starter": state.starter,
        "positions": {
            key: {
                "fen": k.fen,
                "replies": dict(k.replies),
                "sign": k.sign,
                "engine": k.engine,
                "nodes": k.nodes,
                "pawns": k.pawns,
            }
            for key, k in state.positions.items()
        },
        "findings": [
            {
                "kind": h.kind,
                "words": h.words,
                "verdict": h.verdict,
                "evidence": h.evidence,
                "game": h.game,
                "fuller": h.fuller,
            }
            for h in state.findings
        ],
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    write(path, (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode())

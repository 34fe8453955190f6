"""What the trainer doesn't want to hear of: by kind in the settings, or beside a sentence in the talk.

In the settings file ``[check] off = ["reply", "branch"]``; in the talk ``{stet}`` (let it stand, as proof-readers
write) for all findings of the sentence it stands in, ``{stet: frequency}`` or ``{stet: reply, branch}`` for some kinds.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linewright.claims.sentence.words import Sentence
from linewright.lesson.finding import TROUBLES, Finding, Kind
from linewright.support.errors import UnusableInput
from linewright.support.paths import SETTINGS_FILE, home
from linewright.talk.model import Talk

#: What may be switched off: troubles of reading are no opinion.
KINDS = tuple(kind for kind in Kind if kind not in TROUBLES)
_NAMES = {str(kind): kind for kind in KINDS}


@dataclass(frozen=True, slots=True)
class Stet:
    """Findings that the talk lets stand.

    :param first: index of the first word of the sentence.
    :param last: index after its last word.
    :param kinds: which kinds.
    """

    first: int
    last: int
    kinds: frozenset[Kind]

    def covers(self, finding: Finding) -> bool:
        """Whether the finding's words lie in the sentence."""
        return finding.kind in self.kinds and finding.said.first < self.last and finding.said.last > self.first


def load_off(path: Path | None = None) -> frozenset[Kind]:
    """The kinds that the settings file switches off (``home()/settings.toml`` unless named).

    :raises UnusableInput: for a file that can't be read, or a kind that doesn't exist.
    """
    file = path if path is not None else home() / SETTINGS_FILE
    try:
        table: Any = tomllib.loads(file.read_text(encoding="utf-8")).get("check", {})
    except FileNotFoundError:
        return frozenset()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise UnusableInput(f"the settings {file} can't be read: {error}", "Fix the file, or move it away.") from None
    known = f"[check] has off, a list of: {', '.join(_NAMES)}."
    if not isinstance(table, dict) or (strange := sorted(set(table) - {"off"})):
        what = f"[check] {strange[0]}" if isinstance(table, dict) else "check"
        raise UnusableInput(f"{file}: unknown setting {what}", known)
    off = table.get("off", [])
    if not isinstance(off, list) or not all(isinstance(name, str) and name in _NAMES for name in off):
        raise UnusableInput(f"{file}: [check] off = {off!r} is not a list of kinds", known)
    return frozenset(_NAMES[name] for name in off)


def stets(talk: Talk, sentences: Iterable[Sentence]) -> tuple[tuple[Stet, ...], tuple[str, ...]]:
    """The marks of a talk that let findings stand, and what is wrong with them: sentences for the user.

    A mark belongs to the sentence it stands in or right behind.
    """
    spans = [(s.tokens[0].first, s.tokens[-1].last) for s in sentences]
    found, notes = [], []
    for aside in talk.asides:
        if aside.name != "stet":
            continue
        names = [name for name in aside.value.replace(",", " ").lower().split() if name != "all"]
        place = f"{talk.source}:{aside.place.line}:{aside.place.column}"
        strange = [name for name in names if name not in _NAMES]
        if strange:
            notes.append(
                f"{place}: {{stet: {aside.value}}}: unknown kind “{strange[0]}”; it can be {', '.join(_NAMES)}"
            )
        kinds = frozenset(_NAMES[name] for name in names if name in _NAMES) if names else frozenset(KINDS)
        before = [span for span in spans if span[0] < aside.word]
        span = before[-1] if before else spans[0] if spans else None
        if span is not None:
            found.append(Stet(*span, kinds))
    return tuple(found), tuple(notes)

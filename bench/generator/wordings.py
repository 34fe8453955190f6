"""Wordings by kind, from the TOML files in ``wordings/``; half of each kind is held back for judging."""

from __future__ import annotations

import tomllib
from collections import defaultdict
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

HERE = Path(__file__).parent
#: One trainer uses only so many wordings of a kind (but says no remark twice until all have been said).
VOICE = 7
ONCE = ("chatter", "meta_start", "meta_end")


@cache
def load() -> dict[tuple[str, bool], tuple[str, ...]]:
    """Wordings by (kind, held)."""
    out: dict[tuple[str, bool], list[str]] = defaultdict(list)
    for path in sorted((HERE / "wordings").glob("*.toml")):
        for block in tomllib.loads(path.read_text(encoding="utf-8"))["kind"]:
            key = block["name"], block.get("held", False)
            out[key] += [line.strip() for line in block["say"].splitlines() if line.strip()]
    return {key: tuple(lines) for key, lines in out.items()}


@cache
def load_rates() -> dict[str, Any]:
    return tomllib.loads((HERE / "rates.toml").read_text(encoding="utf-8"))


@cache
def load_openings() -> list[dict[str, Any]]:
    return list(tomllib.loads((HERE / "openings.toml").read_text(encoding="utf-8"))["opening"])


class Voice:
    """The wordings that one invented trainer uses: a few of each kind, and rather some than others."""

    def __init__(self, rng: Random, held: bool) -> None:
        self.rng, self.held = rng, held
        self._own: dict[str, list[str]] = {}
        self._last: dict[str, str] = {}

    def say(self, kind: str) -> str:
        """One of this trainer's wordings of a kind, not the one used last."""
        if kind in ONCE:
            return self._once(kind)
        if kind not in self._own:
            every = list(load().get((kind, self.held), ()))
            if not every:
                raise KeyError(f"no wordings for {kind}, held = {self.held}")
            self.rng.shuffle(every)
            self._own[kind] = every[: VOICE if len(every) > VOICE else len(every)]
        own = [w for w in self._own[kind] if w != self._last.get(kind)] or self._own[kind]
        self._last[kind] = self.rng.choice(own)
        return self._last[kind]

    def _once(self, kind: str) -> str:
        if not self._own.get(kind):
            self._own[kind] = list(load()[kind, self.held])
            self.rng.shuffle(self._own[kind])
        return self._own[kind].pop()

    def knows(self, kind: str) -> bool:
        return (kind, self.held) in load()

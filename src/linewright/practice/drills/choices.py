"""Choosing among answers: the right one among wrong ones, in an order that gives nothing away and never changes."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

#: Answers to choose from.
OFFERED = 4


def chosen(right: str, wrong: Sequence[str], seed: str, offered: int = OFFERED) -> tuple[tuple[str, ...], int]:
    """The answers offered, and the index of the right one.

    :param wrong: candidates, at least one; those are taken that a hash of ``seed`` picks, so that the same drill looks
        the same on every machine.
    """
    others = sorted(dict.fromkeys(w for w in wrong if w != right), key=lambda text: _rank(seed, text))[: offered - 1]
    answers = sorted((right, *others), key=lambda text: _rank(f"{seed} order", text))
    return tuple(answers), answers.index(right)


def _rank(seed: str, text: str) -> bytes:
    return hashlib.sha256(f"{seed}\n{text}".encode()).digest()

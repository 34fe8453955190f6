"""Two people's changes to one text brought together word by word, as three-way merging does.

The method is that of diff3 (Khanna, Kunal, Pierce, "A Formal Investigation of Diff3", 2007), by the ``merge3``
library; words instead of lines, since a talk's paragraph is one line.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from merge3 import Merge3

_WORD = re.compile(r"\S+[^\S\n]*|\n+|[^\S\n]+")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a merged text.

    :param mine: my text of it; ``theirs`` the other one's; equal where the two don't clash.
    :param common: what both began with.
    """

    mine: str
    theirs: str
    common: str

    @property
    def clash(self) -> bool:
        """Both changed it, differently."""
        return self.mine != self.theirs


def merge(common: str, mine: str, theirs: str) -> tuple[Piece, ...]:
    """The pieces of the text with both changes in it; in order, clashes apart from what agrees.

    Where only one side changed something, that change is taken, and the piece holds it as both.
    """
    words = [_WORD.findall(text) for text in (common, mine, theirs)]
    pieces: list[Piece] = []
    for region in Merge3(words[0], words[1], words[2]).merge_regions():
        kind, *span = region
        if kind == "conflict":
            ends = iter(span)
            base, own, other = (_joined(side, next(ends), next(ends)) for side in words)
            pieces.append(Piece(own, other, base))
        else:
            side = words[{"unchanged": 0, "a": 1, "same": 1, "b": 2}[kind]]
            text = _joined(side, span[0], span[1])
            pieces.append(Piece(text, text, text))
    return tuple(pieces)


def merged(pieces: Sequence[Piece]) -> str | None:
    """The text of pieces that don't clash; None when some do."""
    return None if any(piece.clash for piece in pieces) else "".join(piece.mine for piece in pieces)


def _joined(words: Sequence[str], first: int, last: int) -> str:
    return "".join(words[first:last])

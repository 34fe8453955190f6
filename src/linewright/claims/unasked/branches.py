"""Branches that reach one position by different moves, where the talk doesn't say so."""

from __future__ import annotations

import re
from collections.abc import Iterator

from linewright.claims.model import Finding, Kind, Verdict
from linewright.claims.scene import position_key
from linewright.claims.unasked.scope import Scope

#: Words by which a trainer says that a position is known already.
_SAID_SO = re.compile(
    r"\b(?:transpos\w*|same position|move order|move orders|already|as before|again|seen|back in|reach)\b"
)
#: At most so many are shown.
FEW = 3


def unnoticed_transpositions(scope: Scope) -> Iterator[Finding]:
    """One finding for each branch that comes, by other moves, to a position which the talk has shown before, and says
    nothing of it in that sentence or the next; the first ``FEW``. A repetition along one line is no branch."""
    first: dict[str, int] = {}
    shown = 0
    for node in scope.nodes:
        key = position_key(node.fen)
        known = first.setdefault(key, node.id)
        parent = scope.nodes[node.parent] if node.parent is not None else None
        step = scope.step(node)
        if known == node.id or parent is None or step is None or known in scope.scene.walk.line(node.id):
            continue
        if first[position_key(parent.fen)] != parent.id:
            continue  # the two were together before this move already
        if scope.scene.unsure_moves((node.step or 0) + 1) or not step.said.words or _said_so(scope, step.said.last):
            continue
        text = f"after {scope.named(node)} the position has been shown before, by {scope.scene.line_text(known)}"
        yield Finding(Kind.BRANCH, Verdict.OPEN, step.said, node.fen, text, (node.step or 0) + 1)
        shown += 1
        if shown == FEW:
            return


def _said_so(scope: Scope, word: int) -> bool:
    sentences = scope.scene.sentences
    at = [i for i, s in enumerate(sentences) if s.tokens[0].first < word <= s.tokens[-1].last]
    return any(_SAID_SO.search(s.text) for s in sentences[max(0, at[0] - 1) : at[0] + 2]) if at else False

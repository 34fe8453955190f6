"""A return that is announced and not yet followed by a move: "back to e five", and the board goes there at once.

The reader counts a return as said when the next move is played from there; someone who dictates, or looks while they
type, wants to see it before.
"""

from __future__ import annotations

from linewright.lesson.walk import ReturnStep, Said, Walk
from linewright.reading.phrases.context import Context
from linewright.reading.search.returns import TreeNode, led_by, target_scores
from linewright.settle.word_candidates import TalkScan

#: Tokens after the last move in which a return is looked for: an announcement is short.
LONGEST = 24
#: Words that name the position that the lesson starts from.
_START = frozenset("start beginning".split())


def announced_return(walk: Walk, scan: TalkScan) -> ReturnStep | None:
    """The return that the words after the last move announce; None when they announce none, or say nowhere to."""
    if not walk.steps:
        return None
    context = scan.context
    last = walk.steps[-1].said.last
    since = next((i for i, word in enumerate(scan.words) if word >= last), len(scan.words))
    until = len(scan.words)
    if not 0 < until - since <= LONGEST or "announced" not in context.return_features(since, until):
        return None
    node = _target(walk, scan, since, until)
    if node is None or node == walk.steps[-1].node:
        return None
    first = max(since, context.sentence[until - 1])
    return ReturnStep(_said(walk, scan, first, until), walk.nodes[node].fen, node)


def _target(walk: Walk, scan: TalkScan, since: int, until: int) -> int | None:
    """The tree's node whose move the words name."""
    gap = scan.context.gap(since, until)
    if not gap.named:
        return 0 if _START & _words(scan.context, since, until) else None
    positions = scan.positions(walk)
    tree = tuple(
        TreeNode(position, -1 if node.parent is None else node.parent, node.uci)
        for position, node in zip(positions, walk.nodes, strict=True)
    )
    scores = target_scores(tree, walk.steps[-1].node, gap)
    named = [at for at in range(1, len(tree)) if any((p.to or p.castles) and led_by(tree, at, p) for p in gap.named)]
    return max(named, key=scores.__getitem__, default=None)


def _words(context: Context, since: int, until: int) -> set[str]:
    return {token.text for token in context.tokens[since:until]}


def _said(walk: Walk, scan: TalkScan, first: int, last: int) -> Said:
    talk = walk.talk
    one, two = scan.words[first], scan.words[last - 1] + 1
    words = talk.words
    return Said(one, two, talk.quote(one, two), words[one].start, words[two - 1].end, words[one].place)

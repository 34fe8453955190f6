"""Check a walk: every claim in its words, every unread place and every unsure move, as findings."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import chess

from linewright.claims.kinds import KINDS
from linewright.claims.model import Finding, Kind, Verdict
from linewright.claims.registry import AnyKind, Base, Facts, Found, Replies
from linewright.claims.ruling import Ruling, undecided
from linewright.claims.scene import Scene
from linewright.claims.words import Sentence
from linewright.engine.model import Verdict as EngineVerdict
from linewright.errors import UnusableInput
from linewright.lesson.walk import SURE, MoveStep, Walk, doubt
from linewright.talk.model import Unit

#: The engine's verdict on a position, or None where it has none.
Judge = Callable[[chess.Board], EngineVerdict | None]
#: Why a frequency claim stays open without games, and what to do.
NO_BASE = "no games base to count in; add games with “linewright base add FILE”"


def check_walk(walk: Walk, base: Base | None = None, judge: Judge | None = None) -> tuple[Finding, ...]:
    """The findings of a walk, by place.

    :param base: the games base that frequency claims are counted in; without one they stay open.
    :param judge: gives the engine's verdict on a position, for assessments; without one they stay open.
    """
    scene = Scene(walk)
    found = [*_unread(walk), *_unsure(walk)]
    for sentence in scene.sentences:
        for kind in KINDS:
            found += _claims(kind, sentence, scene, base, judge)
    return tuple(sorted(_without_doubles(found), key=lambda f: (f.said.first, f.said.last, f.kind)))


def _claims(
    kind: AnyKind, sentence: Sentence, scene: Scene, base: Base | None, judge: Judge | None
) -> Iterator[Finding]:
    for found in kind.find(sentence, scene):
        if found.mood.unreal:
            continue
        ruling = _softened(kind.decide(found.about, _facts(kind, found, scene, base, judge)), found, scene)
        said = scene.said(sentence, found.first, found.last)
        yield Finding(kind.kind, ruling.verdict, said, scene.fen(found.step), ruling.evidence, found.step)


def _facts(kind: AnyKind, found: Found[object], scene: Scene, base: Base | None, judge: Judge | None) -> Facts:
    board = scene.board(found.step)
    replies: Replies | None = None
    why = NO_BASE
    if kind.asks_base and base is not None:
        try:
            replies = base.replies(board)
        except UnusableInput as trouble:
            why = str(trouble)
    return Facts(
        board,
        replies,
        why,
        scene.times(found.step),
        tuple(scene.line_text(node) for node in scene.elsewhere(found.step)),
        scene.walk.talk.unit is Unit.SECONDS,
        judge(board) if judge is not None and kind.asks_engine else None,
    )


def _softened(ruling: Ruling, found: Found[object], scene: Scene) -> Ruling:
    """Not called false, but left open with the evidence: a claim hedged or told of the past, and a claim on a board
    that rests on moves read unsurely, where the reading may be at fault and not the trainer."""
    if ruling.verdict is not Verdict.FAILS:
        return ruling
    if found.mood.vague:
        return undecided(f"{ruling.evidence}; said with reserve")
    if unsure := scene.unsure_moves(found.step):
        return undecided(f"{ruling.evidence}; but the board rests on unsure moves: {', '.join(unsure)}")
    return ruling


def _unread(walk: Walk) -> Iterator[Finding]:
    for place in walk.unread:
        done = walk.step_at(place.said.first)
        fen = walk.nodes[walk.node_after(done)].fen
        yield Finding(Kind.UNREAD, Verdict.OPEN, place.said, fen, place.why, done)


def _unsure(walk: Walk) -> Iterator[Finding]:
    for index, step in enumerate(walk.steps):
        if step.sure >= SURE:
            continue
        if isinstance(step, MoveStep):
            yield Finding(Kind.UNSURE, Verdict.OPEN, step.said, step.before, doubt(step), index)
        elif step.said.first < step.said.last:
            evidence = f"read as going back to an earlier position ({_percent(step.sure)} sure)"
            yield Finding(Kind.UNSURE, Verdict.OPEN, step.said, step.to, evidence, index + 1)


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _without_doubles(found: list[Finding]) -> list[Finding]:
    """Of findings of one kind on the very same words, those with different evidence only."""
    seen: set[tuple[Kind, int, int, str]] = set()
    out = []
    for finding in found:
        key = (finding.kind, finding.said.first, finding.said.last, finding.evidence)
        if key not in seen:
            seen.add(key)
            out.append(finding)
    return out

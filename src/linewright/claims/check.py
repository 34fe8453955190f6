"""Check a walk: every claim in its words, every unread place and every unsure move, as findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import chess

from linewright.claims.claim_kind import AnyKind, Base, Facts, Found
from linewright.claims.counted_games import CountedGames
from linewright.claims.engine_questions import CLAIMED, Judge, Question, Verdicts
from linewright.claims.kinds import KINDS
from linewright.claims.reading_findings import ask_to_settle, find_unread, find_unsure
from linewright.claims.remarks.remark import remarks
from linewright.claims.rulings import Ruling
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.withdrawn import is_withdrawn
from linewright.claims.sentence.words import Sentence, without_asides
from linewright.claims.suppressions import stets
from linewright.claims.unasked import Unasked
from linewright.language.evidence import Evidence, why
from linewright.language.wordings import DEFAULT
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.path_chances import PathChances
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Walk
from linewright.talk.model import Unit

#: A sentence of at most so many words that makes one claim is shown whole beside it.
SHORT = 18

#: What is checked even in a heading: which game it quotes, and how that went.
_OF_GAMES = frozenset({Kind.QUOTE, Kind.FINISH})


@dataclass(frozen=True, slots=True)
class _Claim:
    """A claim found in a sentence, and the kind that decides it."""

    kind: AnyKind
    sentence: Sentence
    found: Found[object]


def check_walk(
    walk: Walk,
    base: Base | None = None,
    judge: Judge | None = None,
    off: frozenset[Kind] = frozenset(),
    language: str = DEFAULT,
) -> tuple[Finding, ...]:
    """The findings of a walk, by place.

    :param base: the games base that frequency claims are counted in; without one they stay undecided.
    :param judge: asked once for the engine's verdicts on all positions that matter; without one, claims that need
        it stay undecided.
    :param off: kinds that the trainer doesn't want to hear of; the talk's own ``{stet}`` marks are respected too.
    :param language: of the talk, as its folder in ``language/`` is named.
    """
    scene, games = Scene(walk, language), CountedGames(base)
    claims = tuple(_claims(scene, off if Kind.FINISH in off else off - {Kind.QUOTE}))  # a finish needs its quote
    unasked = Unasked(scene, games, off)
    verdicts = Verdicts.ask(judge, (*_questions(claims, scene), *unasked.questions()) if judge else ())
    found = [*find_unread(walk), *find_unsure(walk)]
    decided = (_decided(claim, scene, games, verdicts) for claim in claims)
    found += [finding for finding in decided if finding is not None]
    found += unasked.findings(verdicts, tuple(found))
    let, _ = stets(walk.talk, scene.sentences)
    wanted = (f for f in _without_doubles(found) if f.kind not in off)
    kept = [f for f in wanted if not any(stet.covers(f) for stet in let)]
    chances = PathChances(walk, scene.side, games.share)
    met = (replace(f, met=chances.of(walk.node_after(f.step))) for f in kept)
    return tuple(sorted(met, key=lambda f: (f.said.first, f.said.last, f.kind)))


def notes(walk: Walk) -> tuple[str, ...]:
    """What is wrong with the talk's marks for checking: sentences for the user."""
    return stets(walk.talk, Scene(walk).sentences)[1]


def _claims(scene: Scene, off: frozenset[Kind]) -> Iterator[_Claim]:
    """The claims of each sentence, and its remarks where no other kind has found anything, not even a wish.

    A heading names what comes after it: the board before says nothing of it, and only the games it quotes are looked
    up.
    """
    for sentence in scene.sentences:
        if _is_heading(sentence, scene):
            quoted = (claim for claim in _heard(_ruled, sentence, (), scene) if claim.kind.kind in _OF_GAMES)
            yield from (c for c in quoted if not c.found.mood.unreal and c.kind.kind not in off)
            continue
        shorter = tuple(without_asides(sentence))
        heard = list(_heard(_ruled, sentence, shorter, scene))
        claims = [claim for claim in heard if _is_meant(claim, scene)]
        short = _is_short(sentence, scene)
        if not (short and len(claims) == 1):
            others = _heard(remarks, sentence, shorter, scene)
            others = (remark for remark in others if _is_meant(remark, scene) and _has_begun(remark, scene))
            claims += [remark for remark in others if not any(_touch(remark, claim) for claim in heard)]
        if short and len(claims) == 1:
            (claim,) = claims
            claims = [_Claim(claim.kind, sentence, replace(claim.found, first=0, last=len(sentence.tokens)))]
        yield from (claim for claim in claims if claim.kind.kind not in off)


def _is_meant(claim: _Claim, scene: Scene) -> bool:
    """Whether something is claimed of the board as it is, and not taken back in the same breath."""
    found = claim.found
    return not found.mood.unreal and not is_withdrawn(scene, claim.sentence, found.first, found.last)


def _has_begun(claim: _Claim, scene: Scene) -> bool:
    """Whether a move has been played: before the first one, a talk greets and promises."""
    return scene.fen(claim.found.step) != chess.STARTING_FEN


def _is_heading(sentence: Sentence, scene: Scene) -> bool:
    return scene.walk.talk.words[sentence.tokens[0].first].heading > 0


def _is_short(sentence: Sentence, scene: Scene) -> bool:
    """Whether a sentence is best shown whole: short, and no move is said in it."""
    moves = any(scene.names_move(token.first) for token in sentence.tokens)
    return len(sentence.tokens) <= SHORT and not moves


def _ruled(sentence: Sentence, scene: Scene) -> Iterator[tuple[AnyKind, Found[object]]]:
    """What the kinds with rules of their own find."""
    return ((kind, found) for kind in KINDS for found in kind.find(sentence, scene))


def _heard(
    find: Callable[[Sentence, Scene], Iterable[tuple[AnyKind, Found[Any]]]],
    sentence: Sentence,
    shorter: tuple[tuple[Sentence, int], ...],
    scene: Scene,
) -> Iterator[_Claim]:
    """What is found in a sentence, and then what only shows when an aside is left out."""
    found = [_Claim(kind, sentence, claim) for kind, claim in find(sentence, scene)]
    yield from found
    for short, join in shorter:
        more = (_Claim(kind, short, claim) for kind, claim in find(short, scene) if claim.first < join < claim.last)
        yield from (claim for claim in more if not any(_same_words(claim, other) for other in found))


def _same_words(one: _Claim, other: _Claim) -> bool:
    """Whether two claims of one kind share words of the talk, in whichever form of the sentence they were found."""
    (low, high), (start, end) = _words(one), _words(other)
    return one.kind.kind is other.kind.kind and low < end and high > start


def _words(claim: _Claim) -> tuple[int, int]:
    tokens = claim.sentence.tokens
    return tokens[claim.found.first].first, tokens[claim.found.last - 1].last


def _touch(one: _Claim, other: _Claim) -> bool:
    """Whether two claims of a sentence share words, or are of the same kind."""
    (low, high), (start, end) = _words(one), _words(other)
    return one.kind.kind is other.kind.kind or (low < end and high > start)


def _questions(claims: tuple[_Claim, ...], scene: Scene) -> Iterator[Question]:
    """The positions that claims want judged; none on boards that have to be settled first."""
    for claim in claims:
        if scene.walk.unsettled_at(claim.found.step) is not None:
            continue
        board = scene.board(claim.found.step)
        if claim.kind.asks_engine:
            yield Question(board, CLAIMED)
        if claim.kind.also is not None:
            yield from (Question(other, CLAIMED) for other in claim.kind.also(claim.found.about, board))


def _decided(claim: _Claim, scene: Scene, games: CountedGames, verdicts: Verdicts) -> Finding | None:
    kind, found = claim.kind, claim.found
    decided = kind.decide(found.about, _facts(kind, found, scene, games, verdicts))
    if decided is None:
        return None
    waits_for = scene.walk.unsettled_at(found.step)
    if waits_for is None:
        ruling = _softened(decided, found, kind)
    else:
        ruling = replace(decided, verdict=Verdict.UNDECIDED, evidence=ask_to_settle(scene.walk, waits_for))
    said = scene.said(claim.sentence, found.first, found.last)
    return Finding(
        kind.kind,
        ruling.verdict,
        said,
        scene.fen(found.step),
        ruling.evidence,
        found.step,
        game=ruling.game,
        remark=kind.remark,
        waits_for=waits_for,
    )


def _facts(kind: AnyKind, found: Found[object], scene: Scene, games: CountedGames, verdicts: Verdicts) -> Facts:
    board = scene.board(found.step)
    replies = games.replies(board) if kind.asks_base else None
    return Facts(
        board,
        replies,
        games.why_none,
        scene.times(found.step),
        tuple(scene.line_text(node) for node in scene.elsewhere(found.step)),
        scene.walk.talk.unit is Unit.SECONDS,
        verdicts.of(board) if kind.asks_engine else None,
        verdicts.of,
        _last_move(scene, found.step),
        games.library,
        scene.moves(found.step),
        games.where,
    )


def _last_move(scene: Scene, steps: int) -> str:
    """The move that led to the board after ``steps`` steps, numbered."""
    node = scene.walk.nodes[scene.walk.node_after(steps)]
    return numbered(scene.walk.nodes[node.parent].fen, node.san) if node.parent is not None else ""


def _softened(ruling: Ruling, found: Found[object], kind: AnyKind) -> Ruling:
    """Left undecided with the evidence: a claim that is hedged or about the past is never called false, nor right by an
    engine's tenth of a pawn."""
    mood = found.mood
    by_a_tenth = ruling.verdict is Verdict.HOLDS and kind.kind is Kind.ASSESSMENT and mood.recalled
    if not (by_a_tenth or (ruling.verdict is Verdict.FAILS and mood.vague)):
        return ruling
    return replace(ruling, verdict=Verdict.UNDECIDED, evidence=why("terms.hedged", evidence=ruling.evidence))


def _without_doubles(found: list[Finding]) -> list[Finding]:
    """Of findings of one kind on the very same words, those with different evidence only."""
    seen: set[tuple[Kind, int, int, Evidence]] = set()
    out = []
    for finding in found:
        key = (finding.kind, finding.said.first, finding.said.last, finding.reason)
        if key not in seen:
            seen.add(key)
            out.append(finding)
    return out

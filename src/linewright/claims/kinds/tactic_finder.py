"""The finder of tactics: claims are vague where moves are named that aren't on the board yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import chess

from linewright.claims.claim_kind import About, Found
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.named_moves import mentions
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.lesson.walk import MoveStep


def tactic_finder(
    name: str, build: Callable[[Occurrence, bool], About | None], apart: bool = False
) -> Callable[[Sentence, Scene], Iterator[Found[About]]]:
    """The finder of a kind of tactics.

    :param name: of its wording, e.g. ``pinned``.
    :param build: makes the claim of an occurrence and of whether the words around deny it.
    :param apart: words that have made a claim are not looked at again.
    """

    return finder(name, lambda said: build(said, said.mood.negated), apart=apart, mood_of=mood_of_tactic)


def mood_of_tactic(said: Occurrence) -> Mood:
    """The mood of a claim of tactics: vague as well where moves are named before it that the walk hasn't played; then
    the words speak of a position a little ahead."""
    done = said.scene.walk.steps[said.step - 1].said.last if said.step else 0
    tokens, at = said.sentence.tokens, said.trigger[0]
    first = next((i for i in range(at) if tokens[i].first >= done), at)
    ahead = bool(mentions(tokens, first, at, said.scene.language))
    return replace(said.mood, vague=said.mood.vague or ahead)


def square_just_moved_to(scene: Scene, steps: int) -> chess.Square | None:
    """The square of the man that made the last move, None where the last step was none."""
    index = scene.last_move(steps)
    if index is None:
        return None
    step = scene.walk.steps[index]
    return chess.Move.from_uci(step.uci).to_square if isinstance(step, MoveStep) else None

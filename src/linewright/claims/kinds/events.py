"""What the finders of tactics ask of the walk around a claim: the last move, and moves named but not played."""

from __future__ import annotations

from dataclasses import replace

import chess

from linewright.claims.sentence.mood import Mood, mood
from linewright.claims.sentence.named_moves import mentions
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.lesson.walk import MoveStep


def just_moved(scene: Scene, steps: int) -> chess.Square | None:
    """The square of the man that made the last move, None where the last step was none."""
    index = scene.last_move(steps)
    if index is None:
        return None
    step = scene.walk.steps[index]
    return chess.Move.from_uci(step.uci).to_square if isinstance(step, MoveStep) else None


def mood_of(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int], steps: int) -> Mood:
    """The mood of a claim of tactics: vague as well where moves are named that the walk hasn't played."""
    said_as = mood(scene, sentence, clause, trigger)
    return replace(said_as, vague=said_as.vague or loose_moves(scene, sentence, trigger[0], steps))


def loose_moves(scene: Scene, sentence: Sentence, at: int, steps: int) -> bool:
    """Whether moves are named before token ``at`` of the sentence that the walk hasn't played: then the words speak
    of a position a little ahead."""
    done = scene.walk.steps[steps - 1].said.last if steps else 0
    first = next((i for i in range(at) if sentence.tokens[i].first >= done), at)
    return bool(mentions(sentence.tokens, first, at, scene.language))

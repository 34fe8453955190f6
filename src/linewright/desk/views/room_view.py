"""A script and a scene as the pages of a talk's room take them."""

from __future__ import annotations

from linewright.desk.messages.room import PartShown, SceneShown, ScriptShown, StopShown
from linewright.lesson.spoken import in_words
from linewright.lesson.walk import MoveStep
from linewright.stage.acts import DrawnMark
from linewright.stage.scene import StageScene, board_of, last_move, moves_shown
from linewright.stage.script import Script, name_shown, stop_label


def scene_shown(scene: StageScene, script: Script) -> SceneShown:
    """What stands on the stage."""
    walk, node = script.walk, script.node(scene.at)
    san = walk.nodes[node].san
    return SceneShown(
        scene.at,
        scene.aside is not None,
        board_of(scene, script).fen(),
        last_move(scene, script),
        tuple(DrawnMark(mark.shape, mark.squares) for mark in scene.marks),
        scene.side,
        scene.paused,
        moves_shown(scene, script),
        name_shown(walk, node),
        in_words(san) if san else "",
    )


def script_shown(script: Script, name: str) -> ScriptShown:
    """A script as the prompter takes it.

    :param name: of the talk in the folder.
    """
    stops = tuple(_stop_shown(script, index) for index in range(len(script.stops)))
    parts = tuple(PartShown(part.name, part.first, round(part.seconds, 1)) for part in script.parts)
    return ScriptShown(name, script.walk.title, round(script.rate), stops, parts)


def _stop_shown(script: Script, index: int) -> StopShown:
    stop, words = script.stops[index], script.walk.talk.words
    mine = words[stop.first : stop.last]
    text = "".join(
        ("" if not i else "\n\n" if word.paragraph != mine[i - 1].paragraph else " ") + word.text
        for i, word in enumerate(mine)
    )
    step = script.walk.steps[stop.state - 1] if stop.state else None
    repeats = index > 0 and script.stops[index - 1].state == stop.state
    own = max(0, min(step.said.last, stop.last) - stop.first) if step and not repeats else 0
    label, said = stop_label(script, index)
    return StopShown(
        label,
        said,
        text,
        len(mine),
        round(script.seconds[index], 2),
        step is not None and not isinstance(step, MoveStep),
        own,
        script.part_of(index),
        bool(mine) and stop.first > 0 and words[stop.first - 1].paragraph != mine[0].paragraph,
    )

"""What the film shows and when: its scenes, from a walk with times or from what stood on the stage. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from linewright.captions.subtitles import CaptionCue, ShownWords, captions_of, spaced
from linewright.lesson.walk import BoardMark, Walk
from linewright.publish.timing import mark_time


@dataclass(frozen=True, slots=True)
class FilmScene:
    """What the film shows at once.

    :param state: how many steps of the walk are done.
    :param marks: printer's marks on the board.
    :param caption: the words burnt in, ``""`` for none.
    :param aside: legal moves in UCI explored beside the walk, from its position.
    :param turned: the board is seen from the other side than the lesson's.
    """

    state: int
    marks: tuple[BoardMark, ...] = ()
    caption: str = ""
    aside: tuple[str, ...] = ()
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Shot:
    """A scene from ``start`` (seconds) up to the next one's."""

    start: float
    scene: FilmScene


@dataclass(frozen=True, slots=True)
class Staged:
    """What stood on the stage while a talk was given: the film shows that, with slips, asides and live marks.

    :param shots: in time's order, without captions; times may be negative (before the recording began).
    :param end: when the run ended, in seconds.
    """

    shots: tuple[Shot, ...]
    end: float


def shots(walk: Walk, cues: Sequence[CaptionCue] = (), staged: Staged | None = None) -> tuple[Shot, ...]:
    """The film's scenes in order, the first at 0, no two alike in a row.

    :param walk: with times; see :func:`linewright.publish.timing.timed`.
    :param cues: captions to burn in.
    :param staged: what stood on the stage, to be shown instead of the walk's steps and marks.
    """
    events: list[tuple[float, int, object]] = [(0.0, 0, 0)]
    if staged is not None:
        events += [(max(0.0, shot.start), 0, shot.scene) for shot in staged.shots]
    else:
        latest = 0.0
        for state, step in enumerate(walk.steps, 1):
            latest = max(latest, step.said.start)
            events.append((latest, 0, state))
        events += [(mark_time(walk, mark), 1, mark) for mark in walk.marks]
    for cue in cues:
        events += [(cue.end, 2, ""), (cue.start, 3, cue_text(cue))]
    found: list[Shot] = []
    scene = FilmScene(0)
    for start, kind, what in sorted(events, key=lambda event: event[:2]):
        scene = _changed(scene, kind, what)
        if found and found[-1].start == start:
            found.pop()
        if not found or found[-1].scene != scene:
            found.append(Shot(start, scene))
    return tuple(found)


def _changed(scene: FilmScene, kind: int, what: object) -> FilmScene:
    """The scene after an event: a step takes the marks away, a caption's end only its own words."""
    if isinstance(what, FilmScene):
        return replace(what, caption=scene.caption)
    if isinstance(what, int):
        return FilmScene(what, (), scene.caption)
    if isinstance(what, BoardMark):
        return FilmScene(scene.state, (*scene.marks, what), scene.caption)
    return replace(scene, caption=str(what))


def cue_text(cue: CaptionCue) -> str:
    """A caption's words on one line."""
    return " ".join("".join(f"{space}{piece.text}" for space, piece in spaced(line)) for line in cue.lines)


def said_cues(walk: Walk) -> tuple[CaptionCue, ...]:
    """The talk's own words as captions, for a talk without corrected ones."""
    words = walk.talk.words
    return tuple(
        CaptionCue(
            caption.start,
            caption.end,
            (
                tuple(
                    ShownWords(words[i].text, words[i].start, words[i].end) for i in range(caption.first, caption.last)
                ),
            ),
        )
        for caption in captions_of(walk.talk)
    )


def frame_shots(found: Sequence[Shot], seconds: float, rate: int) -> tuple[tuple[FilmScene, int], ...]:
    """The scenes with how many frames each is shown; those shorter than half a frame fall out.

    :param seconds: the film's length; it gets the nearest whole number of frames, at least one.
    :param rate: frames a second.
    """
    total = max(1, round(seconds * rate))
    starts = [min(round(shot.start * rate), total) for shot in found] + [total]
    return tuple((shot.scene, starts[i + 1] - starts[i]) for i, shot in enumerate(found) if starts[i + 1] > starts[i])

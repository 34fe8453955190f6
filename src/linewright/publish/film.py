"""The film: a board that follows the talk's times, its marks, and the current line in a strip below."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import resources
from itertools import chain
from typing import Any

import typst

from linewright.lesson.opening import name_opening, opening_at
from linewright.lesson.pgn import mark_words
from linewright.lesson.walk import BoardMark, ReturnStep, Walk
from linewright.publish.board_svg import PLATE, board_svg
from linewright.publish.book import Level, book
from linewright.publish.handout import fonts, printable
from linewright.publish.subtitles import Cue, Shown, captions_of, spaced
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.timing import mark_time

#: Width and height in pixels of the wide and of the upright film.
WIDE, TALL = (1920, 1080), (1080, 1920)
#: Half-moves of the current line that the strip shows, so that it stays on its line.
STRIP, STRIP_TALL = 14, 8
#: Pictures set in one run of the typesetter: a wide one takes 8 MB while it is drawn.
BATCH = 16


@dataclass(frozen=True, slots=True)
class Scene:
    """What the film shows at once.

    :param state: how many steps of the walk are done.
    :param marks: printer's marks on the board.
    :param caption: the words burnt in, ``""`` for none.
    """

    state: int
    marks: tuple[BoardMark, ...] = ()
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Shot:
    """A scene from ``start`` (seconds) up to the next one's."""

    start: float
    scene: Scene


def shots(walk: Walk, cues: Sequence[Cue] = ()) -> tuple[Shot, ...]:
    """The film's scenes in order, the first at 0, no two alike in a row.

    :param walk: with times; see :func:`linewright.publish.timing.timed`.
    :param cues: captions to burn in.
    """
    events: list[tuple[float, int, object]] = [(0.0, 0, 0)]
    latest = 0.0
    for state, step in enumerate(walk.steps, 1):
        latest = max(latest, step.said.start)
        events.append((latest, 0, state))
    events += [(mark_time(walk, mark), 1, mark) for mark in walk.marks]
    for cue in cues:
        events += [(cue.end, 2, ""), (cue.start, 3, cue_text(cue))]
    found: list[Shot] = []
    scene = Scene(0)
    for start, kind, what in sorted(events, key=lambda event: event[:2]):
        scene = _changed(scene, kind, what)
        if found and found[-1].start == start:
            found.pop()
        if not found or found[-1].scene != scene:
            found.append(Shot(start, scene))
    return tuple(found)


def _changed(scene: Scene, kind: int, what: object) -> Scene:
    """The scene after an event: a step takes the marks away, a caption's end only its own words."""
    if isinstance(what, int):
        return Scene(what, (), scene.caption)
    if isinstance(what, BoardMark):
        return Scene(scene.state, (*scene.marks, what), scene.caption)
    return Scene(scene.state, scene.marks, str(what))


def cue_text(cue: Cue) -> str:
    """A caption's words on one line."""
    return " ".join("".join(f"{space}{piece.text}" for space, piece in spaced(line)) for line in cue.lines)


def said_cues(walk: Walk) -> tuple[Cue, ...]:
    """The talk's own words as captions, for a talk that has none mended."""
    words = walk.talk.words
    return tuple(
        Cue(
            caption.start,
            caption.end,
            (tuple(Shown(words[i].text, words[i].start, words[i].end) for i in range(caption.first, caption.last)),),
        )
        for caption in captions_of(walk.talk)
    )


def frame_shots(found: Sequence[Shot], seconds: float, rate: int) -> tuple[tuple[Scene, int], ...]:
    """The scenes with how many frames each is shown; those shorter than half a frame fall out.

    :param seconds: the film's length; it gets the nearest whole number of frames, at least one.
    :param rate: frames a second.
    """
    total = max(1, round(seconds * rate))
    starts = [min(round(shot.start * rate), total) for shot in found] + [total]
    return tuple((shot.scene, starts[i + 1] - starts[i]) for i, shot in enumerate(found) if starts[i + 1] > starts[i])


def pictures(walk: Walk, scenes: Sequence[Scene], theme: Theme = PLAIN, tall: bool = False) -> Iterator[bytes]:
    """Each scene as a PNG of the film's size; the same scene gives the same picture."""
    setter = _Setter(walk, theme, tall)
    template = resources.files("linewright.publish").joinpath("film.typ").read_bytes()
    for first in range(0, len(scenes), BATCH):
        data = setter.data(scenes[first : first + BATCH])
        made = typst.compile(
            template,
            format="png",
            ppi=72,
            font_paths=fonts(),
            sys_inputs={"data": json.dumps(printable(data), ensure_ascii=False)},
        )
        yield from made if isinstance(made, list) else [made]


class _Setter:
    """Makes scenes into what ``film.typ`` sets."""

    def __init__(self, walk: Walk, theme: Theme, tall: bool) -> None:
        self.walk = walk
        self.theme = theme
        self.tall = tall
        self.names: list[str] = []
        for node in walk.nodes:
            opening = opening_at(node.fen)
            inherited = self.names[node.parent] if node.parent is not None else ""
            self.names.append(f"{opening.name} ({opening.eco})" if opening else inherited)
        self.labels: dict[int, str] = {}
        for section in book(walk, Level.CLUB):
            label = section.label or theme.label("main")
            self.labels |= {bit.node: label for bit in section.bits if bit.node not in self.labels}

    def data(self, scenes: Sequence[Scene]) -> dict[str, Any]:
        boards: dict[str, int] = {}
        pages = [self.page(scene, boards) for scene in scenes]
        width, height = TALL if self.tall else WIDE
        opening = self.walk.opening or name_opening(self.walk)
        return {
            "width": width,
            "height": height,
            "tall": self.tall,
            "ground": self.theme.ground,
            "ink": self.theme.ink,
            "accent": self.theme.accent,
            "lang": self.theme.language,
            "title": self.walk.title or (opening.name if opening else self.theme.label("lesson")),
            "trainer": self.theme.trainer,
            "boards": list(boards),
            "pages": pages,
        }

    def page(self, scene: Scene, boards: dict[str, int]) -> dict[str, Any]:
        node = self.walk.nodes[self.walk.node_after(scene.state)]
        svg = board_svg(node.fen, self.walk.side, scene.marks, node.uci, PLATE, self.theme.ink, fine=True)
        line = self.walk.line(node.id)
        step = self.walk.steps[scene.state - 1] if scene.state else None
        back = f"{self.theme.label('back_to')} " if isinstance(step, ReturnStep) and node.id else ""
        return {
            "board": boards.setdefault(svg, len(boards)),
            "move": back + self.move(node.id, True) if node.id else "",
            "turn": self.theme.to_move(node.fen),
            "name": self.names[node.id],
            "label": self.labels.get(node.id, ""),
            "line": self.strip(line),
            "marks": [mark_words(mark).strip("[]") for mark in scene.marks],
            "caption": scene.caption,
        }

    def strip(self, line: Sequence[int]) -> list[str]:
        shown = line[-(STRIP_TALL if self.tall else STRIP) :]
        moves = [self.move(node, index == 0) for index, node in enumerate(shown)]
        return list(chain(["…"] if len(shown) < len(line) else [], moves))

    def move(self, node: int, number: bool) -> str:
        row = self.walk.nodes[node]
        before = self.walk.nodes[row.parent or 0].fen
        return self.theme.move(before, row.san) if number or before.split()[1] == "w" else self.theme.san(row.san)

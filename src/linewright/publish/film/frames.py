"""The film: a board that follows the talk's times, its marks, and the current line in a strip below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any

import chess

from linewright.lesson.opening import lesson_opening, names_by_node, opening_at
from linewright.lesson.pgn import mark_words
from linewright.lesson.spoken import written
from linewright.lesson.walk import ReturnStep, Walk
from linewright.publish.film.shots import FilmScene
from linewright.publish.handout.book import Depth, book
from linewright.publish.html.board_svg import PLATE, board_svg
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.typesetter import set_pictures

#: Width and height in pixels of the wide and of the upright film.
WIDE, TALL = (1920, 1080), (1080, 1920)
#: Half-moves of the current line that the strip shows, so that it stays on its line.
STRIP, STRIP_TALL = 14, 8
#: Half-moves of an aside that the strip shows behind the line.
ASIDE = 4
#: Pictures set in one run of the typesetter: a wide one takes 8 MB while it is drawn.
BATCH = 16
#: Dots an inch at which a point of the template is a pixel (a point is 1/72 inch).
DOTS = 72


def pictures(walk: Walk, scenes: Sequence[FilmScene], theme: Theme = PLAIN, tall: bool = False) -> Iterator[bytes]:
    """Each scene as a PNG of the film's size; the same scene gives the same picture."""
    setter = _FrameSetter(walk, theme, tall)
    for first in range(0, len(scenes), BATCH):
        data = setter.data(scenes[first : first + BATCH])
        yield from set_pictures("linewright.publish.film", "film.typ", data, DOTS)


class _FrameSetter:
    """Makes scenes into what ``film.typ`` sets."""

    def __init__(self, walk: Walk, theme: Theme, tall: bool) -> None:
        self.walk = walk
        self.theme = theme
        self.tall = tall
        self.names = names_by_node(walk)
        self.labels: dict[int, str] = {}
        for section in book(walk, Depth.CLUB):
            label = section.label or theme.label("main")
            self.labels |= {bit.node: label for bit in section.bits if bit.node not in self.labels}

    def data(self, scenes: Sequence[FilmScene]) -> dict[str, Any]:
        boards: dict[str, int] = {}
        pages = [self.page(scene, boards) for scene in scenes]
        width, height = TALL if self.tall else WIDE
        opening = lesson_opening(self.walk)
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

    def page(self, scene: FilmScene, boards: dict[str, int]) -> dict[str, Any]:
        node = self.walk.nodes[self.walk.node_after(scene.state)]
        aside = written(node.fen, scene.aside)
        fen, last = node.fen, node.uci
        if aside:
            before, san = aside[-1]
            fen, last = _position_after(before, san), scene.aside[-1]
        svg = board_svg(fen, self.side(scene), scene.marks, last, PLATE, self.theme.ink, fine=True)
        step = self.walk.steps[scene.state - 1] if scene.state and not aside else None
        back = f"{self.theme.label('back_to')} " if isinstance(step, ReturnStep) and node.id else ""
        moved = self.theme.move(before, san) if aside else back + self.move(node.id) if node.id else ""
        opening = opening_at(fen) if aside else None
        return {
            "board": boards.setdefault(svg, len(boards)),
            "move": moved,
            "turn": self.theme.to_move(fen),
            "name": opening.text if opening else self.names[node.id],
            "label": self.labels.get(node.id, ""),
            "line": [*self.strip(self.walk.line(node.id)), *_bracketed(self.theme.moves(aside))],
            "marks": [mark_words(mark).strip("[]") for mark in scene.marks],
            "caption": scene.caption,
        }

    def side(self, scene: FilmScene) -> str:
        """Whose side is below."""
        if not scene.turned:
            return self.walk.side
        return "white" if self.walk.side == "black" else "black"

    def strip(self, line: Sequence[int]) -> list[str]:
        shown = line[-(STRIP_TALL if self.tall else STRIP) :]
        moves = self.theme.moves(self.walk.written(shown))
        return list(chain(["…"] if len(shown) < len(line) else [], moves))

    def move(self, node: int) -> str:
        return self.theme.move(self.walk.before(node), self.walk.nodes[node].san)


def _position_after(before: str, san: str) -> str:
    board = chess.Board(before)
    board.push_san(san)
    return board.fen()


def _bracketed(aside: Sequence[str]) -> list[str]:
    """An aside's last moves behind the line that it leaves, as books print a variation."""
    shown = ["…", *aside[-ASIDE:]] if len(aside) > ASIDE else list(aside)
    return [f"({shown[0]}", *shown[1:-1], f"{shown[-1]})"] if len(shown) > 1 else [f"({move})" for move in shown]

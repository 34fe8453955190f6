"""The hand-out: a PDF for paper, set by ``typst`` with its own serif and our figurines, both embedded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any

from linewright.lesson.finding import Finding
from linewright.lesson.opening import lesson_opening, opening_at
from linewright.lesson.spoken import move_number, nag_sign, written
from linewright.lesson.walk import MoveStep, Walk
from linewright.publish.games_shown import NO_EVIDENCE, GameEvidence, LineScore, ShownGame, heading
from linewright.publish.handout.book import Bit, Depth, Section, book, marks_at
from linewright.publish.handout.exercises import Exercise, exercises
from linewright.publish.handout.takeaways import plans, structure
from linewright.publish.html.board_svg import board_svg
from linewright.publish.html.markup import node_spoken
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.typesetter import set_pdf

#: Half-moves of a line that the summary table shows.
SHORT_FORM = 6
#: Diagrams of one line lie at least this many half-moves apart.
BOARDS_APART = 3
#: Characters of the title that fit beside the page's number.
RUNNING = 48


def handout_pdf(
    walk: Walk,
    findings: Sequence[Finding] = (),
    evidence: GameEvidence = NO_EVIDENCE,
    theme: Theme = PLAIN,
    level: Depth = Depth.CLUB,
) -> bytes:
    """The hand-out of a lesson as a tagged PDF; the same input gives the same bytes.

    :param evidence: scores, signs and model games for the sections of ``book(walk, level)``; what is unknown is
        left out.
    """
    return _set([handout_data(walk, findings, evidence, theme, level)])


def book_pdf(lessons: Sequence[dict[str, Any]], title: str, theme: Theme = PLAIN) -> bytes:
    """Several hand-outs (:func:`handout_data`) as the chapters of one book with a list of contents."""
    return _set(lessons, title or theme.label("lesson"), theme.label("contents"))


def _set(lessons: Sequence[dict[str, Any]], title: str = "", contents: str = "") -> bytes:
    return set_pdf("linewright.publish.handout", "handout.typ", typeset_data(lessons, title, contents))


def typeset_data(lessons: Sequence[dict[str, Any]], title: str = "", contents: str = "") -> dict[str, Any]:
    """What ``handout.typ`` sets: hand-outs (:func:`handout_data`), and a book's title and heading of contents."""
    return {"lessons": list(lessons), "book": title, "contents": contents}


def handout_data(
    walk: Walk,
    findings: Sequence[Finding] = (),
    evidence: GameEvidence = NO_EVIDENCE,
    theme: Theme = PLAIN,
    level: Depth = Depth.CLUB,
) -> dict[str, Any]:
    """What ``handout.typ`` sets, as JSON values: every text ready to print, every diagram drawn."""
    # PDF/UA asks for a title.
    title = " ".join(walk.title.split()) or theme.label("lesson")
    sections = book(walk, level)
    opening = lesson_opening(walk)
    words, shown = plans(walk, findings), structure(walk, sections, theme)
    asked = exercises(walk)
    setter = _Pages(walk, theme)
    side = "for_black" if walk.side == "black" else "for_white"
    return {
        "title": title,
        "running": title if len(title) <= RUNNING else title[: RUNNING - 1].rstrip() + "…",
        "trainer": theme.trainer,
        "mark": mark_data(theme),
        "byline": ". ".join(
            part
            for part in (
                theme.label(f"lesson_for_{walk.side}") if walk.side else "",
                f"{theme.label('by')} {theme.trainer}" if theme.trainer else "",
            )
            if part
        ),
        "opening": opening.name if opening else "",
        "eco": opening.eco if opening else "",
        "paper": theme.paper,
        "columns": theme.columns,
        "lang": theme.language,
        "accent": theme.accent,
        "labels": {
            key: theme.label(key)
            for key in (
                *("summary", "lines", "line", "moves", "games", "verdict", "whisker", "models"),
                *("remember", "exercises", "answers"),
            )
        },
        "for_side": f"{theme.label('score')} {theme.label(side)}",
        "summary": [setter.row(i, section, evidence) for i, section in enumerate(sections)],
        "whisker": any(evidence.scores),
        "sections": [setter.section(section) for section in sections],
        "legend": theme.label("marks") if walk.marks else "",
        "models": [setter.game(game) for game in evidence.models],
        "remember": {
            "words": [point.text for point in words],
            "structure": [point.text for point in shown],
            "board": setter.board(shown[0].node, sections[0]) if shown else None,
        },
        "exercises": [setter.exercise(number, e) for number, e in enumerate(asked, 1)],
        "answers": [setter.answer(number, e) for number, e in enumerate(asked, 1)],
    }


def mark_data(theme: Theme) -> dict[str, Any] | None:
    """The trainer's mark as the typesetter takes it."""
    if theme.mark is None:
        return None
    return {"format": theme.mark.suffix[1:].lower(), "data": list(theme.mark.read_bytes())}


class _Pages:
    """Sets sections, games and exercises as JSON values."""

    def __init__(self, walk: Walk, theme: Theme) -> None:
        self.walk = walk
        self.theme = theme
        self.signs = {s.node: nag_sign(s.nag) for s in walk.steps if isinstance(s, MoveStep) and s.nag is not None}
        self.shown: set[int] = set()

    def move(self, node: int, number: bool) -> str:
        (text,) = self.theme.moves(self.walk.written([node]), numbered=number)
        return text + self.signs.get(node, "")

    def run(self, nodes: Sequence[int]) -> list[str]:
        """Moves that follow each other."""
        return [self.move(node, index == 0) for index, node in enumerate(nodes)]

    def row(self, index: int, section: Section, evidence: GameEvidence) -> dict[str, Any]:
        """A row of the summary table."""
        score = evidence.scores[index] if evidence.scores else None
        nodes = [bit.node for bit in section.bits]
        short = nodes[:SHORT_FORM]
        more = " …" if len(nodes) > len(short) else ""
        counted = ""
        if score:
            figures = f"{score.score:.0%}".replace("%", " %")
            counted = f"{figures} ({100 * score.low:.0f}–{100 * score.high:.0f})"
        return {
            "label": section.label or self.theme.label("main"),
            "moves": " ".join(self.run(short)) + more,
            "games": self.counted(score) if score else "–" if evidence.scores else "",
            "low": score.low if score else None,
            "score": score.score if score else None,
            "high": score.high if score else None,
            "figures": counted,
            "sign": evidence.signs[index] if evidence.signs else "",
        }

    def counted(self, score: LineScore) -> str:
        """How many games a score rests on, and after which move they are counted."""
        return f"{score.games} {self.theme.label('after').lower()} {self.move(score.node, True)}"

    def section(self, section: Section) -> dict[str, Any]:
        """A line: its heading, which holds a sideline's first move, and its items."""
        first = section.bits[0].node
        opening = opening_at(self.walk.nodes[section.last].fen) or opening_at(self.walk.nodes[first].fen)
        named = f" – {opening.name}" if opening and section.label else ""
        heading_text = f"{section.label}  {self.move(first, True)}{named}" if section.label else ""
        items = [{"kind": "words", "text": section.opening}] if section.opening else []
        return {
            "label": section.label,
            "depth": section.depth,
            "heading": heading_text or self.theme.label("main"),
            "items": [*items, *self.items(section)],
        }

    def items(self, section: Section) -> Iterator[dict[str, Any]]:
        """Moves, words, references, brackets and diagrams in order; a sideline's first move is its heading."""
        last_board = -BOARDS_APART
        number = True
        for index, bit in enumerate(section.bits):
            if index or not section.label:
                yield {"kind": "move", "text": self.move(bit.node, number)}
            extra = list(chain(self.refs(bit), self.asides(bit)))
            if bit.comment:
                extra.insert(0, {"kind": "words", "text": bit.comment})
            wanted = self.wants_board(bit, section, last=index == len(section.bits) - 1)
            if wanted and index - last_board >= BOARDS_APART:
                extra.append({"kind": "board", **self.board(bit.node, section)})
                last_board = index
            yield from extra
            number = bool(extra) or (index == 0 and bool(section.label))

    def refs(self, bit: Bit) -> Iterator[dict[str, Any]]:
        """Where the lines are that branch off instead of a move."""
        see = self.theme.label("see")
        sides = [f"{self.move(node, True)}: {see} {label}" for label, node in bit.refs]
        if sides:
            yield {"kind": "refs", "text": f"({'; '.join(sides)})"}

    def asides(self, bit: Bit) -> Iterator[dict[str, Any]]:
        for aside in bit.asides:
            yield {"kind": "aside", "items": list(self.aside(aside))}

    def aside(self, bits: Sequence[Bit]) -> Iterator[dict[str, Any]]:
        number = True
        for bit in bits:
            yield {"kind": "move", "text": self.move(bit.node, number)}
            extra = list(self.asides(bit))
            if bit.comment:
                extra.insert(0, {"kind": "words", "text": bit.comment})
            yield from extra
            number = bool(extra)

    def wants_board(self, bit: Bit, section: Section, last: bool) -> bool:
        """A diagram stands at marked positions, where the main line forks, and where lines end; once each."""
        if bit.node in self.shown:
            return False
        fork = section.depth == 0 and len(self.walk.nodes[bit.node].children) > 1
        return bool(marks_at(self.walk, bit.node)) or fork or last

    def board(self, node: int, section: Section | None = None) -> dict[str, Any]:
        """A diagram with its caption, and its words for those who can't see it."""
        self.shown.add(node)
        row = self.walk.nodes[node]
        marks = marks_at(self.walk, node)
        after = f"{self.theme.label('after')} {self.move(node, True)}" if node else self.theme.label("start")
        return {
            "svg": board_svg(row.fen, self.walk.side, marks),
            "caption": after,
            "alt": f"{self.theme.label('position')}: {node_spoken(self.walk, node, self.theme)}. FEN {row.fen}",
        }

    def game(self, game: ShownGame) -> dict[str, Any]:
        """A model game from the lesson's position to its end."""
        moves = self.theme.moves(written(self.walk.nodes[game.node].fen, game.moves))
        return {
            "heading": heading(game.row),
            "after": f"{self.theme.label('after')} {self.move(game.node, True)}",
            "moves": moves if game.whole else [*moves, "…"],
            "result": game.row.result.replace("1/2", "½").replace("-", "–"),
        }

    def exercise(self, number: int, exercise: Exercise) -> dict[str, Any]:
        """A position to solve; its alt text must not give the answer away."""
        row = self.walk.nodes[exercise.node]
        last = self.move(exercise.node, True)
        asked = f"{number}. {self.theme.to_move(row.fen)}. {self.theme.label(exercise.task)}"
        if exercise.task == "punish":
            asked += f" ({last})"
        return {
            "svg": board_svg(row.fen, self.walk.side, last=row.uci if exercise.task == "punish" else ""),
            "caption": asked,
            "alt": f"{asked} FEN {row.fen}",
        }

    def answer(self, number: int, exercise: Exercise) -> dict[str, Any]:
        where = move_number(self.walk.nodes[exercise.node].fen).rstrip(".")
        path = self.walk.line(exercise.node)
        label = f"({self.theme.label('after')} {self.move(path[-1], True)})" if path else f"({where})"
        return {"number": str(number), "moves": self.run(exercise.answer), "where": label}

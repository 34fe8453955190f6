"""The course's first page: contents, the common map, ways between talks, and the index of openings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linewright.publish.course.course import (
    Branch,
    Lesson,
    LessonSpot,
    common_tree,
    meetings,
    opening_index,
    opening_named,
    state,
)
from linewright.publish.html.self_contained import environment, mark_address, style_maker
from linewright.publish.page.lesson_page import facts
from linewright.publish.theme import PLAIN, Theme


def course_page(lessons: Sequence[Lesson], title: str, theme: Theme = PLAIN) -> str:
    """The page as one HTML file beside the talks' pages; it needs no script."""
    setter = _CourseSetter(lessons, theme)
    return (
        environment()
        .get_template("course.html.j2")
        .render(
            title=title,
            theme=theme,
            L=theme.labels(),
            mark=mark_address(theme),
            style=style_maker(theme),
            talks=[
                {
                    "title": one.walk.title,
                    "page": f"{one.slug}.html",
                    "opening": opening_named(one.walk),
                    "facts": facts(one.walk, theme, one.day),
                }
                for one in lessons
            ],
            tree=[setter.branch(branch) for branch in common_tree(lessons)],
            meetings=[
                [(*setter.link(spot), setter.line(spot)) for spot in meeting.spots] for meeting in meetings(lessons)
            ],
            index=[
                {
                    "name": entry.name,
                    "eco": entry.eco,
                    "line": setter.line(entry.spots[0]),
                    "links": [setter.link(spot) for spot in entry.spots],
                }
                for entry in opening_index(lessons)
            ],
        )
    )


class _CourseSetter:
    def __init__(self, lessons: Sequence[Lesson], theme: Theme) -> None:
        self.lessons = lessons
        self.theme = theme

    def branch(self, branch: Branch) -> dict[str, Any]:
        return {
            "moves": " ".join(self.theme.moves(branch.moves)),
            "links": [self.link(spot) for spot in branch.spots],
            "branches": [self.branch(one) for one in branch.branches],
        }

    def link(self, spot: LessonSpot) -> tuple[int, str]:
        """A talk's number and where its page shows the position."""
        lesson = self.lessons[spot.lesson]
        at = state(lesson.walk.nodes[spot.node])
        return spot.lesson + 1, f"{lesson.slug}.html" + (f"#s{at}" if at else "")

    def line(self, spot: LessonSpot) -> str:
        """The moves that lead to a position."""
        walk = self.lessons[spot.lesson].walk
        return " ".join(self.theme.moves(walk.written(walk.line(spot.node)))) or self.theme.label("start")

"""Progress on a terminal: one bar for a command's whole work, with the time that is left."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from threading import Timer
from typing import Final

from rich.console import Console
from rich.progress import BarColumn, Progress, ProgressColumn, Task, TextColumn
from rich.text import Text

#: Seconds that work may take before a bar appears; what is done sooner needs none.
PATIENCE: Final = 0.7
#: Part of a stage after which its pace so far tells more than what the work usually takes.
TELLING: Final = 0.15
#: Columns of the bar itself, so that words and time fit beside it in 80.
WIDTH: Final = 30

#: Tells how far a stage is, 0-1.
Part = Callable[[float], None]


class Work:
    """A command's work in stages, each with the seconds that it usually takes, so that a bar can tell what is left.

    Stages are begun in any order, and may be left out; one that is begun ends the one before.
    """

    def __init__(self, stages: Sequence[tuple[str, float]], bar: Progress) -> None:
        self._later = dict(stages)
        self._done = self._usual = 0.0
        self._bar = bar
        self._task = bar.add_task(
            "", total=sum(self._later.values()) or None, part=0.0, usual=0.0, later=0.0, since=now()
        )

    def plan(self, stages: Sequence[tuple[str, float]]) -> None:
        """Plan the stages, where they are known only now."""
        self._later = dict(stages)

    def begin(self, name: str, usual: float | None = None, shown: str = "") -> Part:
        """Begin a stage; what comes back is called with the part of it that is done.

        :param usual: seconds that it takes, where that is known better than when the work was planned.
        :param shown: what the bar says; the stage's name unless given.
        """
        self._done += self._usual
        planned = self._later.pop(name, 0.0)
        self._usual = planned if usual is None else usual
        later = sum(self._later.values())
        total = self._done + self._usual + later
        self._bar.update(
            self._task,
            description=shown or name,
            total=total or None,
            completed=self._done,
            part=0.0,
            usual=self._usual,
            later=later,
            since=now(),
        )
        return self._show

    def _show(self, part: float) -> None:
        part = min(max(part, 0.0), 1.0)
        self._bar.update(self._task, completed=self._done + self._usual * part, part=part)


class _Left(ProgressColumn):
    """The time left, or the time taken where nothing is known of that."""

    def render(self, task: Task) -> Text:
        if not task.total:
            return Text(spoken(task.elapsed or 0.0), "dim")
        fields = task.fields
        seconds = time_left(now() - fields["since"], fields["part"], fields["usual"], fields["later"])
        return Text("a moment" if seconds is None else f"about {spoken(seconds)} left", "dim")


def time_left(spent: float, part: float, usual: float, later: float) -> float | None:
    """Seconds until all stages are done: of this one by its pace once that tells more than what is usual.

    :param spent: seconds in this stage so far; ``part`` of it (0-1) is done, and ``usual`` seconds is what it takes.
    :param later: seconds that the stages after it usually take.
    :return: None where it is under a second, or longer than expected already: no promise is better than a false one.
    """
    own = spent * (1 - part) / part if part >= TELLING else usual - spent
    left = max(own, 0.0) + later
    return left if left >= 1 else None


def now() -> float:
    """Seconds on a clock that never goes back."""
    return time.monotonic()


def spoken(seconds: float) -> str:
    """Seconds as people say them: ``8 s``, ``3 min``, ``1 h 20 min``."""
    if seconds < 100:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"


@contextmanager
def working(*stages: tuple[str, float]) -> Iterator[Work]:
    """A bar on standard error where that is a terminal, and nowhere else; it goes when the work is done.

    :param stages: names, and the seconds that each usually takes on two cores; none where nothing is known of that.
    """
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(bar_width=WIDTH), _Left())
    bar = Progress(*columns, console=console, transient=True, redirect_stdout=False, disable=not console.is_terminal)
    timer = Timer(PATIENCE, bar.start)
    timer.daemon = True
    if console.is_terminal:
        timer.start()
    try:
        yield Work(stages, bar)
    finally:
        timer.cancel()
        if timer.is_alive():
            timer.join()
        bar.stop()

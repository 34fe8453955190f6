"""How the workflow reports while it works: remarks as sentences, progress by named stages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Protocol

#: Seconds that steps usually take on two cores, for the time left that a bar shows: a talk of seven minutes, the base
#: of 167,000 games. Measured once; a bar corrects itself by the pace it sees.
READING, CHECKING = 2.5, 1.0

#: Hears a remark for the user: one sentence or two, without the program's name.
Note = Callable[[str], None]
#: Hears how far a stage is, 0-1.
PartDone = Callable[[float], None]


class Stages(Protocol):
    """Whoever shows how far the work is: a terminal's bar, a page's, nobody."""

    def plan(self, stages: Sequence[tuple[str, float]]) -> None:
        """The stages still to come, each with the seconds that it usually takes."""

    def begin(self, name: str, usual: float | None = None, shown: str = "") -> PartDone:
        """Begin a stage, which ends the one before.

        :param usual: seconds, where they are known better than when the work was planned.
        :param shown: what is shown; the stage's name unless given.
        :return: called with the part of the stage that is done.
        """


class Unwatched:
    """Progress that nobody looks at."""

    def plan(self, stages: Sequence[tuple[str, float]]) -> None:
        pass

    def begin(self, name: str, usual: float | None = None, shown: str = "") -> PartDone:
        return ignore


def ignore(_: object) -> None:
    """Hears a remark or a part, and does nothing with it."""


#: For callers that show no progress.
UNWATCHED: Final = Unwatched()


def first_part(progress: PartDone, share: float) -> PartDone:
    """Progress of the first step of a stage.

    :param share: the step's share of the stage, 0-1.
    """
    return lambda part: progress(part * share)

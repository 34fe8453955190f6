"""How fast a trainer speaks, learned from the recordings and runs that lie beside a talk."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Final

from linewright.lesson.walk import Walk
from linewright.stage.rehearsal import learned_rate, pace_of_run, pace_of_talk
from linewright.stage.runs import read_run, runs_of
from linewright.stage.script import script_of
from linewright.support.errors import UnusableInput
from linewright.talk.load import load_talk

#: Earlier recordings and runs that the speaking rate is learned from: the newest say most.
MOST_EARLIER: Final = 30


def rate_beside(talk: Path, walk: Walk) -> float:
    """The speaking rate learned from recorded talks beside a talk and from its own runs; words a minute."""
    recorded = sorted(
        (path for path in talk.parent.iterdir() if path.suffix.lower() in (".vtt", ".srt")),
        key=lambda path: path.stat().st_mtime,
    )
    paces = []
    for path in recorded[-MOST_EARLIER:]:
        with suppress(UnusableInput, OSError):
            paces.append(pace_of_talk(load_talk(path)))
    script = script_of(walk)
    for path in runs_of(talk)[-MOST_EARLIER:]:
        with suppress(UnusableInput):
            run = read_run(path)
            if run.stops == len(script.stops):
                paces.append(pace_of_run(script, run))
    return learned_rate(pace for pace in paces if pace is not None)

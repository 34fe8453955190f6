"""The recogniser of a running desk: one, in a process of its own, loaded when someone first dictates."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from linewright.desk.processes.worker_process import WorkerProcess
from linewright.desk.views.phrases import Samples
from linewright.games.api import open_games
from linewright.hear.models import model_folder
from linewright.hear.priming import about as about_opening
from linewright.hear.priming import prompt
from linewright.hear.whisper import Whisper
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra


class Ear:
    """Hears phrases. Use it in the event loop's thread.

    :param model: the speech model as named on the command line; None for the settings' or the one in Linewright's
        folder.
    :param base: the games base, for the names and moves of an opening.
    """

    def __init__(self, model: str | None, base: Path) -> None:
        self._model, self._base = model, base
        self._process = WorkerProcess("the recogniser stopped", "Begin to dictate again.")

    def usable(self) -> bool:
        """The extra is installed and there is a speech model; nothing is loaded to find out."""
        try:
            extra("faster_whisper", "hear")
            model_folder(self._model)
        except UnusableInput:
            return False
        return True

    async def ready(self, about: str) -> None:
        """Load the model, and what it is given about the opening, so that the first phrase needn't wait.

        :raises UnusableInput: without extra or model.
        """
        await self._process.run(partial(_prepare, self._model or "", self._base, about))

    async def phrase(self, samples: Samples) -> str:
        """What was said; ``""`` for what is no speech."""
        return str(await self._process.run(partial(_phrase, samples)))

    def end(self) -> None:
        """Let the process go."""
        self._process.end()


# -- in the recogniser's process ---------------------------------------------------------------------------------

_whisper: Whisper | None = None
_primed: tuple[str, str] = ("", "")


def _prepare(model: str, base: Path, about: str) -> None:
    global _whisper, _primed
    if _whisper is None:
        _whisper = Whisper(model_folder(model or None))
    if not _primed[1] or _primed[0] != about:
        _primed = (about, _prompt(base, about))


def _prompt(base: Path, about: str) -> str:
    """What the recogniser is given beforehand; an opening that the catalogue doesn't know is left out."""
    if not about:
        return prompt()
    try:
        with open_games(base) as games:
            return prompt(about_opening(about, games))
    except UnusableInput:
        return prompt()


def _phrase(samples: Samples) -> str:
    assert _whisper is not None
    return _whisper.phrase(samples, _primed[1])

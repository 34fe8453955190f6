"""The desk's long jobs, each run in a process of its own by :mod:`linewright.desk.processes.jobs`."""

from __future__ import annotations

import signal
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from linewright.captions.corrected import correct_captions
from linewright.claims.check import check_walk
from linewright.claims.engine_judge import judging, remembering
from linewright.claims.model import Verdict
from linewright.claims.suppressions import load_off
from linewright.desk.processes.jobs import Tell
from linewright.engine.remembered_signs import remembered_signs
from linewright.games.api import open_games
from linewright.hear.caption_files import check_targets
from linewright.hear.job import transcribe
from linewright.hear.models import model_folder
from linewright.hear.priming import about as about_opening
from linewright.hear.priming import prompt
from linewright.hear.recording import check_recording, clock, load_sound
from linewright.hear.whisper import Whisper
from linewright.publish.build import build
from linewright.publish.outputs import ALL, Order, OutputPart
from linewright.publish.theme import PLAIN, THEME_FILE, Theme, load_theme
from linewright.reading.reader import read_talk
from linewright.settle.answers_file import load_answers
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.talk.load import SUFFIXES, load_talk, load_text
from linewright.talk.model import Unit


def build_lesson(
    tell: Tell, talk: Path, out: Path, base: Path, verdicts: Path, themes: Path, recording: Path | None, film: bool
) -> dict[str, Any]:
    """Make a talk's lesson.

    :param out: the lesson's folder.
    :param themes: a theme file that counts where none lies by the talk.
    :raises UnusableInput: when the talk tells no move, or the folder holds what isn't Linewright's.
    """
    if film:
        extra("av", "film")
    with ExitStack() as stack:
        games = open_games(base)
        stack.callback(games.close)
        signs = stack.enter_context(remembered_signs(verdicts))
        tell(0.05, "reading the talk")
        told = load_talk(talk)
        walk = read_talk(told, games, answers=load_answers(talk, told).answers)
        if not walk.moves:
            raise UnusableInput(f"{talk.name}: no move can be read off this talk", "Say moves as in “knight f3”.")
        tell(0.3, "checking what is said")
        judge = stack.enter_context(remembering(verdicts))
        found = check_walk(walk, games, judge, load_off())
        timed = told.unit is Unit.SECONDS
        captions = correct_captions(walk, games, None) if timed else None
        tell(0.4, "making page, hand-out and PGN")
        order = Order(
            ALL | {OutputPart.FILM} if film else ALL,
            _theme(talk, themes),
            games,
            signs,
            captions=captions,
            doubts=False,
            recording=recording if timed else None,
            progress=lambda part: tell(0.5 + part / 2, "filming the board"),
        )
        out.parent.mkdir(parents=True, exist_ok=True)
        made = build(walk, found, out, order=order)
    fails = sum(f.verdict is Verdict.FAILS for f in found)
    return {"files": [path.name for path in made], "fails": fails, "words": f"{len(made)} files made"}


def check_with_engine(
    tell: Tell, name: str, text: str, path: Path, base: Path, verdicts: Path, engine: Path | None
) -> dict[str, Any]:
    """Have the engine judge what a text's claims and moves hang on; its verdicts are remembered, and pages find them.

    :param name: the talk's, for messages to the user.
    :param text: the talk as a page holds it, saved or not; :attr:`path` says where its answers lie.
    :param engine: the UCI engine's program; None for the settings' or the first one found.
    :raises UnusableInput: without an engine.
    """
    # Stopped from outside, the engine is still closed; its verdicts so far are remembered.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    troubles: list[str] = []
    with ExitStack() as stack:
        games = open_games(base)
        stack.callback(games.close)
        tell(0.02, "reading the talk")
        told = load_text(text, SUFFIXES.get(path.suffix.lower()), name)
        walk = read_talk(told, games, answers=load_answers(path, told).answers)
        tell(0.1, "starting the engine")

        def judged(done: int, total: int) -> None:
            tell(0.1 + 0.9 * done / total, f"{done} of {total} positions judged")

        judge = stack.enter_context(judging(engine, verdicts, None, troubles.append, judged))
        if judge is None:
            raise UnusableInput(" ".join(troubles), "On Debian: apt install stockfish.")
        found = check_walk(walk, games, judge, load_off())
    counts = [(sum(f.verdict is verdict for f in found), str(verdict)) for verdict in Verdict]
    words = ", ".join(f"{count} {verdict}" for count, verdict in counts)
    return {"words": "; ".join([f"findings: {words}", *troubles])}


def _theme(talk: Path, themes: Path) -> Theme:
    for path in (talk.parent / THEME_FILE, themes):
        if path.is_file():
            return load_theme(path)
    return PLAIN


def hear_recording(
    tell: Tell, recording: Path, captions: Path, about: str, base: Path, model: str | None
) -> dict[str, Any]:
    """Write a recording down as captions, and the words beside them.

    :param about: the opening that the talk is about, ``""`` when nobody said.
    :raises UnusableInput: when it can't be heard, or captions are there that Linewright did not write.
    """
    check_recording(recording)
    check_targets(captions, recording, False)
    told = prompt()
    if about:
        with open_games(base) as games:
            told = prompt(about_opening(about, games))
    folder = model_folder(model)
    sound = load_sound(recording, lambda done, total: tell(0.1 * done / (total or done or 1.0), "opening"))
    tell(0.1, "loading the speech model")
    recogniser = Whisper(folder)

    def heard(doing: str, done: float, total: float | None) -> None:
        tell(0.15 + 0.85 * done / (total or done or 1.0), f"{doing}: {clock(done)} of {clock(total or done)}")

    made = transcribe(sound, recogniser, told, recording, captions, progress=heard)
    return {"captions": made.captions.name, "words": f"{made.words:,} words in {made.cues:,} captions"}

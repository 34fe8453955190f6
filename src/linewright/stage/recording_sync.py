"""Lining up a recording made elsewhere with a run of the stage: by one clap, by its loudness, or by its words.

Each function gives an offset in seconds: a moment ``t`` of the run is the recording's moment ``t + offset``.
"""

from __future__ import annotations

from collections.abc import Callable
from difflib import SequenceMatcher
from typing import Final

import numpy as np
import numpy.typing as npt

from linewright.language.tokens import word_key
from linewright.stage.runs import Run
from linewright.support.errors import UnusableInput
from linewright.talk.model import Talk

Signal = npt.NDArray[np.float32] | npt.NDArray[np.float64]

#: Seconds of a frame in which a clap is looked for: its sound rises within a few milliseconds.
FRAME: Final = 0.002
#: Seconds before a clap whose loudness it must stand out from, and by how much (decibels of the frames' mean square).
QUIET, RISE = 0.1, 20.0
#: Seconds after which a clap has died away to this many decibels below its top: speech holds on longer.
GONE, FALL = 0.15, 12.0
#: Share of the recording's loudest frame that a clap reaches at least: it is among the loudest things there.
LOUD: Final = 0.25

#: Likeness (a correlation, 0-1) that two loudness curves need, and how far above the next best place: chance gives
#: less than 0.3 for half a minute of speech.
ALIKE, CLEAR = 0.4, 0.05
#: Seconds of loudness needed, and around the best place in which no other counts as another.
LEAST, AROUND = 20.0, 1.0
#: Seconds by which a stop's first word may miss what was heard, and still count for lining up by words.
NEAR: Final = 1.5


def clap_in(samples: Signal, rate: int) -> float:
    """When the first clap sounds, in seconds from the sound's beginning.

    A clap is a rise of :data:`RISE` dB above all of the :data:`QUIET` seconds before it, that falls by :data:`FALL`
    dB within :data:`GONE` seconds.

    :param samples: one channel, -1 to 1.
    :param rate: samples a second.
    :raises UnusableInput: when there is none.
    """
    size = max(1, round(FRAME * rate))
    count = len(samples) // size
    if count:
        frames = np.asarray(samples[: count * size], dtype=np.float64).reshape(count, size)
        power = np.mean(frames * frames, axis=1)
        floor = max(float(power.max()) * 1e-8, 1e-12)
        level = 10 * np.log10(power + floor)
        before, after = round(QUIET / FRAME), round(GONE / FRAME)
        least = 10 * np.log10(float(power.max()) * LOUD**2 + floor)
        for at in np.flatnonzero(level >= least):
            quiet = level[max(0, at - before) : at]
            if len(quiet) < before // 2 or level[at] - float(quiet.max()) < RISE:
                continue
            top = float(level[at : at + after // 4].max())
            gone = level[at + after : at + after + after // 4]
            if not len(gone) or top - float(gone.max()) >= FALL:
                return float(at * FRAME)
    raise UnusableInput(
        "no clap can be heard in the recording", "Clap once, near the microphone, at the moment you press K."
    )


def by_clap(run: Run, samples: Signal, rate: int) -> float:
    """The offset by the clap key and the first clap heard.

    :raises UnusableInput: when the run has no clap, or the recording none.
    """
    if run.clap is None:
        raise UnusableInput(f"{run.name} has no clap", "Press K and clap once after beginning a run.")
    return clap_in(samples, rate) - run.clap


def loudness_of(run: Run) -> tuple[Signal, float, float]:
    """The loudness noted in a run: values, seconds of each, and the run's moment of the first one's beginning."""
    batches = [entry for entry in run.entries if entry.do == "loud" and entry.values.get("level")]
    if not batches:
        return np.zeros(0), 0.0, 0.0
    every = float(batches[0].values.get("every", 0.05))
    values = np.concatenate([np.asarray(entry.values["level"], dtype=np.float64) for entry in batches])
    # A batch is sent when its last value is complete; the soonest message shows the clock best.
    seen, starts = 0, []
    for entry in batches:
        seen += len(entry.values["level"])
        starts.append(entry.t - seen * every)
    return values, every, min(starts)


def by_loudness(run: Run, samples: Signal, rate: int) -> float:
    """The offset at which the recording's loudness is most like that which the run noted.

    :raises UnusableInput: when the run noted too little, or no place is clearly the likest.
    """
    noted, every, begun = loudness_of(run)
    if len(noted) * every < LEAST:
        raise UnusableInput(
            f"{run.name} noted no loudness to line up by",
            "Press K and clap once, or note the loudness, in the next run.",
        )
    size = max(1, round(every * rate))
    count = len(samples) // size
    if count * every < LEAST:
        raise UnusableInput("the recording is too short to line up", "Give the whole recording.")
    frames = np.asarray(samples[: count * size], dtype=np.float64).reshape(count, size)
    heard = np.sqrt(np.mean(frames * frames, axis=1))
    likeness, lags = _likeness(_curve(noted), _curve(heard), round(LEAST / every))
    best = int(np.argmax(likeness))
    others = np.abs(lags - lags[best]) * every > AROUND
    second = float(likeness[others].max()) if others.any() else 0.0
    if likeness[best] < ALIKE or likeness[best] - second < CLEAR:
        raise UnusableInput(
            "the recording's sound can't be lined up with the run's",
            "Is it the recording of this run? A clap is surer.",
        )
    return float((lags[best] + _between(likeness, best)) * every - begun)


def _curve(level: Signal) -> Signal:
    """Loudness as it is heard: logarithmic, above the noise."""
    noise = max(float(np.quantile(level, 0.1)), 1e-4)
    return np.log10(np.asarray(level, dtype=np.float64) + noise)


def _likeness(a: Signal, b: Signal, least: int) -> tuple[Signal, npt.NDArray[np.int64]]:
    """Pearson's correlation of ``a`` laid upon ``b`` at each lag, 0 where they share fewer than ``least`` values."""
    size = 1 << (len(a) + len(b)).bit_length()

    def crossed(x: Signal, y: Signal) -> Signal:
        both = np.fft.irfft(np.fft.rfft(y, size) * np.conj(np.fft.rfft(x, size)), size)
        return np.concatenate([both[size - len(a) + 1 :], both[: len(b)]])

    a, b = a - a.mean(), b - b.mean()
    ones_a, ones_b = np.ones_like(a), np.ones_like(b)
    n = np.maximum(np.round(crossed(ones_a, ones_b)), 1)
    sum_a, sum_b = crossed(a, ones_b), crossed(ones_a, b)
    var_a = crossed(a * a, ones_b) - sum_a**2 / n
    var_b = crossed(ones_a, b * b) - sum_b**2 / n
    share = (crossed(a, b) - sum_a * sum_b / n) / np.sqrt(np.maximum(var_a * var_b, 1e-12))
    return np.where(n >= least, share, 0.0), np.arange(-len(a) + 1, len(b))


def _between(curve: Signal, at: int) -> float:
    """How far the top of a parabola through three values lies from the middle one, -0.5 to 0.5."""
    if not 0 < at < len(curve) - 1:
        return 0.0
    left, top, right = (float(value) for value in curve[at - 1 : at + 2])
    bend = left - 2 * top + right
    return 0.5 * (left - right) / bend if bend < 0 else 0.0


def by_words(planned: Talk, heard: Talk) -> float:
    """The offset by the words heard, from runs of words that both talks have; half of them lie nearer than a second.

    :param planned: the talk with the run's times.
    :param heard: the recording's words with its own.
    :raises UnusableInput: when they share too few words.
    """
    a, b = ([word_key(word.text) for word in talk.words] for talk in (planned, heard))
    blocks = SequenceMatcher(None, a, b, autojunk=False).get_matching_blocks()
    apart = [
        heard.words[block.b + k].start - planned.words[block.a + k].start
        for block in blocks
        if block.size >= 3
        for k in range(block.size)
    ]
    if len(apart) < 10:
        raise UnusableInput("the words heard are not this talk's", "Is it the recording of this run? A clap is surer.")
    middle = float(np.median(apart))
    near = [value for value in apart if abs(value - middle) <= NEAR]
    return float(np.mean(near))


def find_offset(run: Run, samples: Signal, rate: int, planned: Talk, heard: Talk | None = None) -> tuple[float, str]:
    """The offset by the surest way there is, and which that was: ``clap``, ``loudness`` or ``words``.

    :raises UnusableInput: when none gives one; it says why of each.
    """
    troubles: list[str] = []
    ways: list[tuple[str, Callable[[], float]]] = [
        ("clap", lambda: by_clap(run, samples, rate)),
        ("loudness", lambda: by_loudness(run, samples, rate)),
    ]
    if heard is not None:
        ways.append(("words", lambda: by_words(planned, heard)))
    for name, way in ways:
        try:
            return way(), name
        except UnusableInput as trouble:
            troubles.append(trouble.what)
    raise UnusableInput("; ".join(troubles), _TODO)


_TODO: Final = (
    "Say when the run starts in the recording with --run-at SECONDS, or write the recording down first "
    "(linewright hear RECORDING), so that its words line it up."
)

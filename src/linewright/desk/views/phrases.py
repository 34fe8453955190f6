"""Where a spoken phrase begins and ends in a stream of sound, by its loudness alone.

The noise of the room is followed all the time, so that a quiet microphone and a loud one do alike.
"""

from __future__ import annotations

from collections import deque
from typing import Final

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

#: Samples a second.
RATE: Final = 16_000
#: Samples looked at together: 20 ms, shorter than any vowel.
FRAME: Final = 320
#: Loudness over the room's, as a factor, above which someone speaks; and the least that counts at all (about
#: -50 dB of full scale).
OVER: Final = 3.0
LEAST: Final = 0.003
#: Milliseconds of quiet that end a phrase: between sentences trainers pause longer, between words shorter (common
#: practice: 200 to 500).
QUIET: Final = 240
#: Milliseconds that a sound must last to be a phrase (a word has some 200), and that are kept before its beginning.
SHORTEST: Final = 160
LEAD: Final = 240
#: Milliseconds after which a phrase is cut in any case.
LONGEST: Final = 14_000
#: How fast the room's noise is followed: down at once, up by this part for each frame.
RISE: Final = 0.002

_FRAME_MS: Final = 1000 * FRAME // RATE


class Phrases:
    """Cuts a stream of sound into phrases."""

    def __init__(self) -> None:
        self._rest = np.empty(0, dtype=np.float32)
        self._lead: deque[Samples] = deque(maxlen=LEAD // _FRAME_MS)
        self._held: list[Samples] = []
        self._loud = 0
        self._quiet = 0
        self._room = 0.01

    @property
    def speaking(self) -> bool:
        """A phrase is being said."""
        return bool(self._held)

    def take(self, samples: Samples) -> list[Samples]:
        """The phrases that end in these samples (mono, 16 kHz, -1 to 1), which go on where the last ones ended."""
        joined = np.concatenate([self._rest, samples])
        count = len(joined) // FRAME
        self._rest = joined[count * FRAME :]
        found = [self._frame(frame) for frame in joined[: count * FRAME].reshape(count, FRAME)]
        return [phrase for phrase in found if phrase is not None]

    def end(self) -> Samples | None:
        """The phrase that was being said when the sound ended, if it is one."""
        return self._done()

    def _frame(self, frame: Samples) -> Samples | None:
        loudness = float(np.sqrt(np.mean(np.square(frame, dtype=np.float64))))
        loud = loudness > max(LEAST, OVER * self._room)
        self._room = min(loudness, self._room) if not loud else self._room
        self._room = max(1e-5, self._room * (1.0 + RISE))
        if not self._held and not loud:
            self._lead.append(frame)
            return None
        if not self._held:
            self._held = [*self._lead]
            self._lead.clear()
        self._held.append(frame)
        self._loud += loud
        self._quiet = 0 if loud else self._quiet + 1
        if self._quiet * _FRAME_MS >= QUIET or len(self._held) * _FRAME_MS >= LONGEST:
            return self._done()
        return None

    def _done(self) -> Samples | None:
        held, loud = self._held, self._loud
        self._held, self._loud, self._quiet = [], 0, 0
        if loud * _FRAME_MS < SHORTEST:
            return None
        return np.concatenate(held)

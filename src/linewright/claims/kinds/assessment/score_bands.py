"""Degrees of standing better, each as a band of scores.

A degree has a band of scores, in pawns for the side spoken of, in which it holds; its leeway says by how much a
score may miss the band before the words are called false. The bands are the trade's signs (``engine/signs.py``);
what words go with which sign (``assessment.toml``) is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from linewright.engine.signs import CLEAR, SLIGHT, WINNING

#: Pawns by which a score may miss the band of the words before they are called false: trainers and engines differ
#: by so much over the same position, and a true claim called false is the worst error.
LEEWAY: Final = 0.4
#: For words of taste, which no score makes false.
ANY: Final = 1000.0
#: The score that a mate counts as, in pawns, and the open end of a band.
MATE: Final = 99.0


@dataclass(frozen=True, slots=True)
class Band:
    """The scores, in pawns for the side spoken of, that fit some words.

    :param low: least score at which they hold.
    :param high: greatest.
    :param leeway: a score further off than this makes them false; in between they stay undecided.
    """

    low: float
    high: float = MATE
    leeway: float = LEEWAY

    def off(self, score: float) -> float:
        """By how many pawns a score misses the band; 0 inside it."""
        return max(self.low - score, score - self.high, 0.0)

    def inside(self, score: float) -> float:
        """By how many pawns a score lies within the band; negative outside it."""
        return min(score - self.low, self.high - score)


#: Degree -> band. A side that is "fine" or has "compensation" is at most slightly worse; one that "holds" isn't lost.
BANDS: Final[dict[str, Band]] = {
    "slight": Band(0.0, CLEAR + LEEWAY),
    "better": Band(SLIGHT),
    "clear": Band(CLEAR),
    "winning": Band(WINNING),
    "level": Band(-SLIGHT, SLIGHT),
    "drawn": Band(-SLIGHT, SLIGHT, WINNING),
    "equalised": Band(-SLIGHT, CLEAR),
    "fine": Band(-LEEWAY),
    "holding": Band(-CLEAR, MATE, WINNING - CLEAR),
    "compensation": Band(-LEEWAY, MATE, CLEAR),
    "preferred": Band(0.0, MATE, ANY),
    "nothing": Band(-MATE, SLIGHT),
    "balanced": Band(-CLEAR, CLEAR, WINNING - CLEAR),
    "unclear": Band(ANY, ANY, 2 * ANY),
}
#: Degrees of the whole position, of neither side.
LEVEL: Final = frozenset({"level", "drawn", "unclear", "balanced"})

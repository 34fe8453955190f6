"""The bands of ratings by which the starter table's games are counted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

#: Bands of the two players' mean rating, by their lower ends; the first is open below, the last above.
BANDS: Final = (0, 2400, 2600)


def bands_meeting(low: int | None, high: int | None) -> tuple[int, ...]:
    """The places in :data:`BANDS` of those that a band of ratings meets; None: open."""
    ends = [*BANDS[1:], None]
    return tuple(
        place
        for place, (first, end) in enumerate(zip(BANDS, ends, strict=True))
        if (high is None or high >= first) and (low is None or end is None or low < end)
    )


def bands_in_words(bands: Sequence[int]) -> str:
    """Adjoining bands, for "games whose players average …"."""
    first = BANDS[bands[0]]
    end = None if bands[-1] + 1 == len(BANDS) else BANDS[bands[-1] + 1]
    if end is None:
        return f"{first} or more" if first else "any rating"
    return f"{first}–{end - 1}" if first else f"under {end}"

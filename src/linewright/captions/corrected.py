"""A timed talk's captions again, as they should read, with a list of every change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linewright.captions.edits import Edit, changes_text, edited, settled, summary
from linewright.captions.misheard_runs import Windows
from linewright.captions.move_spelling import move_edits
from linewright.captions.opening_spelling import opening_edits
from linewright.captions.player_spelling import NO_PLAYERS, Players, player_edits
from linewright.captions.square_spelling import spelling_edits
from linewright.captions.subtitles import CaptionCue, captions_of, subrip_text, webvtt_text
from linewright.captions.written_moves import Notation
from linewright.lesson.walk import Walk
from linewright.talk.model import Unit

__all__ = ["NO_PLAYERS", "CorrectedCaptions", "Notation", "Players", "correct_captions"]


@dataclass(frozen=True, slots=True)
class CorrectedCaptions:
    """Captions as they should read.

    :param webvtt: the WebVTT file's text.
    :param subrip: the SubRip file's text.
    :param changes: the list of changes, as text.
    :param summary: how many changes of each kind, in one line.
    :param edits: the changes themselves, in the talk's order.
    :param cues: the captions, for a film to burn in.
    """

    webvtt: str
    subrip: str
    changes: str
    summary: str
    edits: tuple[Edit, ...]
    cues: tuple[CaptionCue, ...] = ()

    @property
    def files(self) -> dict[str, str]:
        """The files' texts by what follows the lesson's name."""
        return {".vtt": self.webvtt, ".srt": self.subrip, ".captions-changes.txt": self.changes}


def correct_captions(
    walk: Walk, players: Players = NO_PLAYERS, notation: Notation | None = None
) -> CorrectedCaptions | None:
    """The captions of a timed talk, corrected; None for a typed talk, which has no times.

    :param players: whose names may be mentioned; without a base none are corrected.
    :param notation: write the moves; None to have them spoken properly.
    """
    talk = walk.talk
    if talk.unit is not Unit.SECONDS:
        return None
    cues = captions_of(talk)
    moves = settled(talk, cues, move_edits(walk, notation))
    windows = Windows(walk)
    named = (*player_edits(windows, walk, players), *opening_edits(windows, walk))
    names = settled(talk, cues, free(named, moves))
    respelled = free(tuple(spelling_edits(walk)), (*moves, *names))
    edits = settled(talk, cues, (*moves, *names, *respelled))
    cues_shown = edited(talk, cues, edits)
    return CorrectedCaptions(
        webvtt_text(cues_shown),
        subrip_text(cues_shown),
        changes_text(talk, edits),
        summary(edits),
        edits,
        tuple(cues_shown),
    )


def free(edits: Sequence[Edit], taken: Sequence[Edit]) -> tuple[Edit, ...]:
    """The edits that touch no word of those taken."""
    words = {index for edit in taken for index in range(edit.first, edit.last)}
    return tuple(edit for edit in edits if words.isdisjoint(range(edit.first, edit.last)))

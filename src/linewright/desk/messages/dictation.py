"""What a dictation's socket carries besides sound."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from linewright.desk.messages.to_manuscript import Trouble


@dataclass(frozen=True, slots=True)
class EndDictation:
    """The last sound was sent; what was said before is still heard."""

    do: Literal["end"] = field(default="end", init=False)


@dataclass(frozen=True, slots=True)
class DictationState:
    """The model is loaded (``ready``), or the last phrase was heard (``ended``)."""

    what: Literal["ready", "ended"]


@dataclass(frozen=True, slots=True)
class Speaking:
    """Whether someone speaks now."""

    what: Literal["speaking"] = field(default="speaking", init=False)
    now: bool


@dataclass(frozen=True, slots=True)
class PhraseHeard:
    """A phrase: its length in ``seconds``, and how long hearing it ``took`` after its end."""

    what: Literal["phrase"] = field(default="phrase", init=False)
    text: str
    seconds: float
    took: float


ToDictation = DictationState | Speaking | PhraseHeard | Trouble

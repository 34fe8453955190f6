"""What a dictation's socket carries besides sound."""

from __future__ import annotations

from typing import Literal

from linewright.desk.messages.to_manuscript import Trouble
from linewright.support.page_messages import FromPage, ToPage


class EndDictation(FromPage, tag="end"):
    """The last sound was sent; what was said before is still heard."""


class DictationState(ToPage):
    """The model is loaded (``ready``), or the last phrase was heard (``ended``)."""

    what: Literal["ready", "ended"]


class Speaking(ToPage, tag="speaking"):
    """Whether someone speaks now."""

    now: bool


class PhraseHeard(ToPage, tag="phrase"):
    """A phrase: its length in ``seconds``, and how long hearing it ``took`` after its end."""

    text: str
    seconds: float
    took: float


ToDictation = DictationState | Speaking | PhraseHeard | Trouble

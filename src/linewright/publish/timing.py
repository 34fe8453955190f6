"""Times for a typed talk, as if it were spoken at a stated rate: for silent films and their chapters."""

from __future__ import annotations

from dataclasses import replace

from linewright.captions.subtitles import SENTENCE_END
from linewright.lesson.walk import BoardMark, Said, Walk
from linewright.talk.model import Talk, Unit

#: Words a minute of a trainer who shows moves; talks to an audience run at 120 to 160 (common practice).
RATE = 140
#: Rates that anyone can follow, words a minute.
SLOWEST, FASTEST = 40, 400
#: Pauses in words of time: after a sentence, and between paragraphs.
SENTENCE_PAUSE, PARAGRAPH_PAUSE = 1.0, 2.5


def timed(walk: Walk, rate: float = RATE) -> Walk:
    """The walk with its words in seconds; one that has times already stays as it is.

    :param rate: words a minute, pauses not counted.
    :raises ValueError: when the rate is none that anyone speaks at.
    """
    if not SLOWEST <= rate <= FASTEST:
        raise ValueError(f"{rate} words a minute: between {SLOWEST} and {FASTEST}, please")
    if walk.talk.unit is Unit.SECONDS:
        return walk
    talk = spoken_talk(walk.talk, rate)
    return replace(
        walk,
        talk=talk,
        steps=tuple(replace(step, said=_said(talk, step.said)) for step in walk.steps),
        unread=tuple(replace(unread, said=_said(talk, unread.said)) for unread in walk.unread),
    )


def spoken_talk(talk: Talk, rate: float) -> Talk:
    """A typed talk with times: long words take longer, sentences and paragraphs end in a pause."""
    beat = 60 / rate
    mean = sum(len(word.text) for word in talk.words) / len(talk.words) if talk.words else 1.0
    words, now = [], 0.0
    for index, word in enumerate(talk.words):
        if index and word.paragraph != talk.words[index - 1].paragraph:
            now += PARAGRAPH_PAUSE * beat
        elif index and SENTENCE_END.search(talk.words[index - 1].text):
            now += SENTENCE_PAUSE * beat
        # Half the time is the word's, half its letters'.
        long = beat * (0.5 + 0.5 * len(word.text) / mean)
        words.append(replace(word, start=round(now, 3), end=round(now + long, 3)))
        now += long
    return replace(talk, unit=Unit.SECONDS, words=tuple(words))


def _said(talk: Talk, said: Said) -> Said:
    if not talk.words:
        return replace(said, start=0.0, end=0.0)
    at = talk.words[min(said.first, len(talk.words) - 1)]
    last = talk.words[said.last - 1] if said.last > said.first else None
    start = at.start if said.first < len(talk.words) else at.end
    return replace(said, start=start, end=last.end if last else start)


def length(walk: Walk) -> float:
    """Seconds from the talk's beginning to its last word's or caption's end; 0 for a talk without times."""
    if walk.talk.unit is not Unit.SECONDS:
        return 0.0
    ends = [word.end for word in walk.talk.words[-1:]] + [caption.end for caption in walk.talk.captions[-1:]]
    return max(ends, default=0.0)


def minutes(walk: Walk) -> int:
    """Whole minutes that a talk takes, at least one; a typed one as if it were spoken at :data:`RATE`."""
    return max(1, round(length(timed(walk)) / 60))


def mark_time(walk: Walk, mark: BoardMark) -> float:
    """When a mark appears, in seconds: with the word that it stands before."""
    places = [(word.place.line, word.place.column) for word in walk.talk.words]
    after = [i for i, place in enumerate(places) if place >= (mark.place.line, mark.place.column)]
    return walk.talk.words[after[0]].start if after else length(walk)

"""Chapters of a recording: where the talk turns to another line, with names that say which."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from linewright.captions.subtitles import escaped, stamp
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.opening import lesson_opening
from linewright.lesson.walk import MoveStep, ReturnStep, Walk
from linewright.publish.games_shown import surname
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.timing import length
from linewright.talk.model import Unit

#: Seconds that chapters lie apart at least, and the last one lasts: shorter ones can't be hit on a player's bar
#: (common practice of video sites).
APART = 10.0
#: Seconds of words after the last move that make a chapter of their own.
CLOSING = 25.0
#: Characters of a name; more does not fit on a player's bar.
NAME = 60

#: How much a chapter's place matters where two lie too near each other; of sidelines the one that branches first.
MAIN, MODEL, SIDELINE, BACK, END = 5, 4, 3, 2, 1


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter from ``start`` up to the next one.

    :param start: seconds.
    """

    start: float
    name: str


def chapters(walk: Walk, findings: Sequence[Finding] = (), theme: Theme = PLAIN) -> tuple[Chapter, ...]:
    """The chapters of a timed talk, the first at 0; () for a talk without times or words.

    :param findings: quoted games among them name chapters; those that fail don't.
    """
    if walk.talk.unit is not Unit.SECONDS or not walk.talk.words:
        return ()
    end = length(walk)
    plain = replace(theme, pieces="letters")
    ranked = sorted(_candidates(walk, findings, plain), key=lambda pair: (-pair[0], pair[1].start))
    first = Chapter(0.0, theme.label("introduction"))
    chosen: list[Chapter] = []
    for weight, chapter in ranked:
        if chapter.start < APART:
            # Too soon for an introduction: the main line's name stands for the beginning.
            first = Chapter(0.0, chapter.name) if weight == MAIN else first
        elif end - chapter.start >= APART and all(abs(chapter.start - c.start) >= APART for c in chosen):
            chosen.append(chapter)
    return (first, *sorted(chosen, key=lambda chapter: chapter.start))


def _candidates(walk: Walk, findings: Sequence[Finding], theme: Theme) -> Iterator[tuple[float, Chapter]]:
    """Every place where a chapter could begin, with its weight."""
    opening = lesson_opening(walk)
    first = next(iter(walk.moves), None)
    if first is not None:
        named = opening.text if opening else theme.move(first.before, first.san)
        yield MAIN, Chapter(first.said.start, clipped(f"{theme.label('main')}: {named}"))
    for index, step in enumerate(walk.steps[:-1]):
        following = walk.steps[index + 1]
        if not isinstance(step, ReturnStep) or not isinstance(following, MoveStep):
            continue
        start = step.said.start if step.said.words else following.said.start
        siblings = walk.nodes[following.parent].children
        shown = theme.move(following.before, following.san)
        new = walk.nodes[following.node].step == index + 1
        if new and len(siblings) > 1:
            yield (
                SIDELINE + 1 / (2 + walk.nodes[following.parent].ply),
                Chapter(start, f"{theme.label('sideline')}: {shown}"),
            )
        else:
            yield BACK, Chapter(start, f"{theme.label('back_to')} {shown}")
    for finding in quoted(findings):
        yield MODEL, Chapter(finding.said.start, clipped(f"{theme.label('model')}: {game_name(finding)}"))
    if walk.moves:
        last = max(move.said.end for move in walk.moves)
        if length(walk) - last >= CLOSING:
            yield END, Chapter(last, theme.label("closing"))


def quoted(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The games that the talk quotes, each once, unless they fail.

    Other findings of that kind speak of people, not of a game.
    """
    found: dict[object, Finding] = {}
    for finding in findings:
        if finding.kind is not Kind.QUOTE or finding.verdict is Verdict.FAILS:
            continue
        if finding.game is not None:
            found.setdefault(finding.game.id, finding)
        elif _PLAYERS.search(_words(finding)):
            found.setdefault(_words(finding), finding)
    return tuple(found.values())


_PLAYERS = re.compile(
    r"([A-Z][\w’'-]+)(?: (?:against|versus|vs\.?|beat|defeated|lost to|drew with)|\s*[–-])\s*([A-Z][\w’'-]+)"
)


def _words(finding: Finding) -> str:
    return " ".join(finding.said.words.split()).strip(" .,;:")


def game_name(finding: Finding) -> str:
    """Who played: as the base's game says it, else as the talk does: "That was Botvinnik against Spielmann" is
    "Botvinnik – Spielmann"."""
    if (game := finding.game) is not None:
        names = f"{surname(game.white)} – {surname(game.black)}"
        return names + (f", {game.year}" if game.year else "")
    words = _words(finding)
    players = _PLAYERS.search(words)
    year = re.search(r"\b1[89]\d\d\b|\b20\d\d\b", words)
    if not players:
        return words
    return f"{players[1]} – {players[2]}" + (f", {year[0]}" if year else "")


def clipped(name: str) -> str:
    """A name that fits, cut at a word."""
    name = " ".join(name.split())
    return name if len(name) <= NAME else name[: NAME - 1].rsplit(" ", 1)[0].rstrip(",;:–") + "…"


def chapters_webvtt(found: Sequence[Chapter], end: float) -> str:
    """The chapters as a WebVTT file of chapter titles (W3C WebVTT, 4.6 "WebVTT file using chapter title text").

    :param end: the recording's length in seconds.
    """
    blocks = ["WEBVTT\n"]
    for index, chapter in enumerate(found):
        following = found[index + 1].start if index + 1 < len(found) else max(end, chapter.start + APART)
        times = f"{stamp(round(chapter.start * 1000), '.')} --> {stamp(round(following * 1000), '.')}"
        blocks.append(f"{times}\n{escaped(chapter.name)}\n")
    return "\n".join(blocks)


def clock(seconds: float) -> str:
    """``0:00``, ``12:05``, ``1:02:03``: whole seconds as players' descriptions take them."""
    minutes, second = divmod(int(seconds), 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour}:{minute:02}:{second:02}" if hour else f"{minute}:{second:02}"

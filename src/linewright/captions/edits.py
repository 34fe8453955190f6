"""Edits of captions: which heard words are shown as which, and why."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from linewright.captions.subtitles import SENTENCE_END, CaptionCue, ShownWords
from linewright.language.tokens import KEPT, WordParts, take_apart
from linewright.talk.model import Caption, Talk
from linewright.talk.places import at


class CorrectionKind(StrEnum):
    """What a change corrects; in the order in which a summary counts them."""

    MOVE = "move"
    OPENING = "opening"
    PLAYER = "player"
    SPELLING = "spelling"


@dataclass(frozen=True, slots=True)
class Edit:
    """Words of the talk and what is shown in their place.

    :param first: index of the first heard word.
    :param last: index after the last.
    :param text: what is shown, with the punctuation around it; words separated by single spaces.
    :param kind: what it corrects.
    :param why: the reason, for the list of changes.
    """

    first: int
    last: int
    text: str
    kind: CorrectionKind
    why: str


def part(text: str) -> WordParts:
    """Take a word apart."""
    found = take_apart(text)
    if not found.core:
        return WordParts(text, "", "")
    core = found.core.rstrip(KEPT)
    return WordParts(found.before, core, found.core[len(core) :] + found.after)


def opens_sentence(talk: Talk, index: int) -> bool:
    """A sentence begins with the word."""
    return index == 0 or bool(SENTENCE_END.search(talk.words[index - 1].text))


def dressed(talk: Talk, first: int, last: int, core: str, *, lower: bool = False) -> str:
    """A corrected core in the punctuation of the words it stands for, with a capital where a sentence begins.

    :param lower: never give it a capital (squares, written moves).
    """
    before = part(talk.words[first].text).before
    after = part(talk.words[last - 1].text).after
    if not lower and opens_sentence(talk, first) and not re.match(r"[a-h][1-8]\b", core):
        core = core[:1].upper() + core[1:]
    return before + core + after


def settled(talk: Talk, cues: Sequence[Caption], edits: Iterable[Edit]) -> tuple[Edit, ...]:
    """The edits in order, without those that change nothing, overlap an earlier one, or would leave a cue
    or a line with nothing to show; where words stand for as many others, they are changed one by one then."""
    out: list[Edit] = []
    lines = line_bounds(cues)
    done = 0
    for edit in sorted(edits, key=lambda e: (e.first, -e.last)):
        heard = talk.words[edit.first : edit.last]
        if edit.first < done or edit.text == " ".join(word.text for word in heard):
            continue
        whole = sum(edit.first <= first and last <= edit.last for first, last in lines)
        touched = sum(edit.first < last and first < edit.last for first, last in lines)
        if whole > 1 or (touched > 1 and len(edited(talk, cues, [*out, edit])) < len(cues)):
            out += _word_by_word(talk, edit)
        else:
            out.append(edit)
        done = edit.last
    return tuple(out)


def _word_by_word(talk: Talk, edit: Edit) -> list[Edit]:
    """The edit's words one for one; none where their number changes."""
    words = edit.text.split()
    if len(words) != edit.last - edit.first:
        return []
    pairs = enumerate(words, edit.first)
    return [replace(edit, first=i, last=i + 1, text=word) for i, word in pairs if word != talk.words[i].text]


def edited(talk: Talk, cues: Sequence[Caption], edits: Sequence[Edit]) -> tuple[CaptionCue, ...]:
    """The captions with the edits made, cue times as they were.

    What stands for words of two lines or cues stands in the first, unless the second would be left empty.

    :param edits: as :func:`settled` gives them.
    """
    shown = _placed(talk, cues, edits)
    out = []
    for cue in cues:
        lines = tuple(tuple(shown[i] for i in range(first, last) if i in shown) for first, last in line_bounds([cue]))
        out.append(CaptionCue(cue.start, cue.end, tuple(line for line in lines if line)))
    return tuple(cue for cue in out if cue.lines)


def line_bounds(cues: Sequence[Caption]) -> list[tuple[int, int]]:
    """The first word of each line of all cues, and the index after its last."""
    return [bound for cue in cues for bound in pairwise((*cue.lines, cue.last))]


def _placed(talk: Talk, cues: Sequence[Caption], edits: Sequence[Edit]) -> dict[int, ShownWords]:
    """What is shown, by the index of the word at whose place it stands."""
    bounds = line_bounds(cues)
    stamped = {index for cue in cues for index in cue.stamped}
    covered = {i: edit for edit in edits for i in range(edit.first, edit.last)}
    out = {
        index: ShownWords(word.text, word.start, word.end, index in stamped)
        for index, word in enumerate(talk.words)
        if index not in covered
    }
    for edit in edits:
        place = edit.first
        for first, last in bounds:
            if edit.first < first and last <= edit.last:
                place = first
        words = talk.words[edit.first : edit.last]
        out[place] = ShownWords(edit.text, words[0].start, max(w.end for w in words), place in stamped)
    return out


def changes_text(talk: Talk, edits: Sequence[Edit]) -> str:
    """The list of changes, a line each: ``file:line:column: heard → corrected (why)``."""
    lines = [f"{talk.source}: {summary(edits)}"]
    for edit in edits:
        heard = " ".join(word.text for word in talk.words[edit.first : edit.last])
        place = at(talk.source, talk.words[edit.first].place)
        lines.append(f"{place}: {edit.kind}: {heard} -> {edit.text} ({edit.why})")
    return "\n".join(lines) + "\n"


def summary(edits: Sequence[Edit]) -> str:
    """How many changes of each kind, in one line."""
    if not edits:
        return "no changes to the captions"
    counts = Counter(edit.kind for edit in edits)
    words = {
        CorrectionKind.MOVE: ("move", "moves"),
        CorrectionKind.OPENING: ("opening's name", "openings' names"),
        CorrectionKind.PLAYER: ("player's name", "players' names"),
        CorrectionKind.SPELLING: ("square or piece only respelled", "squares and pieces only respelled"),
    }
    counted = [f"{counts[kind]} {words[kind][counts[kind] > 1]}" for kind in CorrectionKind if counts[kind]]
    return (
        f"{len(edits)} changes to the captions: {', '.join(counted)}" if len(edits) > 1 else f"1 change: {counted[0]}"
    )

"""Which words tell which move, when a trainer names the moves only."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from linewright.settle.places import SettledMove
from linewright.settle.questions import TrainerQuestion
from linewright.settle.word_candidates import TalkScan
from linewright.talk.model import Talk

#: How well some words suit a move: they are read so already; a phrase fits; they are the words in question, or
#: doubtful ones after them; a word shares something with it (square, file, rank, piece); a word shares nothing.
#: Sums of these are compared.
READ_SO, FITS, IN_QUESTION, DOUBTFUL, SHARES, STRANGE = 6.0, 5.0, 2.5, 0.5, 0.5, -1.0

_NAMES = {"N": "knight", "B": "bishop", "R": "rook", "Q": "queen", "K": "king", "O": "castle"}


def placed(
    talk: Talk, scan: TalkScan, question: TrainerQuestion, moves: Sequence[SettledMove], last: int
) -> list[tuple[int, int]] | None:
    """For each move its words, in order, among the question's words up to word ``last`` and those passed over
    before them; None when there are fewer words than moves.

    :param moves: each with the position it is played from.
    """
    first = min(question.since, question.first)
    slots = [_slots(talk, scan, question, move, first, last) for move in moves]
    best: list[dict[int, tuple[float, tuple[tuple[int, int], ...]]]] = [{} for _ in range(len(moves) + 1)]
    best[0] = dict.fromkeys(range(first, last + 1), (0.0, ()))
    for number, options in enumerate(slots):
        here, then = best[number], best[number + 1]
        for (start, end), score in options.items():
            if start in here:
                total = here[start][0] + score
                if end not in then or total > then[end][0]:
                    then[end] = total, (*here[start][1], (start, end))
        for word in range(first + 1, last + 1):  # what is reached at a word is reached at all later ones
            if word - 1 in then and (word not in then or then[word - 1][0] > then[word][0]):
                then[word] = then[word - 1]
    found = best[-1].get(last)
    return list(found[1]) if found is not None else None


def _slots(
    talk: Talk, scan: TalkScan, question: TrainerQuestion, move: SettledMove, first: int, last: int
) -> Mapping[tuple[int, int], float]:
    """Word ranges that may tell a move, with how well they suit it."""
    out: dict[tuple[int, int], float] = {}
    for index in range(first, last):
        out[index, index + 1] = STRANGE + _shared(talk.words[index].text, move.san)
    for start, end, cost in scan.telling(move.san, move.before, first, last):
        out[start, end] = max(out.get((start, end), STRANGE), FITS - 0.1 * cost)
    for place in question.places:
        span = place.said.first, place.said.last
        if span[1] > last:
            continue
        least = IN_QUESTION if place is question.place else DOUBTFUL
        read = bool(place.moves) and place.moves[-1].san == move.san
        out[span] = READ_SO if read else max(out.get(span, STRANGE), least)
    return out


def _shared(word: str, san: str) -> float:
    """How much a word shares with a move."""
    text = word.lower()
    target = re.findall(r"[a-h][1-8]", san)
    score = 0.0
    if target and target[-1] in text:
        score += 2 * SHARES
    elif target and len(text) <= 3 and any(c in text for c in target[-1]):
        score += SHARES
    if _NAMES.get(san[0], "pawn") in text or ("x" in san and "take" in text):
        score += SHARES
    return score

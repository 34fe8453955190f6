"""A dictated phrase as it should read: what the recogniser misheard of its moves is corrected, as in captions."""

from __future__ import annotations

from linewright.captions.corrected import free
from linewright.captions.move_spelling import move_edits
from linewright.captions.square_spelling import spelling_edits
from linewright.desk.views.evidence import board_of
from linewright.publish.timing import RATE, spoken_talk
from linewright.reading.reader import read_talk
from linewright.reading.search.positions import MoveCounts
from linewright.talk.load import TalkFormat, load_text


def corrected_phrase(words: str, fen: str, base: MoveCounts | None = None) -> str:
    """The phrase with the words of surely read moves spoken properly and squares in lower case; else as it is.

    :param words: what was heard; several words are separated by single spaces in what comes back.
    :param fen: the position on the board when it was said.
    :raises UnusableInput: when the FEN holds no position.
    """
    if not words.strip():
        return words
    plain = words.replace("{", "(").replace("}", ")")  # a mark can't be dictated
    typed = load_text(f"{{start: {board_of(fen).fen()}}}\n\n{plain}", TalkFormat.TYPED)
    # With times, words are read as heard ones are: "be four" may be b4.
    walk = read_talk(spoken_talk(typed, RATE), base)
    moves = tuple(move_edits(walk, None))
    edits = sorted((*moves, *free(tuple(spelling_edits(walk)), moves)), key=lambda edit: edit.first)
    heard = [word.text for word in walk.talk.words]
    out, done = [], 0
    for edit in edits:
        if edit.first >= done:
            out += [*heard[done : edit.first], edit.text]
            done = edit.last
    return " ".join([*out, *heard[done:]]) if edits else words

"""Moves as a trainer types them into the dialogue: in notation or in words, with the position they are played from."""

from __future__ import annotations

import re
from collections.abc import Sequence

import chess

from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Walk
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.phrase_finder import PhraseFinder
from linewright.reading.search.positions import Atlas
from linewright.reading.words.tokens import tokens
from linewright.settle.places import SettledMove
from linewright.settle.session import CannotBe, MayBeTwo, Session
from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text

_NUMBER = re.compile(r"^\d+\.+")
_AFTER = re.compile(r"^(?:after|from)\s+([^:]+):\s*(.+)$", re.IGNORECASE)


def named(session: Session, text: str) -> tuple[SettledMove, ...]:
    """The moves that a typed line names: ``Nf3``, ``exd5 cxd5``, ``knight f3``, ``after 5...Nf6: Bg5``.

    :raises CannotBe: when they can't be understood or can't be played.
    """
    after = _AFTER.match(text.strip())
    if after:
        return _from(position_after(session.walk, after[1]), after[2])
    last: CannotBe | None = None
    for board in session.boards():
        try:
            return _from(board, text)
        except MayBeTwo:
            raise
        except CannotBe as error:
            last = last or error
    raise last or CannotBe(f"“{text}” names no move")


def position_after(walk: Walk, text: str) -> chess.Board:
    """The last position of the lesson after a move named like ``5...Nf6`` or ``Nf6``; ``start`` for the first one.

    :raises CannotBe: when no such move is said.
    """
    wanted = text.strip()
    if wanted.lower() == "start":
        return chess.Board(walk.start)
    for step in reversed(walk.moves):
        full = numbered(step.before, step.san)
        if wanted.rstrip("+#") in (full.rstrip("+#"), step.san.rstrip("+#")):
            return chess.Board(step.after)
    raise CannotBe(f"{wanted} is not in this lesson; name a move as in 5...Nf6, or start")


def _from(board: chess.Board, text: str) -> tuple[SettledMove, ...]:
    """The moves of a line played from a board: each word in notation, else all of it in words."""
    words = [w for w in (_NUMBER.sub("", word) for word in text.replace(",", " ").split()) if w.strip(".…")]
    return _in_notation(board, words) or _in_words(board, text)


def _in_notation(board: chess.Board, words: Sequence[str]) -> tuple[SettledMove, ...]:
    """The moves, or none when some word is no legal move in notation."""
    board = board.copy(stack=False)
    out = []
    for word in words:
        try:
            move = board.parse_san(word.replace("0", "O") if word.startswith("0-0") else word)
        except ValueError:
            return ()
        out.append(SettledMove(board.san(move), board.fen()))
        board.push(move)
    return tuple(out)


def _in_words(board: chess.Board, text: str) -> tuple[SettledMove, ...]:
    try:
        spoken = tokens(load_text(text, TalkFormat.TYPED, "answer"))
    except UnusableInput as error:
        raise CannotBe(f"“{text}” names no move: {error}") from None
    phrases = PhraseFinder(spoken, False).all()
    board = board.copy(stack=False)
    out: list[SettledMove] = []
    at = 0
    while at < len(spoken):
        found = _best(board, phrases[at])
        if found is None:
            at += 1
            continue
        move, at = found
        out.append(SettledMove(board.san(move), board.fen()))
        board.push(move)
    if not out:
        raise CannotBe(f"“{text}” names no move that can be played; write it as in Nf3, exd5, O-O")
    return tuple(out)


def _best(board: chess.Board, options: Sequence[Phrase]) -> tuple[chess.Move, int] | None:
    """The move that the longest fitting phrase names, and the token after it.

    :raises MayBeTwo: when it may be several moves.
    """
    position = Atlas(None).start(board)
    for phrase in options:
        matches = position.matches(phrase)
        least = min((m.cost for m in matches), default=0.0)
        moves = [m.legal.move for m in matches if m.cost <= least]
        if len(moves) > 1:
            either = " or ".join(sorted(board.san(m) for m in moves))
            raise MayBeTwo(f"that may be {either}; write the one you mean")
        if moves:
            return moves[0], phrase.last
    return None

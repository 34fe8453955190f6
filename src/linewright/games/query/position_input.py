"""The position that a question is about, from what the user wrote or a PGN."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Final

import chess
import chess.pgn

from linewright.games.ingest.headers import decode
from linewright.support.errors import UnusableInput

#: Move numbers (``1.``, ``3...``, also stuck to a move) and results, which are passed over.
_NUMBER: Final = re.compile(r"^\d+\.+")
_RESULTS: Final = ("1-0", "0-1", "1/2-1/2", "*")
_MARKS: Final = "!?"

_FEN_EXAMPLE: Final = f'Give six fields as in "{chess.STARTING_FEN}".'


def parse_position(fen: str | None, moves: str) -> chess.Board:
    """The position after ``moves`` (SAN or UCI, move numbers allowed) from ``fen``, else the start position.

    :raises UnusableInput: for a FEN that is none or shows an impossible position, and for a move that can't
        be read or played; the message quotes it.
    """
    board = _from_fen(fen) if fen is not None else chess.Board()
    for token in moves.split():
        text = _NUMBER.sub("", token).rstrip(_MARKS)
        if text and text not in _RESULTS and not text.isdigit():
            board.push(_move(board, text))
    return board


def _from_fen(fen: str) -> chess.Board:
    try:
        board = chess.Board(fen.strip())
    except ValueError as error:
        raise UnusableInput(f'"{fen}" is not a valid FEN: {error}', _FEN_EXAMPLE) from None
    status = board.status()
    if status != chess.Status.VALID:
        names = ", ".join(flag.lower().replace("_", " ") for flag in _names(status))
        raise UnusableInput(f'"{fen}" shows an impossible position: {names}', "Check the FEN.")
    return board


def _names(status: chess.Status) -> list[str]:
    return [flag.name or "" for flag in chess.Status if int(flag) & int(status)]


def _move(board: chess.Board, text: str) -> chess.Move:
    try:
        return board.parse_san(text)
    except ValueError as error:
        reason = "is ambiguous" if isinstance(error, chess.AmbiguousMoveError) else "can't be played"
    try:
        move = chess.Move.from_uci(text.lower())
    except ValueError:
        pass
    else:
        if board.is_legal(move):
            return move
    raise UnusableInput(
        f'the move "{text}" {reason} in {board.fen()}', "Write moves like: e4 e5 Nf3, or e2e4 e7e5 g1f3."
    )


def last_position(path: Path) -> chess.Board:
    """The position after the main line of the file's first game.

    :raises UnusableInput: where the file can't be read, holds no game, or its game has a move that can't be played.
    """
    try:
        text = decode(path.read_bytes())
    except OSError as error:
        raise UnusableInput(f"{path} can't be read: {error.strerror}", "Name a PGN file.") from None
    game = chess.pgn.read_game(io.StringIO(text.removeprefix("\ufeff")))
    if game is None:
        raise UnusableInput(f"{path} holds no game", "Name a PGN file with a game.")
    if game.errors:
        raise UnusableInput(f"{path}: its first game can't be played through: {game.errors[0]}", "Correct the game.")
    return game.end().board()

"""The last position of a PGN, to ask about."""

from __future__ import annotations

import io
from pathlib import Path

import chess
import chess.pgn

from linewright.games.ingest.headers import decode
from linewright.support.errors import UnusableInput


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

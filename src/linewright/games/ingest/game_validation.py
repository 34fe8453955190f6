"""From games cut out of PGN text to checked games ready to be stored.

Moves are read and checked for legality by the ``rust-pgn-reader-python-binding`` library, many games at a
time on all cores; everything it refuses is reported with the game's place and its reason.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import accumulate
from typing import Any, Final

import numpy as np
import rust_pgn_reader_python_binding as pgn_reader

from linewright.games.index.arrays import I64, U8, U16, U64
from linewright.games.index.lockstep import by_length
from linewright.games.ingest.columns import UNKNOWN, TableColumns
from linewright.games.ingest.splitting import LONGEST_GAME, Cut, Flaw
from linewright.games.ingest.tagging import read_tag_columns
from linewright.games.values import SkipKind, SkippedGame

#: The reader's word for a game's outcome, as White's half-points.
_OUTCOMES: Final = {"White": 2, "Draw": 1, "Black": 0}

_ERROR: Final = re.compile(r"(illegal move|failed to parse SAN) at ply (\d+): (.*?)(?: \((.*)\))?$", re.DOTALL)

#: Characters of a broken move that a message quotes.
_QUOTED: Final = 20

#: Half-moves that a game may have: the number fits the base's column and no played game comes near.
MOST_PLIES: Final = 5000


@dataclass(frozen=True, slots=True)
class ReadGames:
    """Sound games of one stretch of text, and what was left out of it.

    :param columns: the columns of the base's ``games`` that come from the tags, and ``result``; one row a game.
    :param lines: shape (games,): hash of the moves.
    :param prints: shape (games,): hash of moves, tidied names, date and result; equal for certain duplicates.
    :param plies: shape (games,).
    :param packed: shape (sum(plies),): the moves, game after game.
    :param skipped: in reading order.
    """

    columns: TableColumns
    lines: U64
    prints: U64
    plies: I64
    packed: U16
    skipped: tuple[SkippedGame, ...]

    def __len__(self) -> int:
        return len(self.plies)


#: What is left out of a main line, and what begins and ends a variation.
_LEFT_OUT: Final = re.compile(rb"\{[^}]*+\}?+|;[^\r\n]*+|(?<=[\r\n])%[^\r\n]*+|[()]")

#: Line ends and other control characters are blanks; only comments may hold more than ASCII: elsewhere ~ stands for
#: it, and is refused.
_PLAIN: Final = bytes(32 if byte < 32 else byte if byte < 127 else 126 for byte in range(256))


def main_line(text: bytes) -> bytes:
    """A movetext without comments, variations and escaped lines.

    What the compiled reader is given must hold nothing that it could take for a game's end but the game's own result:
    it would stop, without a word, at a blank line, and at a carriage return in a comment.
    """
    parts = []
    depth = at = 0
    for found in _LEFT_OUT.finditer(text):
        if depth == 0:
            parts.append(text[at : found.start()])
        at = found.end()
        if found[0] == b"(":
            depth += 1
        elif found[0] == b")":
            depth = max(depth - 1, 0)
    if depth == 0:
        parts.append(text[at:])
    return b" ".join(parts)


def _main_lines(data: bytes, starts: I64, ends: I64) -> list[str]:
    """The games' main lines, each closed by ``*``, which keeps the reader from passing over an empty one."""
    found = []
    plain = str(data.translate(_PLAIN), "ascii")
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        text = plain[start:end]
        if "{" in text or "(" in text or ")" in text or ";" in text or "%" in text:
            text = str(main_line(data[start:end]).translate(_PLAIN), "ascii")
        found.append(text + " *")
    return found


def move_hashes(packed: U16, plies: I64) -> U64:
    """A 64-bit hash of each game's moves (FNV-1a over 16-bit steps, closed by a mixing step), shape (games,).

    Source: Fowler, Noll, Vo, FNV-1a offset basis and prime; the closing mix is splitmix64's (from memory).
    """
    order, going = by_length(plies)
    at = (np.cumsum(plies) - plies)[order]
    mixed = np.full(len(plies), 0xCBF29CE484222325, dtype=np.uint64)
    for games in going:
        mixed[:games] = (mixed[:games] ^ packed.take(at[:games])) * np.uint64(0x100000001B3)
        at[:games] += 1
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    hashes = np.empty_like(mixed)
    hashes[order] = mixed ^ (mixed >> np.uint64(31))
    return hashes


def read_games(name: str, cut: Cut) -> ReadGames:
    """Read the games of one stretch of the file ``name``."""
    tags = read_tag_columns(cut)
    reasons = {
        i: trouble
        for i in {*np.flatnonzero(cut.flaws).tolist(), *tags.apart}
        if (trouble := _outline_trouble(int(cut.flaws[i]), tags.apart.get(i)))
    }
    chosen = np.ones(len(cut), dtype=np.bool_)
    chosen[list(reasons)] = False
    places = np.flatnonzero(chosen)
    moves = _read_moves(cut.data, cut.texts[places], cut.ends[places])
    reasons |= {int(places[i]): reason for i, reason in moves.reasons.items()}
    chosen[list(reasons)] = False
    sound = np.flatnonzero(chosen)
    results = tags.half_points[sound]
    results = np.where(results == UNKNOWN, moves.outcomes, results)
    lines = move_hashes(moves.packed, moves.plies)
    columns = tags.columns if len(sound) == len(cut) else tags.columns.take(sound)
    skipped = tuple(SkippedGame(name, int(cut.lines[i]), *reasons[i][::-1]) for i in sorted(reasons))
    return ReadGames(
        columns.added(result=results),
        lines,
        prints_of(lines, tags.hashes[sound], results),
        moves.plies,
        moves.packed,
        skipped,
    )


def prints_of(lines: U64, hashes: U64, results: U8) -> U64:
    """The games' :attr:`ReadGames.prints`.

    :param hashes: :func:`linewright.games.ingest.tagging.tag_hashes`.
    :param results: White's half-points, else ``UNKNOWN``.
    """
    mixed: U64 = lines ^ (hashes ^ results) * np.uint64(0x9E3779B97F4A7C15)  # splitmix64's odd step
    return mixed


def _outline_trouble(flaws: int, apart: tuple[str, str] | None) -> tuple[SkipKind, str] | None:
    if not flaws and not apart:
        return None
    if flaws & Flaw.TOO_LONG:
        return "broken", f"no end of the game within {LONGEST_GAME} bytes"
    if flaws & Flaw.OPEN_COMMENT:
        return "broken", "a comment is opened with { and never closed"
    if flaws & Flaw.OPEN_VARIATION:
        return "broken", "a variation is opened with ( and never closed"
    if flaws & Flaw.STRAY_BRACKET:
        return "broken", "a [ stands among the moves"
    if flaws & Flaw.CUT_SHORT:
        return "broken", "the file ends in the middle of the game"
    if apart and apart[0] == "variant":
        return "variant", f"another kind of chess: {apart[1]}"
    if apart:
        return "set-up", f"it starts from a set-up position: {apart[1]}"
    return None


@dataclass(frozen=True, slots=True)
class _Moves:
    """Checked moves of the sound games, half-points that the texts end with, and reasons by game left out."""

    plies: I64
    packed: U16
    outcomes: U8
    reasons: dict[int, tuple[SkipKind, str]]


def _read_moves(data: bytes, starts: I64, ends: I64) -> _Moves:
    chunks = pgn_reader.parse_games_from_strings(_main_lines(data, starts, ends)).chunks
    read = sum(chunk.num_games for chunk in chunks)
    if read != len(starts):  # the reader promises one game for each text; never mix games up if it fails to
        raise AssertionError(f"{len(starts)} games given, {read} read")
    parts = [_chunk_moves(chunk) for chunk in chunks]
    firsts = accumulate((chunk.num_games for chunk in chunks), initial=0)
    return _Moves(
        np.concatenate([np.empty(0, dtype=np.int64), *(part.plies for part in parts)]),
        np.concatenate([np.empty(0, dtype=np.uint16), *(part.packed for part in parts)]),
        np.concatenate([np.empty(0, dtype=np.uint8), *(part.outcomes for part in parts)]),
        {first + i: why for first, part in zip(firsts, parts, strict=False) for i, why in part.reasons.items()},
    )


def _chunk_moves(chunk: Any) -> _Moves:
    """The sound games of one of the reader's chunks."""
    bounds = chunk.move_offsets.astype(np.int64)
    plies = np.diff(bounds)
    sound = chunk.valid & (plies > 0) & (plies <= MOST_PLIES)
    errors = chunk.parse_errors
    reasons = {i: _move_trouble(errors[i], int(plies[i])) for i in np.flatnonzero(~sound).tolist()}
    promotions = np.maximum(chunk.promotions, 0).astype(np.uint16)
    packed = chunk.from_squares | chunk.to_squares.astype(np.uint16) << 6 | promotions << 12
    outcomes = np.array([_OUTCOMES.get(word or "", UNKNOWN) for word in chunk.outcome], dtype=np.uint8)
    if reasons:
        packed, plies, outcomes = packed[np.repeat(sound, plies)], plies[sound], outcomes[sound]
    return _Moves(plies, packed, outcomes, reasons)


def _move_trouble(error: str | None, plies: int) -> tuple[SkipKind, str]:
    """Why a game is not sound, from the reader's message."""
    if error is None:
        return ("empty", "it has no moves") if plies == 0 else ("broken", f"it has more than {MOST_PLIES} half-moves")
    match = _ERROR.match(error)
    if not match:
        return "broken", error
    ply, move = int(match[2]), match[3].strip()
    number = f"{(ply + 1) // 2}{'.' if ply % 2 else '...'}"
    quoted = move if len(move) <= _QUOTED else move[:_QUOTED] + "…"
    return "broken", f"{number}{quoted} " + ("is not legal there" if match[1] == "illegal move" else "is not a move")

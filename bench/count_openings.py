"""Count the games through each catalogued opening, and find the move order that most of them chose.

    python bench/count_openings.py GAMES.pgn[.zst] [--write]

``--write`` puts the counts into ``reading/openings/opening_games.json``: by the catalogue's key, the games
whose first moves pass through the position, by whatever order of moves, and, where the catalogue gives another one,
the commonest order as UCI. Positions that no game reached are left out.
"""

from __future__ import annotations

import argparse
import io
import json
import re
from collections import Counter
from collections.abc import Hashable, Iterator
from itertools import chain
from pathlib import Path

import chess
import zstandard

from linewright.lesson.opening import catalogue
from linewright.support.atomic_write import write

OUT = Path(__file__).parents[1] / "src" / "linewright" / "reading" / "openings" / "opening_games.json"

_SAID_ASIDE = re.compile(r"\{[^}]*\}|;[^\n]*|\$\d+")
_NO_MOVE = re.compile(r"\d+\.+|[*]|1-0|0-1|1/2-1/2|\.+")


def games(path: Path, plies: int) -> Iterator[tuple[str, ...]]:
    """The first moves of each game in standard algebraic notation; games from a set-up position are left out."""
    with path.open("rb") as raw:
        stream = zstandard.ZstdDecompressor().stream_reader(raw) if path.suffix == ".zst" else raw
        lines, set_up = list[str](), False
        for line in chain(io.TextIOWrapper(stream, "utf-8", errors="replace"), ["[End]\n"]):
            if not line.startswith("["):
                lines += [line] if line.strip() else []
                continue
            if lines:
                if not set_up:
                    yield _moves(" ".join(lines), plies)
                lines, set_up = [], False
            set_up |= line.startswith(("[FEN", "[Variant"))


def _moves(text: str, plies: int) -> tuple[str, ...]:
    words = _NO_MOVE.sub(" ", _SAID_ASIDE.sub(" ", text.split("(")[0])).split()
    return tuple(word.rstrip("+#!?") for word in words[:plies])


def count(all_games: list[tuple[str, ...]], wanted: dict[Hashable, list[str]]) -> dict[str, Counter[tuple[str, ...]]]:
    """For each key of the catalogue the games through its position, by the moves that led there."""
    found: dict[str, Counter[tuple[str, ...]]] = {}
    board, line = chess.Board(), list[str]()
    since: list[tuple[int, tuple[str, ...]]] = []  # for each move on the board, the game it was first met in
    sorted_games = sorted(all_games)
    for number, moves in enumerate((*sorted_games, ())):
        common = 0
        while common < min(len(moves), len(line)) and moves[common] == line[common]:
            common += 1
        while len(line) > common:
            first, slugs = since.pop()
            path = tuple(move.uci() for move in board.move_stack)
            for slug in slugs:
                found.setdefault(slug, Counter())[path] += number - first
            board.pop()
            line.pop()
        for san in moves[common:]:
            try:
                board.push_san(san)
            except ValueError:
                break
            line.append(san)
            since.append((number, tuple(wanted.get(board._transposition_key(), ()))))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("games", type=Path)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    rows = {row.ocn1: row for letter in "ABCDE" for row in catalogue().walk(letter) if row.moves_uci}
    wanted: dict[Hashable, list[str]] = {}
    for slug, row in rows.items():
        board = chess.Board()
        for uci in row.moves_uci:
            board.push_uci(uci)
        wanted.setdefault(board._transposition_key(), []).append(slug)
    plies = max(len(row.moves_uci) for row in rows.values())
    found = count(list(games(args.games, plies)), wanted)
    out: dict[str, list[object]] = {}
    for slug, paths in sorted(found.items()):
        own = rows[slug].moves_uci
        best = max(paths, key=lambda path: (paths[path], path == own))
        out[slug] = [paths.total()] if best == own else [paths.total(), " ".join(best)]
    print(f"{len(out)} of {len(rows)} entries were reached")
    if args.write:
        lines = ",\n".join(f"{json.dumps(slug)}: {json.dumps(value)}" for slug, value in out.items())
        write(OUT, f"{{\n{lines}\n}}\n".encode())


if __name__ == "__main__":
    main()

"""A base's games back as PGN, in the export format of the PGN standard (Edwards 1994, sections 3.2, 8)."""

from __future__ import annotations

import os
import re
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import ExitStack, closing
from itertools import chain, islice
from multiprocessing import get_context
from pathlib import Path
from typing import IO, Any, Final

import chess
import duckdb
import zstandard

from linewright.games.games_base import GamesBase
from linewright.games.index import schema
from linewright.games.index.index_reader import in_pieces, moves_list
from linewright.games.index.position_keys import unpack_move
from linewright.support.errors import UnusableInput

#: Characters of a line of movetext at most (standard, 8.2.1: fewer than 80).
LINE: Final = 79

#: White's half-points as results.
_RESULTS: Final = {2: "1-0", 1: "1/2-1/2", 0: "0-1", None: "*"}

#: The seven tags that every game has, in their order (standard, 8.1.1), and the columns they come from.
_ROSTER: Final = (("Event", "event"), ("Site", "site"), ("Date", "date"), ("Round", "round"), ("White", "white"),
                  ("Black", "black"), ("Result", "result"))  # fmt: skip
_MORE: Final = (("WhiteElo", "white_rating"), ("BlackElo", "black_rating"), ("ECO", "eco"),
                ("TimeControl", "time_control"))  # fmt: skip
_COLUMNS: Final = ("event", "site", "date", "round", "white", "black", "result", "white_rating", "black_rating", "eco",
                   "time_control", "others", "moves")  # fmt: skip

#: Games written per piece of work.
_PIECE: Final = 500

#: Pieces below which it isn't worth starting other processes, a second or two.
_FEW: Final = 4

_SPECIAL: Final = re.compile(r'["\\]')


def game_text(game: dict[str, Any]) -> str:
    """One game in export format, with the empty line after it.

    :param game: a row of the base's ``games``: its tags' columns and the packed ``moves``.
    """
    result = _RESULTS[game["result"]]
    values = {**game, "result": result}
    roster = [_tag(name, str(values[column] or "?")) for name, column in _ROSTER]
    more = [_tag(name, str(values[column])) for name, column in _MORE if values[column]]
    others = game["others"].splitlines()
    # The standard (8.1) wants further tags in the order of their names' ASCII codes.
    tags = [*roster, *sorted([*more, *others], key=lambda line: line[1:].split(" ")[0].encode())]
    return "\n".join([*tags, "", *_lines(_tokens(moves_list(game["moves"]), result)), "", ""])


def _tag(name: str, value: str) -> str:
    return '[{} "{}"]'.format(name, _SPECIAL.sub(r"\\\g<0>", value))


def _tokens(packed: Sequence[int], result: str) -> Iterator[str]:
    """Move numbers before White's moves, the moves in SAN, the result (standard, 8.2.2, 8.2.3)."""
    board = chess.Board()
    for move in packed:
        if board.turn == chess.WHITE:
            yield f"{board.fullmove_number}."
        yield board.san_and_push(chess.Move.from_uci(unpack_move(move)))
    yield result


def _lines(tokens: Iterable[str]) -> Iterator[str]:
    """Tokens in as few lines as hold them."""
    line = ""
    for token in tokens:
        if not line:
            line = token
        elif len(line) + 1 + len(token) <= LINE:
            line += " " + token
        else:
            yield line
            line = token
    if line:
        yield line


def export_games(
    base: Path,
    out: Path,
    *,
    source: str | None = None,
    force: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> int:
    """Write a base's games, or one source's, as PGN in UTF-8; packed where the name ends in ``.zst``.

    The file is written beside its place and moved there whole.

    :param source: as ``base info`` names it, or the end of that.
    :param force: overwrite a file that exists.
    :param progress: called with the games written, and how many there are.
    :returns: how many games.
    :raises UnusableInput: no such base or source, or the file exists or can't be written.
    """
    if out.exists() and not force:
        raise UnusableInput(f"{out} already exists", "Name another file, or add --force to overwrite it.")
    GamesBase.open(base).close()  # refuses what is no base, and takes in what a stopped adding had finished
    part = out.with_name(f".{out.name}.part")
    try:
        with closing(schema.connect(base, read_only=True)) as con, ExitStack() as stack:
            where, values = "", []
            if source is not None:
                where, values = (
                    "WHERE source = ? OR id IN (SELECT game FROM sightings WHERE source = ?)",
                    [source_number(con, base, source)] * 2,
                )
            total = con.execute(f"SELECT count(*) FROM games {where}", values).fetchall()[0][0]
            file: IO[bytes] = stack.enter_context(part.open("wb"))
            if out.suffix == ".zst":
                file = stack.enter_context(zstandard.ZstdCompressor(level=9).stream_writer(file))
            written = 0
            for games, text in _texts(_pieces(con, where, values)):
                file.write(text)
                written += games
                if progress:
                    progress(written, total)
        part.replace(out)
    except OSError as error:
        raise UnusableInput(
            f"{out} can't be written: {error.strerror or error}", "Make room, or name another."
        ) from None
    finally:
        part.unlink(missing_ok=True)
    return written


def source_number(con: duckdb.DuckDBPyConnection, base: Path, source: str) -> int:
    """The number of the source that is named, by its path or by the end of it.

    :raises UnusableInput: where none or several are meant.
    """
    rows = con.execute("SELECT id, name FROM sources ORDER BY id").fetchall()
    whole = os.path.abspath(source)  # noqa: PTH100 - a name in an archive is no path of its own
    exact = [row for row in rows if row[1] in (source, whole)]
    found = exact or [row for row in rows if row[1].endswith("/" + source.lstrip("./"))]
    if len(found) == 1:
        return int(found[0][0])
    if found:
        raise UnusableInput(
            f'several sources of {base} end in "{source}": {", ".join(row[1] for row in found)}', "Name one in full."
        )
    raise UnusableInput(f'{base} has no source "{source}"', "See its sources: linewright base info")


def _pieces(con: duckdb.DuckDBPyConnection, where: str, values: list[int]) -> Iterator[list[dict[str, Any]]]:
    query = f"SELECT {', '.join(_COLUMNS)} FROM games {where} ORDER BY id"
    for piece in in_pieces(con, query, values, _PIECE):
        yield [dict(zip(_COLUMNS, row, strict=True)) for row in zip(*piece, strict=True)]


def _texts(pieces: Iterator[list[dict[str, Any]]]) -> Iterator[tuple[int, bytes]]:
    """Each piece's games and text in their order, written on all cores where there are many."""
    few = list(islice(pieces, _FEW))
    if len(few) < _FEW:
        yield from ((len(piece), piece_text(piece)) for piece in few)
        return
    workers = os.cpu_count() or 1
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting: deque[tuple[int, Future[bytes]]] = deque()
        for piece in chain(few, pieces):
            waiting.append((len(piece), pool.submit(piece_text, piece)))
            if len(waiting) > 4 * workers:
                games, text = waiting.popleft()
                yield games, text.result()
        for games, text in waiting:
            yield games, text.result()


def piece_text(games: list[dict[str, Any]]) -> bytes:
    """Some games' text."""
    return "".join(map(game_text, games)).encode()

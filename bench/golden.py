"""A golden set over all talks: readings, findings and outputs, to compare two states of the code to the byte.

    python bench/golden.py OUT [--part reading|claims|outputs ...] [--walks GOLDEN] [--jobs N] [GLOB ...]

Writes for each talk ``NAME.walk.json`` (the exact walk), ``NAME.read.json``, ``NAME.check.json`` (findings with the
starter table and a scripted judge, so that every verdict comes out the same on every machine) and, of the talks in
``OUTPUTS``, what ``build`` makes. ``diff -rq BEFORE AFTER`` then names what has changed. ``--walks`` takes the walks
from an earlier run, so that a change of the claims alone is compared in seconds. A change that is meant is named in
its commit, with the reason.
"""

from __future__ import annotations

import argparse
import json
import sys
import zlib
from collections.abc import Iterator, Mapping, Sequence
from fnmatch import fnmatch
from functools import cache
from multiprocessing import Pool
from pathlib import Path

import chess

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from linewright.claims.check import check_walk  # noqa: E402
from linewright.claims.engine_questions import Question  # noqa: E402
from linewright.claims.report import check_json, reading_json  # noqa: E402
from linewright.engine.model import EngineVerdict, Line, Score  # noqa: E402
from linewright.games.api import StarterTable  # noqa: E402
from linewright.lesson.walk_record import walk_json, walk_of_json  # noqa: E402
from linewright.publish.build import build  # noqa: E402
from linewright.publish.outputs import Order, OutputPart  # noqa: E402
from linewright.reading.reader import read_talk  # noqa: E402
from linewright.talk.load import load_talk  # noqa: E402

SHARED = ROOT.parent / "shared" / "talks"
OWN = ROOT / "bench" / "talks"
FOLDERS = (SHARED, OWN / "seen", OWN / "reenacted", OWN / "unseen")
KINDS = (".txt", ".vtt", ".words.json")
#: Talks whose outputs are built too.
OUTPUTS = ("*given*panov.txt", "*given*slav.clear.vtt", "*seen*[ac]*.txt", "*reenacted*[a-c]*.txt")
PARTS = ("reading", "claims", "outputs")
#: What a man is worth to the scripted judge, in centipawns.
_WORTH = {chess.PAWN: 100, chess.KNIGHT: 300, chess.BISHOP: 310, chess.ROOK: 500, chess.QUEEN: 900, chess.KING: 0}


def talks() -> Iterator[tuple[str, Path]]:
    """A name for each talk, and its file."""
    for folder in FOLDERS:
        label = "given" if folder == SHARED else folder.name
        for path in sorted(folder.glob("*")):
            if path.name.endswith(KINDS):
                yield f"{label}-{path.name}", path


def judge(questions: Sequence[Question]) -> Mapping[str, EngineVerdict]:
    """Verdicts that depend on nothing but the position: the material, and up to a pawn and a half by its EPD."""
    return {q.board.epd(): _verdict(q.board) for q in questions if any(q.board.legal_moves)}


def _verdict(board: chess.Board) -> EngineVerdict:
    epd = board.epd()
    material = sum(_WORTH[m.piece_type] * (1 if m.color else -1) for m in board.piece_map().values())
    score = material + zlib.crc32(epd.encode()) % 301 - 150
    ranked = sorted(board.legal_moves, key=lambda move: zlib.crc32(f"{epd}{move.uci()}".encode()))[:2]
    worse = -20 if board.turn else 20
    lines = tuple(Line(Score(score + worse * n), None, (move.uci(),)) for n, move in enumerate(ranked))
    return EngineVerdict(epd, lines, "Golden", 2_000_000, 20)


@cache
def table() -> StarterTable:
    return StarterTable.load()


def record(job: tuple[str, Path, Path, tuple[str, ...], Path | None]) -> str:
    """Write what one talk gives."""
    name, path, out, parts, walks = job
    if walks is not None:
        walk = walk_of_json(json.loads((walks / f"{name}.walk.json").read_text("utf-8")))
    else:
        walk = read_talk(load_talk(path), table())
        _write(out / f"{name}.walk.json", walk_json(walk))
    if "reading" in parts:
        _write(out / f"{name}.read.json", reading_json(walk))
    if "claims" in parts or "outputs" in parts:
        findings = check_walk(walk, table(), judge)
        _write(out / f"{name}.check.json", check_json(walk, findings))
        if "outputs" in parts and any(fnmatch(name, pattern) for pattern in OUTPUTS) and walk.moves:
            parts_made = frozenset(OutputPart) - {OutputPart.HANDOUT, OutputPart.FILM, OutputPart.CAPTIONS}
            build(walk, findings, out / f"{name}.lesson", True, None, Order(parts_made, games=table()))
    return name


def _write(path: Path, value: object) -> None:
    path.write_text(json.dumps(value, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=Path)
    parser.add_argument("globs", nargs="*", default=["*"], help="names, as in *given*.txt")
    parser.add_argument("--part", action="append", choices=PARTS)
    parser.add_argument("--walks", type=Path)
    parser.add_argument("--jobs", type=int, default=2)
    args = parser.parse_intermixed_args()
    args.out.mkdir(parents=True, exist_ok=True)
    jobs = [
        (name, path, args.out, tuple(args.part or PARTS), args.walks)
        for name, path in talks()
        if any(fnmatch(name, pattern) for pattern in args.globs)
    ]
    with Pool(args.jobs) as pool:
        for number, name in enumerate(pool.imap_unordered(record, jobs, chunksize=1), 1):
            print(f"{number}/{len(jobs)} {name}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()

"""Check the blind claim rows: legal moves, the claim's words in what is said, known kinds and truths, no row twice.

Run: ``python bench/claims/validate.py [FILE ...]`` (default: both files beside this script). Prints each fault with
file and row number, then a count by kind and truth; the exit code is 1 when anything is wrong. It shows no sentence,
so it may be run by people who must not see the held-back rows.
"""

from __future__ import annotations

import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import chess

HERE = Path(__file__).parent
FILES = (HERE / "blind_open.toml", HERE / "blind_held.toml")
KEYS = frozenset({"voice", "moves", "side", "said", "words", "kind", "truth", "note"})
VOICES = frozenset(
    {
        "old club trainer",
        "young streamer",
        "grandmaster with a foreign accent and dropped articles",
        "school teacher for children",
        "dictated notes",
        "dry book style",
    }
)
CAPTIONS = " (captions)"
KINDS = frozenset(
    (
        "structure files development king centre material tactic frequency repetition assessment quote transposition"
    ).split()
)
TRUTHS = frozenset({"holds", "fails", "open"})
Row = dict[str, str]


def load(path: Path) -> list[Row]:
    """The file's rows; OSError or tomllib.TOMLDecodeError when it cannot be read."""
    rows: list[Row] = tomllib.loads(path.read_text(encoding="utf-8"))["row"]
    return rows


def faults(row: Row) -> Iterator[str]:
    """What is wrong with one row taken by itself."""
    if set(row) != KEYS or not all(isinstance(value, str) for value in row.values()):
        yield f"keys are {sorted(row)}, wanted {sorted(KEYS)}, all strings"
        return
    if row["voice"].removesuffix(CAPTIONS) not in VOICES:
        yield f"unknown voice {row['voice']!r}"
    if row["side"] not in ("white", "black"):
        yield f"unknown side {row['side']!r}"
    if row["kind"] == "none":
        if row["words"] or row["truth"]:
            yield "a row of kind none has no words and no truth"
    else:
        if row["kind"] not in KINDS:
            yield f"unknown kind {row['kind']!r}"
        if row["truth"] not in TRUTHS:
            yield f"unknown truth {row['truth']!r}"
        if not row["words"] or row["said"].count(row["words"]) != 1:
            yield "words must stand exactly once in said"
        if not row["note"]:
            yield "a claim needs a note with the figures"
    yield from illegal(row["moves"])


def illegal(moves: str) -> Iterator[str]:
    """The first move that cannot be played from the start position, if any."""
    board = chess.Board()
    for number, san in enumerate(moves.split(), start=1):
        try:
            board.push_san(san)
        except ValueError as error:
            yield f"half-move {number}, {san}: {error}"
            return


def main(paths: list[Path]) -> int:
    """Check the files together (a sentence may stand in one of them only) and print what was found."""
    wrong = 0
    seen: dict[str, str] = {}
    for path in paths:
        rows = load(path)
        for number, row in enumerate(rows, start=1):
            place = f"{path.name}, row {number}"
            found = list(faults(row))
            key = " ".join(row.get("said", "").lower().split())
            if key in seen:
                found.append(f"said already in {seen[key]}")
            seen.setdefault(key, place)
            for fault in found:
                print(f"{place}: {fault}")
            wrong += len(found)
        kinds = Counter((row["kind"], row["truth"]) for row in rows)
        print(f"{path.name}: {len(rows)} rows")
        for kind in sorted({kind for kind, _ in kinds}):
            print(
                f"  {kind:14}", "  ".join(f"{truth or '-'} {n}" for (k, truth), n in sorted(kinds.items()) if k == kind)
            )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main([Path(name) for name in sys.argv[1:]] or [path for path in FILES if path.exists()]))

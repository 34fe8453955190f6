#!/usr/bin/env python3
"""Make what is said and the true reading from talks in markup.

    make_refs.py FILE.talk ...      writes FILE.txt (or FILE.md, see below) and FILE.ref.json beside each
    make_refs.py --check [DIR]      makes the four open talks of DIR (default ../../../shared/talks) anew and
                                    compares them with DIR's own .txt and .ref.json, byte by byte

Markup (the open talks' own): ``[[Nf3|knight f3]]`` a move and the words that state it; ``[[=A]]``
remembers the position on the board; ``[[<A|back to the capture]]`` a return to it and its words;
``[[?KIND=TRUTH:note|words]]`` a claim about the position on the board at that moment. Header lines
``title:`` and ``side:`` come first, then a blank line. A third header line ``as: md`` keeps the text's own
lines (headings, lists) and writes FILE.md; otherwise all white space becomes one space and FILE.txt is
written.

Every move is played on a board, so a talk that makes a ref is legal from the first move to the last; a
mistake is told with its line and nothing is written for that talk.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import chess

MARK = re.compile(r"\[\[(.*?)\]\]", re.DOTALL)
CLAIM = re.compile(r"\?(\w+)=(\w+):([^|]*)\|(.*)", re.DOTALL)
BOARD_KINDS = ("structure", "files", "development", "king", "centre", "material", "tactic")
KINDS = frozenset((*BOARD_KINDS, "frequency", "repetition", "assessment", "quote", "transposition"))
TRUTHS = frozenset(("holds", "fails", "open"))
OPEN_TALKS = ("benoni", "panov", "scotch", "slav")
SHARED = Path(__file__).resolve().parents[3] / "shared" / "talks"


class BadTalk(Exception):
    """A mistake in the markup, with its line in the .talk file."""


class Piece(NamedTuple):
    """Plain words, or the inside of one ``[[mark]]``; ``line`` is where it stands in the .talk file."""

    text: str
    mark: bool
    line: int


class Made(NamedTuple):
    text: str
    suffix: str
    ref: dict[str, Any]


def head(source: str) -> tuple[dict[str, str], str, int]:
    """The header's values, the body, and the body's first line number."""
    top, _, body = source.partition("\n\n")
    pairs = (line.partition(":") for line in top.splitlines())
    return {key.strip(): value.strip() for key, _, value in pairs}, body, top.count("\n") + 3


def pieces(body: str, line: int) -> Iterator[Piece]:
    at = 0
    for found in MARK.finditer(body):
        yield Piece(body[at : found.start()], False, line + body.count("\n", 0, at))
        yield Piece(found[1], True, line + body.count("\n", 0, found.start()))
        at = found.end()
    yield Piece(body[at:], False, line + body.count("\n", 0, at))


class Maker:
    """Walks through the pieces with a board in hand and gathers the text and the true reading."""

    def __init__(self, keep_lines: bool) -> None:
        self.keep_lines = keep_lines
        self.board = chess.Board()
        self.kept: dict[str, str] = {}
        self.text = ""
        self.moves: list[dict[str, Any]] = []
        self.jumps: list[dict[str, Any]] = []
        self.claims: list[dict[str, Any]] = []

    def say(self, words: str) -> dict[str, Any]:
        """Add words to the text; gives them with their place."""
        if not self.keep_lines:
            words = re.sub(r"\s+", " ", words)
            if words.startswith(" ") and (not self.text or self.text.endswith(" ")):
                words = words[1:]
        start = len(self.text)
        self.text += words
        return {"words": words, "at": [start, len(self.text)]}

    def mark(self, inside: str) -> None:
        if inside.startswith("="):
            self.kept[inside[1:]] = self.board.fen()
        elif inside.startswith("<"):
            self.go_back(*self.halves(inside[1:]))
        elif inside.startswith("?"):
            self.claim(inside)
        else:
            self.play(*self.halves(inside))

    @staticmethod
    def halves(inside: str) -> tuple[str, str]:
        name, bar, words = inside.partition("|")
        if not bar or not words.strip():
            raise BadTalk(f"[[{inside}]] has no words")
        return name, words

    def play(self, san: str, words: str) -> None:
        before = self.board.fen()
        try:
            move = self.board.parse_san(san)
        except ValueError as error:
            raise BadTalk(f"[[{san}|{words}]] after {before}: {error}") from error
        name = self.board.san(move)
        if name != san:
            raise BadTalk(f"[[{san}|{words}]] should be written {name}")
        self.board.push(move)
        row = {"san": name, "uci": move.uci(), "before": before, "after": self.board.fen()}
        self.moves.append(row | self.say(words))

    def go_back(self, name: str, words: str) -> None:
        if name not in self.kept:
            raise BadTalk(f"[[<{name}|{words}]]: no position was remembered as {name}")
        self.board = chess.Board(self.kept[name])
        self.jumps.append({"to": self.board.fen()} | self.say(words) | {"before_move": len(self.moves)})

    def claim(self, inside: str) -> None:
        found = CLAIM.fullmatch(inside)
        if not found or found[1] not in KINDS or found[2] not in TRUTHS:
            raise BadTalk(f"[[{inside}]] is no claim: [[?KIND=TRUTH:note|words]]")
        kind, truth, note, words = found.groups()
        row = {"kind": kind, "truth": truth, "note": note, "fen": self.board.fen()}
        self.claims.append(row | self.say(words) | {"before_move": len(self.moves)})


def make(source: str) -> Made:
    """What is said and the true reading of one talk in markup; raises :exc:`BadTalk`."""
    header, body, first = head(source)
    keep = header.pop("as", "") == "md"
    maker = Maker(keep)
    for piece in pieces(body.strip(), first):
        try:
            if piece.mark:
                maker.mark(piece.text)
            elif "[[" in piece.text or "]]" in piece.text:
                raise BadTalk("a mark is not closed")
            else:
                maker.say(piece.text)
        except BadTalk as error:
            raise BadTalk(f"line {piece.line}: {error}") from error
    ref = {"meta": header, "moves": maker.moves, "jumps": maker.jumps, "claims": maker.claims}
    return Made(maker.text, ".md" if keep else ".txt", ref)


def as_json(ref: dict[str, Any]) -> str:
    return json.dumps(ref, indent=1, ensure_ascii=False)


def write(path: Path, text: str) -> None:
    new = path.with_name(path.name + ".new")
    new.write_text(text, encoding="utf-8")
    new.replace(path)


def make_file(path: Path) -> bool:
    try:
        made = make(path.read_text(encoding="utf-8"))
    except BadTalk as error:
        print(f"{path}: {error}", file=sys.stderr)
        return False
    write(path.with_suffix(made.suffix), made.text + "\n")
    write(path.with_suffix(".ref.json"), as_json(made.ref))
    counts = ", ".join(f"{len(made.ref[part])} {part}" for part in ("moves", "jumps", "claims"))
    print(f"{path.stem}: {len(made.text.split())} words, {counts}")
    return True


def check(folder: Path) -> bool:
    """The script's own test: the open talks made anew equal the ones that came with them."""
    same = True
    for name in OPEN_TALKS:
        made = make((folder / f"{name}.talk").read_text(encoding="utf-8"))
        text = (folder / f"{name}.txt").read_text(encoding="utf-8")
        ref = (folder / f"{name}.ref.json").read_text(encoding="utf-8")
        results = {"text": made.text + "\n" == text, "ref": as_json(made.ref) == ref}
        print(name, *(f"{what} {'same' if ok else 'DIFFERS'}" for what, ok in results.items()))
        same = same and all(results.values())
    return same


def main(args: list[str]) -> int:
    if not args or args[0] in ("-h", "--help"):
        print(__doc__)
        return 2
    if args[0] == "--check":
        return 0 if check(Path(args[1]) if len(args) > 1 else SHARED) else 1
    results = [make_file(Path(arg)) for arg in args]
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

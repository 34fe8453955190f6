"""The talk being put together: bits of text, which moves they tell, what was done to them; and its true reading."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from random import Random
from typing import Any

import chess

ENDS = ".!?"
#: Between two words, and before a sentence.
FILLERS = "uh|um|er|uh|um|er|you know|like|hm|ah|sort of".split("|")
STARTERS = "uh|um|well|I mean|right|okay|hm|ah|let's see|look|you know".split("|")


@dataclass
class Bit:
    """A stretch of text; ``moves`` are the moves it tells (by index), ``jump`` the return."""

    text: str
    moves: tuple[int, ...] = ()
    jump: int | None = None
    raw: bool = False


@dataclass
class Fault:
    """A frame or fault of real speech: the bits it covers and the first move at or after it."""

    kind: str
    first: int
    last: int
    move: int


@dataclass
class Script:
    """Text and true reading as they grow."""

    rng: Random
    captions: bool
    filler: float
    board: chess.Board = field(default_factory=chess.Board)
    bits: list[Bit] = field(default_factory=list)
    moves: list[dict[str, Any]] = field(default_factory=list)
    jumps: list[dict[str, Any]] = field(default_factory=list)
    unsaid: list[dict[str, Any]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    words: int = 0

    def add(self, text: str, moves: tuple[int, ...] = (), jump: int | None = None, raw: bool = False) -> None:
        self.bits.append(Bit(self._fill(text) if not raw else text, moves, jump, raw))
        self.words += len(text.split())

    def _fill(self, text: str) -> str:
        """Now and then a filler between two words."""
        if not self.filler or self.rng.random() > self.filler * len(text.split()):
            return text
        if not self.captions:  # who types or corrects leaves out most of them
            if self.rng.random() < 0.5:
                return text
            return f"{self.rng.choice(STARTERS)}, {text}"
        words = text.split(" ")
        at = self.rng.randrange(len(words))
        filler = self.rng.choice(FILLERS)
        words.insert(at, filler)
        self.fault("filler", len(self.bits), len(self.bits))
        return " ".join(words)

    def stop(self, mark: str = ".") -> None:
        if self.bits and self.bits[-1].text not in ENDS:
            if self.bits[-1].text in (",", ", and", ", then", "and"):
                self.bits.pop()
            self.bits.append(Bit(mark))

    def sentence(self, text: str) -> None:
        self.stop()
        end = text[-1] if text[-1] in ENDS else "."
        self.add(text.rstrip(ENDS))
        self.stop(end)

    def fault(self, kind: str, first: int, last: int | None = None, move: int | None = None) -> None:
        last = len(self.bits) - 1 if last is None else last
        self.faults.append(Fault(kind, first, max(first, last), len(self.moves) if move is None else move))

    def push(self, move: chess.Move) -> int:
        """Plays a told move; gives its index."""
        row = {"san": self.board.san(move), "uci": move.uci(), "before": self.board.fen()}
        self.board.push(move)
        self.moves.append(row | {"after": self.board.fen()})
        return len(self.moves) - 1

    def skip(self, move: chess.Move) -> None:
        """Plays a move that nobody tells."""
        row = {
            "san": self.board.san(move),
            "uci": move.uci(),
            "before": self.board.fen(),
            "before_move": len(self.moves),
        }
        self.board.push(move)
        self.unsaid.append(row)

    def jump(self, board: chess.Board) -> int:
        """Sets the board for a return; gives its index."""
        self.board = board.copy(stack=False)
        self.jumps.append({"to": board.fen(), "before_move": len(self.moves)})
        return len(self.jumps) - 1

    # The finished talk.

    def finish(self) -> tuple[str, dict[str, Any]]:
        """The text, and the true reading in the shape of ``bench/talks/make_refs.py``."""
        spans: list[tuple[int, int]] = []
        text = ""
        fresh = True
        for bit in self.bits:
            said = self._caption(bit.text) if self.captions else bit.text
            said = re.sub(r"\s+", " ", said).strip()
            if fresh and said and not self.captions and not bit.raw:
                said = said[0].upper() + said[1:]
            if text and said and not said.startswith(tuple(".,;:?!")):
                text += " "
            spans.append((len(text), len(text) + len(said)))
            text += said
            fresh = said.endswith(tuple(ENDS)) if said else fresh
        self._places(text, spans)
        keys = ("san", "uci", "before", "after", "words", "at")
        rows = [{k: m[k] for k in keys} for m in self.moves]
        jumps = [{k: j[k] for k in ("to", "words", "at", "before_move")} for j in self.jumps]
        faults = [
            {"kind": f.kind, "at": [spans[f.first][0], spans[min(f.last, len(spans) - 1)][1]], "move": f.move}
            for f in sorted(self.faults, key=lambda f: (f.first, f.last, f.kind))
            if f.first < len(spans)
        ]
        return text, {"moves": rows, "jumps": jumps, "claims": [], "unsaid": self.unsaid, "faults": faults}

    def _places(self, text: str, spans: list[tuple[int, int]]) -> None:
        """Gives each move and return the span of all its bits."""
        for bit, (start, end) in zip(self.bits, spans, strict=True):
            rows = [self.moves[i] for i in bit.moves] + ([self.jumps[bit.jump]] if bit.jump is not None else [])
            for row in rows:
                row["at"] = [row["at"][0], end] if "at" in row else [start, end]
                row["words"] = text[row["at"][0] : end]

    @staticmethod
    def _caption(text: str) -> str:
        text = text.replace("-", " ").replace("–", " ")
        text = re.sub(r"[.,;:?!\"“”()…]", " ", text).lower()
        return re.sub(r"\bi('m|'ve|'d|'ll)?\b", lambda m: m[0].capitalize(), text)

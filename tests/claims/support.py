"""Talks for claim tests: a line to start from, then words in which moves can be marked ``[Nf6|knight f6]``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import chess

from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Base
from linewright.claims.sentence.talk_scene import position_key
from linewright.lesson.finding import Finding, Kind
from linewright.lesson.walk import MoveStep, ReturnStep, Step, Walk
from linewright.talk.model import Talk, Unit, Word
from tests.support import plain_talk, said

_MARK = re.compile(r"\[([^|\]]*)\|([^\]]*)\]")

#: Lines that lead to the positions the tables speak of.
LINES = {
    "start": "",
    "tarrasch": "d4 d5 c4 e6 Nc3 c5 cxd5 exd5 Nf3 Nc6 g3 Nf6 Bg2 Be7 O-O O-O dxc5 Bxc5",
    "panov": "e4 c6 d4 d5 exd5 cxd5 c4 Nf6 Nc3 e6 Nf3 Be7 cxd5 Nxd5 Bd3 Nc6 O-O O-O Re1",
    "carlsbad": "d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5 Bg5 c6 e3 Be7 Bd3 O-O Nge2",
    "spanish exchange": "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6",
    "spanish ending": "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6 d4 exd4 Qxd4 Qxd4 Nxd4",
    "winawer": "e4 e6 d4 d5 Nc3 Bb4 e5 c5 a3 Bxc3+ bxc3 Ne7",
    "sveshnikov": "e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 Nf6 Nc3 e5 Ndb5 d6",
    "slav exchange": "d4 d5 c4 c6 cxd5 cxd5",
    "open": "e4 e5 Nf3 Nc6",
    "sicilian": "e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3",
    "french": "e4 e6 d4 d5",
    "philidor": "e4 e5 Nf3 d6 d4 exd4 Nxd4 Nf6 Nc3",
    "petroff": "e4 e5 Nf3 Nf6 Nxe5 Nxe4",
    "scandinavian": "e4 d5 exd5 Qxd5 Nc3",
    "king walk": "e4 e5 Nf3 Nc6 Bc4 Nf6 Ng5 d5 exd5 Nxd5 Nxf7 Kxf7",
    "italian": "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4",
    "italian break": "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4 Bb4+ Bd2 Bxd2+ Nbxd2 d5 exd5 Nxd5 Qb3 Nce7",
    "gambit check": "e4 e5 f4 Qh4+",
    "nimzo": "d4 Nf6 c4 e6 Nc3 Bb4",
    "italian repeated": "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4 Bb4+ Bd2 Bxd2+ Nbxd2 d5 exd5 Nxd5 Qb3 Na5 Qa4+ "
    "Nc6 Qb3",
    # Black's knight and queen hit e5 and g2, …
    "trap": "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5",
    # … and mate on f3.
    "smothered": "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5 Nxf7 Qxg2 Rf1 Qxe4+ Be2",
    "smothered mate": "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5 Nxf7 Qxg2 Rf1 Qxe4+ Be2 Nf3#",
    "legal": "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5",  # the queen can't be taken
    "scholar": "e4 e5 Bc4 Nc6 Qh5",  # mate on f7 is threatened
    "scholar mate": "e4 e5 Bc4 Nc6 Qh5 Nf6 Qxf7#",
    "royal fork": "e4 e5 Nf3 Nc6 Bc4 Nf6 Ng5 Bc5 Nxf7",  # the knight hits queen and rook
    # The bishop on b3 is lost.
    "ark": "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 d6 d4 b5 Bb3 Nxd4 Nxd4 exd4 Qxd4 c5 Qd5 Be6 Qc6+ Bd7 Qd5 c4",
    "discovered": "e4 e5 Nf3 Nf6 Nxe5 Nxe4 Qe2 Nf6 Nc6+",
}
#: Positions that no short opening line reaches.
FENS = {
    "hanging": "r2q1rk1/pb3ppp/1n3n2/2pp4/8/1PN1PN2/PB2BPPP/R2Q1RK1 w - - 0 14",
    "passed": "3r2k1/pp3ppp/8/3Pp3/4P3/8/PP3PPP/3R2K1 w - - 0 25",
    "rook for two": "6k1/pp3ppp/2n2n2/8/8/8/PPP2PPP/4R1K1 w - - 0 25",
    "one queen": "3q2k1/pp3ppp/8/8/8/8/PP3PPP/2RR2K1 w - - 0 25",
    "one isolated": "6k1/pp3ppp/4p3/3p4/3P4/8/PP3PPP/6K1 w - - 0 25",
    "exchange up": "3r2k1/pp3ppp/5n2/8/8/8/PP3PPP/3RR1K1 w - - 0 25",
    "bishops": "2b3k1/pp2bppp/8/8/8/5N2/PP2NPPP/6K1 w - - 0 25",
    "mate in three": "8/5k2/8/8/8/7R/4Q3/2K5 w - - 0 25",
    "four captures": "4k3/6p1/1p1p4/8/p2Q4/8/8/4K3 w - - 0 25",
    "five captures": "4k3/6p1/1p1p4/8/p2Q3p/8/8/4K3 w - - 0 25",
    "opposite": "4b1k1/pp3ppp/8/8/8/8/PP1B1PPP/6K1 w - - 0 25",
}


def walk_of(markup: str, line: str = "start", side: str = "", timed: bool = False) -> Walk:
    """A walk whose talk is the markup's words; the moves of ``line`` are played before the first word."""
    marks: list[tuple[str, int, int]] = []
    text, last = "", 0
    for match in _MARK.finditer(markup):
        text += markup[last : match.start()]
        marks.append((match[1], len(text), len(text) + len(match[2])))
        text += match[2]
        last = match.end()
    text += markup[last:]
    talk = plain_talk(text)
    if timed:
        talk = as_captions(talk)
    start = FENS.get(line, chess.STARTING_FEN)
    board, steps, node = chess.Board(start), [], 0
    nodes = dict.fromkeys([""], 0)
    path: list[str] = []

    def play(san: str, first: int, end: int) -> None:
        nonlocal node
        move = board.parse_san(san)
        before, name = board.fen(), board.san(move)
        board.push(move)
        path.append(move.uci())
        child = nodes.setdefault(" ".join(path), len(nodes))
        words = said(talk, first, end) if end > first else said(talk, 0, 0)
        steps.append(MoveStep(words, name, move.uci(), before, board.fen(), node, child))
        node = child

    for san in LINES.get(line, "").split():
        play(san, 0, 0)
    for san, first, end in marks:
        if san.startswith("<"):
            for _ in range(int(san[1:])):
                board.pop()
                path.pop()
            node = nodes[" ".join(path)]
            steps.append(ReturnStep(said(talk, first, end), board.fen(), node))
        else:
            play(san, first, end)
    done: list[Step] = [s if s.said.first < s.said.last else _silent(s) for s in steps]
    return Walk(talk, tuple(done), start=start, side=side)


def _silent(step: Step) -> Step:
    """A step played before the first word."""
    from dataclasses import replace

    return replace(step, said=replace(step.said, first=0, last=0))


def by_rule(found: Iterable[Finding], kind: Kind) -> list[Finding]:
    """The findings of a kind without remarks, which no rule has decided."""
    return [f for f in found if f.kind is kind and not f.remark]


def verdicts_of(
    words: str, line: str, kind: Kind, side: str = "white", timed: bool = False, base: Base | None = None
) -> list[str]:
    """The verdicts on what some words claim of a kind after a line, in order."""
    return [f.verdict.value for f in by_rule(check_walk(walk_of(words, line, side, timed), base), kind)]


def assert_verdict(
    kind: Kind, line: str, words: str, wanted: str | None, side: str = "white", *, timed: bool = False
) -> None:
    """Some words claim something of a kind, all of it with the verdict wanted; or nothing, where that is None.

    Captions lack the comma, so that "takes, the bishop hangs" runs on, and the question mark.
    """
    verdicts = set(verdicts_of(words, line, kind, side, timed))
    if timed and wanted is None:
        assert verdicts <= ({"undecided"} if not words.endswith("?") else {"holds", "fails", "undecided"})
    else:
        assert verdicts == ({wanted} if wanted else set())


def as_captions(talk: Talk) -> Talk:
    """The same words as a recogniser writes them: no punctuation, no case, one second a word."""
    words, text = [], ""
    for n, word in enumerate(talk.words):
        bare = re.sub(r"[^\w' %-]", "", word.text).lower() or "um"
        words.append(Word(bare, (len(text), len(text) + len(bare)), float(n), n + 1.0, word.place))
        text += bare + " "
    return Talk(talk.title, talk.source, Unit.SECONDS, text, tuple(words))


@dataclass(frozen=True)
class ScriptedReply:
    uci: str
    san: str
    games: int
    share: float


@dataclass(frozen=True)
class ScriptedReplies:
    total: int
    replies: tuple[ScriptedReply, ...]


class ScriptedBase:
    """A double of the games base: ``{line: {san: games}}``, positions by the moves that lead there."""

    def __init__(self, counts: Mapping[str, Mapping[str, int]]) -> None:
        self._counts: dict[str, Mapping[str, int]] = {}
        self.asked: list[str] = []
        for line, replies in counts.items():
            board = chess.Board()
            for san in line.split():
                board.push_san(san)
            self._counts[position_key(board.fen())] = replies

    def replies(self, board: chess.Board, /) -> ScriptedReplies:
        self.asked.append(board.fen())
        counts = self._counts.get(position_key(board.fen()), {})
        total = sum(counts.values())
        return ScriptedReplies(
            total,
            tuple(
                ScriptedReply(board.parse_san(san).uci(), san, games, games / total)
                for san, games in sorted(counts.items(), key=lambda item: -item[1])
                if games
            ),
        )

"""Tells lines of moves as a trainer would: runs, frames, plain words, slips of the tongue, remarks between."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from random import Random

import chess
import chess.polyglot

from generator.facts import Key, Turn, clearness, kinds_of, recaptures
from generator.garble import Garbler
from generator.lines import Source
from generator.script import ENDS, Script
from generator.speaker import Speaker
from generator.wordings import load_openings

#: How readily a move is told by what it does, where it is the only likely one of its kind (relative; others 1).
READILY = {
    "accepts": 3.0, "recaptures": 2.5, "recaptures_to_centre": 2.0, "castles_short": 4.0, "castles_long": 4.0,
    "develops": 2.0, "develops_other": 2.5, "retreats": 2.0, "moves_away": 1.5, "copies": 2.0, "in_passing": 2.0,
    "side_takes": 1.2, "queen_moves": 0.5, "pawn_one": 0.15, "pawn_two": 0.3, "attacks_square": 0.6,
    "captures": 1.5, "pawn_asks": 2.0, "pawn_kicks": 1.5,
}  # fmt: skip
#: Below this share of the games that the words could mean, a trainer mostly names the square (0-1).
CLEAR, UNCLEAR_ANYWAY = 0.55, 0.1
#: Who skips moves skips usual ones: only those that take back or make up this share of the games are left unsaid (0-1).
USUAL = 0.25
FRAMES = ("frame_plain", "frame_with", "frame_by", "frame_to", "frame_other")
OPENERS = ("so", "now", "and", "then", "okay", "well", "and now", "so then", "and so", "right", "next")
GLUE = (
    (".", 0.36),
    (",", 0.34),
    (", and", 0.12),
    (", then", 0.06),
    (", and then", 0.04),
    (", so", 0.03),
    (", and now", 0.05),
)


@cache
def named_positions() -> dict[int, dict[str, list[str]]]:
    """Openings by position: how they are called, and what captions make of it."""
    out = {}
    for row in load_openings():
        board = chess.Board()
        for san in row["moves"].split():
            board.push_san(san)
        out[chess.polyglot.zobrist_hash(board)] = {"names": row["names"], "heard": row.get("heard", [])}
    return out


class Teller:
    """Tells moves into a script, one unit (one to six moves) after the other."""

    def __init__(self, rng: Random, source: Source, speaker: Speaker, script: Script) -> None:
        self.rng, self.source, self.speaker, self.script = rng, source, speaker, script
        self.rates, self.voice = speaker.rates, speaker.voice
        self.garbler = Garbler(rng, self.rates, self.voice, speaker.captions)
        self.names = named_positions()
        self.called: set[int] = set()
        self.last: chess.Move | None = None
        self.last_took = False
        self.previous: Turn | None = None
        self.force_garble = 0

    def chance(self, rate: str) -> bool:
        return self.rng.random() < self.rates[rate]

    # The state of the board.

    def turn(self, move: chess.Move) -> Turn:
        return Turn(self.script.board.copy(stack=False), move, self.last, self.last_took)

    def play(self, turn: Turn, told: bool = True) -> int:
        self.last, self.last_took, self.previous = turn.move, bool(turn.taken), turn
        if told:
            return self.script.push(turn.move)
        self.script.skip(turn.move)
        return -1

    def goes_without_saying(self, turn: Turn) -> bool:
        """Whether a listener could supply this move: it takes back, or it is usual here."""
        replies = self.source.replies(turn.board)
        share = replies.get(turn.move.uci(), 0) / max(1, sum(replies.values()))
        return share >= USUAL or recaptures(turn) is not None

    # Putting words down.

    def connect(self) -> None:
        """A full stop, a comma, ``and then`` … before the next unit."""
        bits = self.script.bits
        if bits and bits[-1].text and bits[-1].text not in ENDS:
            self.script.add(self.rng.choices([g for g, _ in GLUE], [p for _, p in GLUE])[0], raw=True)
        if (not bits or bits[-1].text in ENDS) and self.rng.random() < 0.3:
            opener = self.rng.choice(OPENERS)
            self.script.add(f"{opener}," if self.rng.random() < 0.3 else opener)

    def tell(self, text: str, moves: tuple[int, ...], raw: bool = False) -> None:
        """The words of moves, as heard."""
        first = len(self.script.bits)
        if not raw:
            text, kinds = self.garbler(text, force=self.force_garble > 0)
            self.force_garble -= 1
            for kind in kinds:
                self.script.fault(kind, first, first, moves[0])
        self.script.add(text, moves, raw=raw)

    def say(self, kind: str, turn: Turn, slots: dict[str, str], moves: tuple[int, ...]) -> None:
        """A wording that tells these moves."""
        past = self.speaker.past
        if not past and self.chance("past_sentence"):
            past = True
            self.script.fault("past_sentence", len(self.script.bits), len(self.script.bits), moves[0])
        wording = self.voice.say(kind)
        several = wording.count("[") > 1
        k = 0
        for text, told in self.speaker.fill(wording, slots, turn, past):
            if told:
                self.tell(text, (moves[min(k, len(moves) - 1)],) if several else moves)
                k += 1
            else:
                self.script.add(text)

    # Units.

    def line(self, line: Sequence[chess.Move]) -> None:
        at = 0
        while at < len(line):
            at += self.unit(line[at:])

    def unit(self, rest: Sequence[chess.Move]) -> int:
        """Tells the first moves of ``rest``; gives how many."""
        turn = self.turn(rest[0])
        if len(rest) > 1 and self.script.moves and self.chance("unsaid") and self.goes_without_saying(turn):
            self.script.fault("unsaid", len(self.script.bits), len(self.script.bits))
            self.play(turn, told=False)
            return 1
        if done := self.by_name(rest):
            return done
        if turn.castles and len(rest) > 1 and self.turn_after(turn, rest[1]).castles and self.chance("both_castle"):
            return self.both_castle(turn, rest[1])
        captures = self.captures_ahead(rest)
        if captures > 1 and self.chance("run_bare"):
            return self.bare_run(rest[:captures])
        if self.speaker.written or self.chance("run"):
            return self.run(rest)
        self.single(turn)
        return 1

    @staticmethod
    def turn_after(turn: Turn, move: chess.Move) -> Turn:
        return Turn(turn.after, move, turn.move, bool(turn.taken))

    def captures_ahead(self, rest: Sequence[chess.Move]) -> int:
        board = self.script.board.copy(stack=False)
        for n, move in enumerate(rest):
            if not board.is_capture(move) or n > 5:
                return n
            board.push(move)
        return len(rest)

    def by_name(self, rest: Sequence[chess.Move]) -> int:
        """An opening's name instead of its last move, or of the moves up to it."""
        board = self.script.board.copy(stack=False)
        for n, move in enumerate(rest[:6], 1):
            board.push(move)
            key = chess.polyglot.zobrist_hash(board)
            if key not in self.names or key in self.called:
                continue
            if n == 1 and self.chance("name_move"):
                turn = self.turn(move)
                self.called.add(key)
                return self.told_by("name_move", turn, {"name": self.name(key)})
            if n > 1 and len(rest) > n + 1 and self.chance("name_jump"):
                self.called.add(key)
                self.name_jump("name_jump", key, rest[:n])
                return n
        return 0

    def name(self, key: int) -> str:
        row = self.names[key]
        if row["heard"] and self.speaker.captions and self.rng.random() < 4 * self.rates["garbled"]:
            self.script.fault("name_misheard", len(self.script.bits) + 1, len(self.script.bits) + 1)
            return self.rng.choice(row["heard"])
        return self.rng.choice(row["names"])

    def name_jump(self, kind: str, key: int, line: Sequence[chess.Move]) -> None:
        """A name that stands for several moves; the board jumps to its position."""
        self.connect()
        first = len(self.script.bits)
        slots = self.speaker.slots(self.turn(line[0]), {}) | {"name": self.name(key)}
        self.script.fault(kind, first, first)
        for move in line:
            self.play(self.turn(move), told=False)
        for text, _ in self.speaker.fill(self.voice.say(kind), slots, None, self.speaker.past):
            self.script.add(text)

    def told_by(self, kind: str, turn: Turn, extra: Key) -> int:
        """One move by one wording."""
        self.connect()
        slots = self.speaker.slots(turn, extra) | extra
        slots["n"] = self.speaker.name(turn.piece)
        index = self.play(turn)
        first = len(self.script.bits)
        self.say(kind, turn, slots, (index,))
        self.script.fault(
            kind if kind in ("lost", "name_move", "square") or ":" in kind else self.label(kind), first, None, index
        )
        return 1

    @staticmethod
    def label(kind: str) -> str:
        if kind == "late_start":
            return kind
        return kind.replace("frame_", "frame:") if kind.startswith("frame_") else f"plain:{kind}"

    def both_castle(self, turn: Turn, second: chess.Move) -> int:
        self.connect()
        first = len(self.script.bits)
        slots = self.speaker.slots(turn, {})
        moves = (self.play(turn), self.play(self.turn(second)))
        self.say("both_castle", turn, slots, moves)
        self.script.fault("plain:both_castle", first, None, moves[0])
        return 2

    def bare_run(self, line: Sequence[chess.Move]) -> int:
        """``takes, takes, and takes again``: now and then one more or one fewer than on the board."""
        self.connect()
        first = len(self.script.bits)
        moves = [self.play(self.turn(move)) for move in line]
        words = [self.voice.say("bare_capture" if n else "bare_first") for n in range(len(moves))]
        kind = "run_bare"
        told = [(m,) for m in moves]
        if self.chance("run_miscounted"):
            if self.rng.random() < 0.5 or len(moves) < 3:
                words.append(self.voice.say("bare_capture"))
                told.append(())
                kind = "run_bare:one_more"
            else:
                words.pop()
                told[-2:] = [(moves[-2], moves[-1])]
                kind = "run_bare:one_fewer"
        for n, (text, which) in enumerate(zip(words, told, strict=True)):
            if n:
                self.script.add(self.rng.choice((",", ",", ",", ", and", ", then")), raw=True)
            if which:
                self.tell(text, which)
            else:
                self.script.add(text)
        self.script.fault(kind, first, None, moves[0])
        return len(moves)

    def run(self, rest: Sequence[chess.Move]) -> int:
        """Two to six moves in a row with hardly a word between."""
        self.connect()
        count = min(len(rest), self.rng.choice((2, 2, 3, 4, 5, 6)) + 2 * bool(self.speaker.written))
        first, start = len(self.script.bits), len(self.script.moves)
        n = 0
        while n < count:
            turn = self.turn(rest[n])
            if n and not self.speaker.written:
                self.script.add(self.rng.choice((",", ",", ",", ",", ", and", ", then")), raw=True)
            together = n + 1 < count and self.rng.random() < self.rates["run_together"] * 3
            if together and not self.speaker.written and (text := self.together(turn, rest[n + 1])):
                moves = (self.play(turn), self.play(self.turn(rest[n + 1])))
                self.script.fault("garble:run_together", len(self.script.bits), len(self.script.bits), moves[0])
                self.tell(text, moves, raw=True)
                n += 2
                continue
            text = self.speaker.numbered(turn, not n) if self.speaker.written else self.speaker.phrase(turn, short=True)
            self.tell(text, (self.play(turn),), raw=bool(self.speaker.written))
            n += 1
        kind = {"small": "run:small_letters", "san": "run:written", "": "run"}[self.speaker.written]
        self.script.fault(kind, first, None, start)
        if self.speaker.written:
            self.script.stop()
        return count

    def together(self, turn: Turn, second: chess.Move) -> str:
        """Two pawn moves on one file whose squares ran together: ``e45``."""
        after = self.turn_after(turn, second)
        if turn.piece != chess.PAWN or after.piece != chess.PAWN or turn.taken or after.taken:
            return ""
        one, two = chess.square_name(turn.move.to_square), chess.square_name(second.to_square)
        if one[0] != two[0]:
            return ""
        return self.rng.choice((f"{one}{two[1]}", f"{one}{two}", f"{one[0]} {one[1]}{two[1]}"))

    def single(self, turn: Turn) -> None:
        """One move: in plain words, in a frame, or with its square."""
        if self.chance("lost") and self.script.moves:
            self.told_by("lost", turn, {})
            return
        if self.chance("false_start") and self.false_start(turn):
            return
        if self.chance("plain") and (kind := self.plain_kind(turn)):
            self.told_by(kind[0], turn, kind[1])
            return
        if turn.castles or not self.chance("frame"):
            self.square(turn)
            return
        weights = (4, 3, 1, 1.2, 2)
        self.told_by(self.rng.choices(FRAMES, weights)[0], turn, {})

    def square(self, turn: Turn) -> None:
        piece = chess.piece_name(turn.piece)
        if self.rng.random() < 0.45 and not turn.castles and not turn.taken and not turn.move.promotion:
            kind = f"moves_{'pawn' if turn.piece == chess.PAWN else 'piece'}"
            if turn.piece != chess.KING:
                self.told_by_square(kind, turn)
                return
        self.connect()
        first = len(self.script.bits)
        text = self.speaker.phrase(turn)
        index = self.play(turn)
        self.tell(text, (index,))
        self.script.fault(f"square:{piece}", first, None, index)

    def told_by_square(self, kind: str, turn: Turn) -> None:
        self.connect()
        first = len(self.script.bits)
        slots = self.speaker.slots(turn, {})
        index = self.play(turn)
        self.say(kind, turn, slots, (index,))
        self.script.fault(f"square:{kind}", first, None, index)

    def plain_kind(self, turn: Turn) -> tuple[str, Key] | None:
        """What the move does, if a listener would know which move is meant (or now and then if not)."""
        found = {k: v for k, v in kinds_of(turn).items() if self.voice.knows(k)}
        replies = self.source.replies(turn.board)
        careless = self.rng.random() < UNCLEAR_ANYWAY
        while found:
            names = sorted(found)
            kind = self.rng.choices(names, [READILY.get(k, 1.0) for k in names])[0]
            key = found.pop(kind)
            if careless or clearness(turn, kind, key, replies) > CLEAR:
                return kind, key
        return None

    def false_start(self, turn: Turn) -> bool:
        others = sorted((m for m in turn.board.legal_moves if m != turn.move), key=lambda m: m.uci())
        if not others:
            return False
        replies = self.source.replies(turn.board)
        wrong = self.rng.choices(others, [1 + 3 * replies.get(m.uci(), 0) for m in others])[0]
        self.connect()
        first = len(self.script.bits)
        wrong_turn = Turn(turn.board, wrong, self.last, self.last_took)
        slots = self.speaker.slots(turn, {}) | {"wrong": self.speaker.phrase(wrong_turn)}
        index = self.play(turn)
        self.say("false_start", turn, slots, (index,))
        self.script.fault("false_start", first, None, index)
        return True

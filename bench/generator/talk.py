"""A whole talk: greeting, main line, branches with their returns, remarks that are no moves, plans, goodbye."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

import chess
import chess.polyglot

from generator.facts import NAMES, Turn
from generator.lines import Source, draw, line_from, unusual
from generator.script import Script
from generator.speaker import NUMBERS, PAWN_NAMES, Rates, Speaker
from generator.teller import Teller
from generator.wordings import Voice, load_openings, load_rates

MENTIONS = {
    "mention_squares": 2.0, "mention_aim": 2.0, "mention_ideal": 1.5, "mention_advice": 1.2, "mention_pawn": 2.0,
    "mention_piece": 1.2, "mention_look": 1.5, "mention_threat": 1.5,
}  # fmt: skip
RETURNS = ("announced", "implied", "vague", "by_move", "summing_up")
#: Written talks spend few words on a move; more branches than this nobody shows (branches).
MOST_LINES = 12
#: "Or …" without a place means one of so many last moves (moves).
NEAR = 4
#: Share of branches that show an unusual move and its answer, not a rarer reply of the games.
REFUTATION = 0.12


@dataclass
class Node:
    """A told move's place: the board before it, how one got there, and the move told there first."""

    turn: Turn
    before: Turn | None
    line: int


class Talk(Teller):
    """One generated talk."""

    def __init__(self, rng: Random, source: Source, speaker: Speaker, script: Script, length: int) -> None:
        super().__init__(rng, source, speaker, script)
        self.length = length
        self.nodes: list[Node] = []
        self.told: dict[int, set[str]] = {}
        self.lines = 0
        self.silent = True

    def whole(self) -> None:
        if self.chance("meta"):
            self.meta("meta_start", self.rng.randint(1, 3))
        self.main_line()
        empty = 0
        while self.script.words < self.length and self.lines < MOST_LINES and empty < 4:
            empty = 0 if self.branch() else empty + 1
        if self.chance("closing_plan"):
            self.mention("closing_plan", self.script.board)
        if self.chance("meta"):
            self.meta("meta_end", self.rng.randint(1, 2))

    def meta(self, kind: str, sentences: int) -> None:
        for text in dict.fromkeys(self.voice.say(kind) for _ in range(sentences)):
            self.script.stop()
            first = len(self.script.bits)
            self.script.sentence(text)
            self.script.fault(kind, first)

    # Lines.

    def main_line(self) -> None:
        rng = self.rng
        line = []
        if self.chance("named_line"):
            board = chess.Board()
            line = [board.push_san(san) for san in rng.choice(load_openings())["moves"].split()]
        end = chess.Board()
        for move in line:
            end.push(move)
        line += line_from(rng, self.source, end, rng.randint(14, 26) - len(line), None)
        at = self.start(line)
        self.silent = False
        self.line(line[at:])

    def start(self, line: list[chess.Move]) -> int:
        """How the talk comes to its first told move; gives that move's index."""
        way = self.rng.random() - self.rates["name_start"]
        if way < 0 and (named := self.named(line)):
            at, key = named
            self.called.add(key)
            self.name_jump("name_start", key, line[:at])
            return at
        at = min(self.rng.randint(2, 6), self.usual_start(line))
        if 0 <= way < self.rates["late_start"] and 1 < at < len(line) - 3:
            for move in line[:at]:
                self.play(self.turn(move), told=False)
            self.told_by("late_start", self.turn(line[at]), {})
            return at + 1
        if (named := self.named(line)) and self.rng.random() < 0.35:
            first = len(self.script.bits)
            for text, _ in self.speaker.fill(self.voice.say("title"), {"name": self.name(named[1])}, None, False):
                self.script.sentence(text)
            self.script.fault("mention:title", first)
        if self.speaker.captions and self.chance("first_garbled"):
            self.script.fault("first_garbled", len(self.script.bits), len(self.script.bits) + 2)
            self.force_garble = self.rng.randint(1, 2)
        return 0

    def usual_start(self, line: Sequence[chess.Move]) -> int:
        """How many moves at the start of a line go without saying."""
        board, last = chess.Board(), None
        for n, move in enumerate(line):
            if not self.goes_without_saying(Turn(board.copy(stack=False), move, last)):
                return n
            board.push(move)
            last = move
        return len(line)

    def named(self, line: Sequence[chess.Move]) -> tuple[int, int] | None:
        """The last position with a name on the line, after three to twelve moves: (moves before it, key)."""
        board, out = chess.Board(), None
        for n, move in enumerate(line[:12], 1):
            board.push(move)
            key = chess.polyglot.zobrist_hash(board)
            if n > 2 and key in self.names:
                out = n, key
        return out

    def branch(self) -> bool:
        """Goes back to an earlier position and tells another move; False when none was found."""
        rng = self.rng
        usable = [n for n in self.nodes if n.before and n.turn.board.ply() > 2]
        if not usable:
            return False
        way = rng.choices(RETURNS, [self.rates[w] for w in RETURNS])[0]
        if way in ("implied", "vague"):
            usable = self.near(usable)
        node = rng.choices(usable, [2 if n.line == self.lines else 3 for n in usable])[0]
        board = node.turn.board
        told = self.told[chess.polyglot.zobrist_hash(board)]
        others = {u: n for u, n in self.source.replies(board).items() if u not in told}
        refutation = not others or rng.random() < REFUTATION
        first = unusual(rng, self.source, board) if refutation else draw(rng, others)
        if first is None or first.uci() in told:
            return False
        line = line_from(rng, self.source, board, rng.randint(5, 14), first)
        self.lines += 1
        assert node.before
        self.go_back(node, line, way)
        return True

    def near(self, usable: list[Node]) -> list[Node]:
        """Places that one goes back to without saying where: the last few moves, or where this line left another."""
        line = [n for n in usable if n.line == self.lines]
        return [*line[-NEAR:], *line[:1]] if self.lines and line else usable[-NEAR:]

    def go_back(self, node: Node, line: list[chess.Move], way: str) -> None:
        rng, script, before = self.rng, self.script, node.before
        assert before
        script.stop()
        first = len(script.bits)
        jump = script.jump(node.turn.board)
        self.last, self.last_took, self.previous = before.move, bool(before.taken), before
        slots = self.return_slots(node)
        turn = self.turn(line[0])
        slots = slots | self.speaker.slots(turn, {})
        wording = self.voice.say(f"return_{way}")
        index = -1
        whole = "<" not in wording
        for part in self.split(wording):
            for text, told in self.speaker.fill(part.strip("<>"), slots, turn, self.speaker.past):
                if told and "[" in part:
                    index = self.play(turn) if index < 0 else index
                    self.note(turn)
                    self.tell(text, (index,))
                elif whole or part.startswith("<"):
                    script.add(text, jump=jump)
                else:
                    script.add(text)
        script.fault(f"return:{way}", first, None, len(script.moves) - (index >= 0))
        if index < 0:
            if rng.random() < 0.5:
                self.note(turn)
                self.alternative(turn)
            else:
                self.line(line[:1])
        self.line(line[1:])

    @staticmethod
    def split(wording: str) -> list[str]:
        """The wording cut at its ``<return words>`` and ``[move words]``."""
        parts, part = [], ""
        for c in wording:
            if c in "<[" and part:
                parts.append(part)
                part = ""
            part += c
            if c in ">]":
                parts.append(part)
                part = ""
        return [p for p in [*parts, part] if p.strip()]

    def alternative(self, turn: Turn) -> None:
        if self.script.bits[-1].text not in ".,":
            self.script.add(",", raw=True)
        first = len(self.script.bits)
        slots = self.speaker.slots(turn, {})
        index = self.play(turn)
        self.say("alternative", turn, slots, (index,))
        self.script.fault("frame:alternative", first, None, index)

    def return_slots(self, node: Node) -> dict[str, str]:
        """Words for a return: the last move before the place, the move told there, pieces that stand there."""
        before, turn, speaker = node.before, node.turn, self.speaker
        assert before
        mover = speaker.who(before.board.turn)
        number = turn.board.fullmove_number
        return {
            "last": speaker.phrase(before), "lastn": speaker.name(before.piece),
            "lastto": speaker.square(before.move.to_square),
            "lastnoun": speaker.noun(before), "lasts": mover.subject, "lastposs": mover.possessive,
            "alt": speaker.phrase(turn), "altnoun": speaker.noun(turn), "altn": speaker.name(turn.piece),
            "no": NUMBERS[number] if number < len(NUMBERS) else str(number),
            "colour": "White" if turn.board.turn else "Black",
            **self.where(turn.board),
        }  # fmt: skip

    def where(self, board: chess.Board) -> dict[str, str]:
        """Pieces and where they stand: one (``the bishop on g7``) and two others with ``and``."""
        start = chess.Board()
        moved = [
            s for s, p in sorted(board.piece_map().items()) if start.piece_at(s) != p and p.piece_type != chess.KING
        ]
        chosen = [*self.rng.sample(moved, min(3, len(moved))), *moved[:1] * 3][:3]
        names = [f"the {self.speaker.name(board.piece_type_at(s) or 1)} on {self.speaker.square(s)}" for s in chosen]
        return {"where": names[0], "where2": " and ".join(dict.fromkeys(names[1:]))}

    def note(self, turn: Turn) -> None:
        """Remembers a move's place for returns."""
        self.nodes.append(Node(turn, self.previous, self.lines))
        self.told.setdefault(chess.polyglot.zobrist_hash(turn.board), set()).add(turn.move.uci())

    # Remarks that are no moves.

    def unit(self, rest: Sequence[chess.Move]) -> int:
        turn = self.turn(rest[0])
        if self.script.moves:
            self.remark(turn)
        last, took, previous, board = self.last, self.last_took, self.previous, self.script.board.copy(stack=False)
        count = super().unit(rest)
        for move in rest[:count]:
            now = Turn(board.copy(stack=False), move, last, took)
            self.nodes.append(Node(now, previous, self.lines))
            self.told.setdefault(chess.polyglot.zobrist_hash(board), set()).add(move.uci())
            last, took, previous = move, bool(now.taken), now
            board.push(move)
        if self.chance("retold") and not self.speaker.written:
            self.retell([n.turn for n in self.nodes[-min(count, 3) :]])
        return count

    def remark(self, turn: Turn) -> None:
        key = chess.polyglot.zobrist_hash(turn.board)
        if key in self.names and key not in self.called and self.rng.random() < 0.4:
            self.called.add(key)
            self.script.stop()
            first = len(self.script.bits)
            for text, _ in self.speaker.fill(self.voice.say("name_remark"), {"name": self.name(key)}, None, False):
                self.script.sentence(text)
            self.script.fault("mention:name", first)
        if self.chance("usual_not_played"):
            self.usual(turn)
        elif self.chance("mention"):
            kinds = sorted(MENTIONS)
            self.mention(self.rng.choices(kinds, [MENTIONS[k] for k in kinds])[0], turn.board)
        elif self.chance("chatter"):
            self.script.stop()
            first = len(self.script.bits)
            for _ in range(self.rng.choice((1, 1, 2, 3))):
                self.script.sentence(self.voice.say("chatter"))
            self.script.fault("chatter", first)

    def usual(self, turn: Turn) -> None:
        """Names the usual move, which is then not played."""
        replies = {u: n for u, n in self.source.replies(turn.board).items() if u != turn.move.uci()}
        if not replies:
            return
        usual = Turn(
            turn.board, chess.Move.from_uci(max(sorted(replies), key=lambda u: replies[u])), self.last, self.last_took
        )
        self.script.stop()
        first = len(self.script.bits)
        slots = self.speaker.slots(turn, {}) | {
            "usual": self.speaker.phrase(usual),
            "usualnoun": self.speaker.noun(usual),
        }
        for text, _ in self.speaker.fill(self.voice.say("usual_not_played"), slots, None, False):
            self.script.sentence(text)
        self.script.fault("mention:usual", first)

    def mention(self, kind: str, board: chess.Board) -> None:
        """Squares, aims, pawns named … that are no moves."""
        slots = self.mention_slots(board)
        if slots is None:
            return
        self.script.stop()
        first = len(self.script.bits)
        for text, _ in self.speaker.fill(self.voice.say(kind), slots, None, False):
            self.script.sentence(text)
        self.script.fault(kind.replace("_", ":", 1) if kind.startswith("mention") else kind, first)

    def mention_slots(self, board: chess.Board) -> dict[str, str] | None:
        rng, speaker = self.rng, self.speaker
        own = board.copy(stack=False)
        own.turn = speaker.side
        own.ep_square = None
        other = board.copy(stack=False)
        other.push(chess.Move.null())
        plans, threats = self.wishes(own), self.wishes(other)
        if len(plans) < 4 or not threats:
            return None
        ms = [Turn(own, m) for m in rng.sample(plans, 4)]
        threat = Turn(other, rng.choice(threats))
        squares = rng.sample([s for s in chess.SQUARES if 2 <= chess.square_rank(s) <= 5], 4)
        pawns = sorted(board.pieces(chess.PAWN, speaker.side)) or [chess.E2]
        pieces = [s for s, p in sorted(board.piece_map().items()) if p.piece_type in (2, 3, 4, 5)]
        pawn, piece = rng.choice(pawns), rng.choice(pieces)
        us, them = speaker.who(speaker.side), speaker.who(not speaker.side)
        slots = {f"m{n}": speaker.noun(t) for n, t in enumerate(ms, 1)}
        slots |= {f"to{n}": speaker.square(t.move.to_square) for n, t in enumerate(ms, 1)}
        slots |= {f"sq{n}": speaker.square(s) for n, s in enumerate(squares, 1)}
        return slots | {
            "from1": speaker.square(ms[0].move.from_square), "n1": speaker.name(ms[0].piece),
            "threat": speaker.noun(threat),
            "pawnsq": speaker.square(pawn), "pawnfile": chess.FILE_NAMES[chess.square_file(pawn)],
            "pawn": rng.choice(PAWN_NAMES[chess.FILE_NAMES[chess.square_file(pawn)]]),
            "psq": speaker.square(piece), "piece": speaker.name(NAMES[board.piece_type_at(piece) or 2]),
            "s": us.subject, "poss": us.possessive, "o": us.object, "_third": "1" if us.third else "",
            "os": them.subject, "oposs": them.possessive, "oo": them.object,
        }  # fmt: skip

    @staticmethod
    def wishes(board: chess.Board) -> list[chess.Move]:
        """Moves that one may dream of: forward, no king's move."""
        moves = sorted(board.pseudo_legal_moves, key=lambda m: m.uci())
        turns = [Turn(board, m) for m in moves if not m.promotion]
        return [t.move for t in turns if t.piece != chess.KING and t.rows >= 0]

    def retell(self, turns: list[Turn]) -> None:
        """The same move or moves told once more; they count once."""
        if not turns:
            return
        if self.script.bits[-1].text not in ".,":
            self.script.add(self.rng.choice((",", ".")), raw=True)
        first = len(self.script.bits)
        again = ", ".join(self.speaker.phrase(t, short=True) for t in turns)
        for text, _ in self.speaker.fill(self.voice.say("retold"), {"again": again}, None, False):
            self.script.add(text)
        self.script.fault("retold", first)


def generate(
    seed: int, source: Source, noise: str, style: str, held: bool, own: dict[str, Any] | None = None
) -> tuple[str, dict[str, Any]]:
    """One talk and its true reading; the same for the same seed, source and settings."""
    rng = Random(f"{seed} {noise} {style} {held}")
    styles = sorted(load_rates()["style"])
    if style == "any":
        style = rng.choice(styles)
    rates = Rates.of(style, noise, own)
    side = rng.choice((chess.WHITE, chess.BLACK))
    speaker = Speaker(rng, rates, side, Voice(rng, held))
    filler = rates["filler"] * (0.5 if not speaker.captions else 1.0) if noise != "clean" else 0.0
    script = Script(rng, speaker.captions, filler)
    Talk(rng, source, speaker, script, rng.randint(250, 460)).whole()
    script.stop()
    text, ref = script.finish()
    traits = [n for n in ("past", "captions", "spelled") if getattr(speaker, n)] + (
        [f"written:{speaker.written}"] if speaker.written else []
    )
    meta = {
        "title": f"generated {noise} talk {seed}",
        "side": "white" if side else "black",
        "style": style,
        "noise": noise,
        "seed": seed,
        "held": held,
    }
    return text, {"meta": meta, **ref, "traits": traits}

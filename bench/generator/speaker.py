"""One invented trainer: whom ``he`` means, the tense, the names of the pieces, how a move is put."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random
from typing import Any

import chess

from generator.english import PEOPLE, Person, conjugate
from generator.facts import NAMES, Turn
from generator.wordings import Voice, load_rates

SLOT = re.compile(r"\{(\w+)(?::([^}]*))?\}")
PAWN_NAMES = {
    "a": ("a pawn", "rook's pawn", "queen's rook's pawn"),
    "b": ("b pawn", "knight's pawn"),
    "c": ("c pawn", "bishop's pawn", "queen's bishop's pawn"),
    "d": ("d pawn", "queen's pawn"),
    "e": ("e pawn", "king's pawn"),
    "f": ("f pawn", "bishop's pawn", "king's bishop's pawn"),
    "g": ("g pawn", "knight's pawn"),
    "h": ("h pawn", "rook's pawn", "king's rook's pawn"),
}
TAKES = ("takes", "takes", "takes", "captures", "takes on", "grabs", "captures on")
NUMBERS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen".split()
)
#: Piece letters of German, and held back for judging those of French (common practice).
FOREIGN = ({"N": "S", "B": "L", "R": "T", "Q": "D"}, {"N": "C", "B": "F", "R": "T", "Q": "D", "K": "R"})


@dataclass
class Rates:
    """Probabilities of one talk: the defaults, the style's own, the noise, what the caller set."""

    values: dict[str, Any]

    @classmethod
    def of(cls, style: str, noise: str, own: dict[str, Any] | None = None) -> Rates:
        table = load_rates()
        values = {**table["talk"], **table["move"], **table["return"]}
        values |= {k: v * table["noise"][noise] for k, v in table["fault"].items()}
        values |= {k: v for k, v in table["style"][style].items() if k not in table["fault"]}
        scaled = {k: v * table["noise"][noise] for k, v in table["style"][style].items() if k in table["fault"]}
        return cls(values | scaled | (own or {}))

    def __getitem__(self, name: str) -> float:
        return float(self.values[name])


@dataclass
class Speaker:
    """A voice with habits, all drawn once per talk."""

    rng: Random
    rates: Rates
    side: chess.Color
    voice: Voice
    people: dict[chess.Color, Person] = field(init=False)
    past: bool = field(init=False)
    captions: bool = field(init=False)
    spelled: bool = field(init=False)
    written: str = field(init=False)

    def __post_init__(self) -> None:
        rng, rates = self.rng, self.rates
        self.past = rng.random() < rates["past"]
        self.captions = rng.random() < rates["captions"]
        self.spelled = self.captions and rng.random() < rates["spelled"]
        self.written = ""
        if not self.captions:
            small, book = rates["small_letters"], rates["written"]
            self.written = rng.choices(("small", "san", ""), (small, book, max(0.0, 1 - small - book)))[0]
        self.horse = rng.random() < self.rates.values.get("horse", 0.06)
        self.people = self._people(rng)
        self.to_share = rng.choice((0.1, 0.3, 0.6))
        self.article_share = rng.choice((0.0, 0.1, 0.4))
        self.take_words = rng.sample(TAKES, 3)
        self.tells_check = rng.random() < 0.7

    def _people(self, rng: Random) -> dict[chess.Color, Person]:
        kinds = self.rates.values.get(
            "people", ["colours", "we/he", "we/they", "I/he", "you/they", "we/opponent", "you/other"]
        )
        chosen = rng.choice(kinds)
        if chosen == "colours":
            return {chess.WHITE: PEOPLE["White"], chess.BLACK: PEOPLE["Black"]}
        own, other = chosen.split("/")
        return {self.side: PEOPLE[own], not self.side: PEOPLE[other]}

    def who(self, side: chess.Color) -> Person:
        """The person meant by a side, now and then by its colour all the same."""
        if self.rng.random() < 0.25:
            return PEOPLE["White" if side else "Black"]
        return self.people[side]

    def name(self, piece: int | str) -> str:
        name = NAMES[piece] if isinstance(piece, int) else piece
        return "horse" if name == "knight" and self.horse and self.rng.random() < 0.7 else name

    def square(self, square: chess.Square) -> str:
        name = chess.square_name(square)
        if self.spelled and self.rng.random() < 0.8:
            return f"{name[0]} {NUMBERS[int(name[1])]}"
        return name

    # How a move is put, with its square.

    def phrase(self, turn: Turn, short: bool = False) -> str:
        """``knight f3``, ``bishop takes c6``, ``e4``, ``castles`` … or the written move of this trainer."""
        if self.written:
            return self.write(turn)
        text = self._spoken(turn, short)
        if turn.after.is_checkmate():
            return text + self.rng.choice((", mate", ", checkmate", ""))
        if turn.after.is_check() and self.tells_check and not short:
            text += ", check"
        return text

    def _spoken(self, turn: Turn, short: bool) -> str:
        rng = self.rng
        to = self.square(turn.move.to_square)
        if turn.castles:
            long = turn.board.is_queenside_castling(turn.move)
            return rng.choice(
                ("castles long", "castles queenside", "long castles")
                if long
                else ("castles", "castles", "castles short", "castles kingside")
            )
        if turn.move.promotion:
            return f"pawn to {to} and makes a {self.name(turn.move.promotion)}"
        if turn.taken:
            return self._capture(turn, to, short)
        if turn.piece == chess.PAWN:
            return rng.choices((to, f"pawn {to}", f"pawn to {to}"), (0.88, 0.05, 0.07))[0]
        name, apart = self.name(turn.piece), self.apart(turn)
        if apart:
            return rng.choice(
                (
                    f"{name} {apart} {to}",
                    f"{name} {apart} to {to}",
                    f"the {apart} {name} to {to}" if apart.isalpha() else f"{name} from {apart} to {to}",
                )
            )
        if rng.random() < self.to_share:
            return f"{name} to {to}"
        return f"the {name} {to}" if rng.random() < self.article_share / 4 else f"{name} {to}"

    def _capture(self, turn: Turn, to: str, short: bool) -> str:
        rng = self.rng
        verb = rng.choice(self.take_words)
        on = "on " if rng.random() < 0.2 and not verb.endswith("on") else ""
        if turn.piece == chess.PAWN:
            file = chess.FILE_NAMES[turn.files[0]]
            choices = (
                f"{file} takes {to}",
                f"takes {on}{to}",
                f"pawn takes {to}",
                "pawn takes",
                f"{file} takes",
                f"{file} pawn takes {to}",
            )
            return rng.choices(choices, (5, 2, 1, 1.5 if short else 0.4, 1 if short else 0.4, 0.5))[0]
        name = self.name(turn.piece)
        apart = self.apart(turn)
        who = f"{name} {apart}".strip() if apart.isalpha() or not apart else f"{name} on {apart}"
        taken = self.name(turn.taken)
        choices = (
            f"{who} {verb} {on}{to}",
            f"{who} takes",
            f"takes {on}{to}",
            f"{who} takes {taken}",
            f"takes with the {name}",
        )
        bare = 3 if short else 1
        return rng.choices(choices, (5, bare, 1, 0.7, 0.4))[0]

    def apart(self, turn: Turn) -> str:
        """What tells two like pieces apart (``b``, ``5`` or a square), as in the written move; often left out."""
        if turn.piece in (chess.PAWN, chess.KING):
            return ""
        san = turn.board.san(turn.move).rstrip("+#").replace("x", "")
        extra = san[1:-2]
        if not extra or self.rng.random() < 0.2:
            return ""
        return extra if extra.isalpha() else self.square(turn.move.from_square)

    def noun(self, turn: Turn) -> str:
        """The move as the object of a verb or preposition: ``the knight to e2``, ``castling``, ``b5``."""
        rng = self.rng
        to = self.square(turn.move.to_square)
        if turn.castles:
            long = turn.board.is_queenside_castling(turn.move)
            return rng.choice(("castling long", "castling queenside") if long else ("castling", "castling short"))
        name = self.name(turn.piece)
        if turn.taken or turn.move.promotion:
            return self.phrase(turn)
        if turn.piece == chess.PAWN:
            return rng.choice((to, to, f"the pawn to {to}", f"pawn to {to}"))
        apart = self.apart(turn)
        if apart:
            return f"the {apart} {name} to {to}" if apart.isalpha() else f"the {name} from {apart} to {to}"
        return rng.choice(
            (
                f"the {name} to {to}",
                f"{name} {to}",
                f"{name} to {to}",
                f"the {name} {to}" if rng.random() < 0.7 else f"the move {name} {to}",
            )
        )

    def write(self, turn: Turn) -> str:
        san = turn.board.san(turn.move)
        if self.written == "small":
            san = san.replace("O-O-O", "o-o-o").replace("O-O", "o-o").rstrip("+#")
            if self.rng.random() < 0.3:
                san = san.replace("o", "0")
            if self.rng.random() < self.rates["foreign_letter"]:
                san = FOREIGN[self.voice.held].get(san[0], san[0]) + san[1:]
            san = san[0].lower() + san[1:]
            if self.rng.random() < self.rates["x_missing"] and "x" in san:
                san = san.replace("x", ":" if self.rng.random() < 0.3 else "")
        return san

    def numbered(self, turn: Turn, first: bool) -> str:
        """The written move with its number where a sheet would have one."""
        number = turn.board.fullmove_number
        if turn.board.turn:
            return f"{number}. {self.write(turn)}"
        return f"{number}... {self.write(turn)}" if first else self.write(turn)

    # Filling a wording's slots.

    def slots(self, turn: Turn, extra: dict[str, str]) -> dict[str, str]:
        """Words for the slots of a wording that tells this move."""
        mover = self.who(turn.board.turn)
        other = self.who(not turn.board.turn)
        file = extra.get("file", chess.FILE_NAMES[turn.files[0]])
        name = self.name(turn.piece)
        names = {
            "s": mover.subject, "me": mover.object, "poss": mover.possessive, "o": other.object, "os": other.subject,
            "oposs": other.possessive, "n": name, "x": self.name(turn.taken) if turn.taken else "",
            "N": f"{mover.possessive} {name}" if self.rng.random() < 0.4 else f"the {name}",
            "to": self.square(turn.move.to_square), "from": self.square(turn.move.from_square), "file": file,
            "pawn": self.rng.choice(PAWN_NAMES[chess.FILE_NAMES[turn.files[0]]]), "other": "other",
        }  # fmt: skip
        for key in ("obj", "osq", "objfile"):
            if key in extra:
                names[key] = self.name(extra[key]) if key == "obj" else extra[key]
        names["_third"] = "1" if mover.third else ""
        return names

    def fill(self, wording: str, slots: dict[str, str], turn: Turn | None, past: bool) -> Iterator[tuple[str, bool]]:
        """The parts of a wording with its slots filled; True for the part that tells the move."""
        whole = "[" not in wording and turn is not None
        for part in re.split(r"(\[[^\]]*\])", wording):
            told = part.startswith("[")
            text = SLOT.sub(lambda m: self._slot(m, slots, turn, past), part.strip("[]") if told else part)
            if text.strip():
                yield text, told or whole

    def _slot(self, found: re.Match[str], slots: dict[str, str], turn: Turn | None, past: bool) -> str:
        name, verb = found[1], found[2]
        if name == "v":
            return conjugate(verb, bool(slots["_third"]), past, slots["s"])
        if name == "w":
            return conjugate(verb, True, past)
        if name == "P" and turn:
            return self.phrase(turn)
        if name == "pt" and turn:
            return self.noun(turn)
        return slots[name]

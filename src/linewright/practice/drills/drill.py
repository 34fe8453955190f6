"""A drill: one thing that a pupil is asked, with all that is accepted and what is said to a wrong answer."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from typing import Any

import chess

#: Hexadecimal digits of a drill's name: 64 bits, so that among a million drills two never share one in practice.
ID_DIGITS = 16


class Task(StrEnum):
    """What is asked."""

    ANSWER = "answer"
    PUNISH = "punish"
    PLAN = "plan"
    SQUARES = "squares"
    SAID = "said"
    PLAY = "play"


class Standing(StrEnum):
    """How good an accepted move is: the lesson's own, or one that the games or an engine show equally good."""

    TAUGHT = "taught"
    EQUAL = "equal"


class Source(StrEnum):
    """Who says how a wrong move is punished."""

    TALK = "talk"
    ENGINE = "engine"
    GAMES = "games"
    BOARD = "board"


@dataclass(frozen=True, slots=True)
class Accepted:
    """A move that counts as right (taught) or as not wrong (equal).

    :param why: for an equal move its figures, readable at a glance; ``""`` for a taught one.
    """

    uci: str
    san: str
    standing: Standing = Standing.TAUGHT
    why: str = ""


@dataclass(frozen=True, slots=True)
class Wrong:
    """A wrong move and the reply that punishes it.

    :param reply: what is played against it, in SAN, the punishing move first; at least one move.
    :param why: what the reply wins or how it scores, readable at a glance; may be ``""``.
    """

    uci: str
    san: str
    reply: tuple[str, ...]
    source: Source
    why: str = ""


@dataclass(frozen=True, slots=True)
class Goal:
    """When playing on is won.

    :param moves: own moves to play.
    :param square: the man on it has to be won; ``""`` where the goal is only to stand well.
    :param least: expected score (0-1) that the engine must still see for the pupil at the end.
    """

    moves: int
    square: str
    least: float


@dataclass(frozen=True, slots=True)
class Drill:
    """One thing to ask a pupil.

    :param id: the same whenever the same is asked of the same position, so that a talk read again, or another talk
        that reaches the position by other moves, keeps what the pupil has learned.
    :param fen: full FEN of the position shown.
    :param side: ``white`` or ``black``: the pupil's.
    :param asked: the question.
    :param moves: moves that are accepted, taught ones first.
    :param wrong: wrong moves whose punishment is known.
    :param squares: squares to tap; for ``whole_files`` any square of each file.
    :param choices: what to choose from; ``right`` is the index of the right one.
    :param words: the trainer's own sentence at that place; ``""`` where nothing was said.
    :param line: moves from the lesson's start to the position, in UCI.
    :param start: full FEN that the line starts from.
    :param reach: chance (0-1) that a pupil who plays the lesson's moves meets the position.
    :param goal: of playing on.
    """

    id: str
    task: Task
    fen: str
    side: str
    asked: str
    moves: tuple[Accepted, ...] = ()
    wrong: tuple[Wrong, ...] = ()
    squares: tuple[str, ...] = ()
    whole_files: bool = False
    choices: tuple[str, ...] = ()
    right: int = 0
    words: str = ""
    line: tuple[str, ...] = ()
    start: str = chess.STARTING_FEN
    reach: float = 0.0
    lesson: str = ""
    goal: Goal | None = None

    @property
    def taught(self) -> tuple[Accepted, ...]:
        """The lesson's own moves."""
        return tuple(move for move in self.moves if move.standing is Standing.TAUGHT)


def key_of(fen: str) -> str:
    """What makes two positions the same (FIDE Laws 9.2.2): pieces, side to move, castling rights, and the en passant
    square only where such a capture is legal."""
    return chess.Board(fen).epd(en_passant="legal")


def drill_id(task: Task, fen: str, side: str, detail: str = "") -> str:
    """A drill's name: the same for the same question about the same position.

    :param detail: what distinguishes several questions of one task about one position.
    """
    # Answering and punishing are the same act; only the words of the question differ.
    kind = Task.ANSWER if task is Task.PUNISH else task
    text = "\n".join((kind, key_of(fen), side, detail))
    return hashlib.sha256(text.encode()).hexdigest()[:ID_DIGITS]


def merged(drills: Iterable[Drill]) -> tuple[Drill, ...]:
    """Drills of several lessons, each id once: what any lesson teaches is accepted, and nothing taught is wrong."""
    kept: dict[str, Drill] = {}
    for drill in drills:
        known = kept.get(drill.id)
        kept[drill.id] = drill if known is None else _both(known, drill)
    return tuple(kept.values())


def _both(one: Drill, other: Drill) -> Drill:
    moves: dict[str, Accepted] = {move.uci: move for move in (*other.moves, *one.moves)}
    moves |= {move.uci: move for move in (*other.taught, *one.taught)}
    ranked = sorted(moves.values(), key=lambda move: move.standing is Standing.EQUAL)
    wrong = {move.uci: move for move in (*other.wrong, *one.wrong) if move.uci not in moves}
    return replace(one, moves=tuple(ranked), wrong=tuple(wrong.values()), reach=max(one.reach, other.reach))


def drill_json(drill: Drill) -> dict[str, Any]:
    """A drill as JSON values; :func:`drill_of_json` makes the same drill of them."""
    return asdict(drill)


def drill_of_json(data: Mapping[str, Any]) -> Drill:
    """The drill of its JSON values.

    :raises ValueError, KeyError, TypeError: when they don't describe a drill.
    """
    fields = dict(data)
    fields["task"] = Task(fields["task"])
    fields["moves"] = tuple(Accepted(**{**move, "standing": Standing(move["standing"])}) for move in fields["moves"])
    fields["wrong"] = tuple(
        Wrong(**{**move, "source": Source(move["source"]), "reply": tuple(move["reply"])}) for move in fields["wrong"]
    )
    fields["goal"] = Goal(**fields["goal"]) if fields.get("goal") else None
    for name in ("squares", "choices", "line"):
        fields[name] = tuple(fields[name])
    return Drill(**fields)

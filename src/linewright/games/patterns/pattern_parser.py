"""Questions about what stands on the board, in the trade's words, and what they ask of a position.

A question is a list of conditions, separated by commas (or "and"), that must all hold in one position:
``white isolated d-pawn, queens off, within the first 25 moves``. A condition without "white" or "black" may hold for
either side, the same one in the whole question. What can be asked is listed in :data:`PATTERN_HELP`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import chess

from linewright.support.errors import UnusableInput

#: What can be asked, one line each, for help and messages.
PATTERN_HELP: Final = (
    "pieces: rooks on c1 and d1 · knight on e5 · pawns on c4 and d4 · no pawn on the d-file",
    "pawns: isolated d-pawn · doubled pawns on the c-file · passed pawn · backward d-pawn · isolated queen's pawn · "
    "hanging pawns · majority on the queenside",
    "files: open c-file · half-open f-file",
    "material: queens off · queens on · opposite bishops · bishop pair · rook against bishop · rook ending · "
    "a pawn up · exchange up · equal material",
    "kings: castled kingside · castled queenside · opposite castling",
    "when: within the first 20 moves · from move 10 · for 5 moves",
    "whose: white or black before a condition; without it, the same side for all",
)


class Op(IntEnum):
    """What a condition tests; see :mod:`linewright.games.patterns.pattern_scan` for how."""

    PLACED = 0
    ISOLATED = 1
    DOUBLED = 2
    PASSED = 3
    BACKWARD = 4
    HANGING = 5
    COUNT = 6
    MORE = 7
    OPPOSITE_BISHOPS = 8
    SAME_BISHOPS = 9
    BISHOP_PAIR = 10
    POINTS = 11


class Whose(IntEnum):
    """The side that a condition is about: the one looked from, its opponent, or one by name."""

    OWN = 0
    OTHER = 1
    WHITE = 2
    BLACK = 3


@dataclass(frozen=True, slots=True)
class Condition:
    """One test of a position.

    :param kind: piece 1-6 that it is about; 0 none.
    :param mask: squares; of :attr:`Op.PLACED` all must hold the piece, of the others any square counts.
    :param low: least number; ``high``: greatest.
    :param upright: ``mask`` is as seen from White and is turned over for Black's side.
    """

    op: Op
    whose: Whose
    kind: int = 0
    mask: int = chess.BB_ALL
    low: int = 0
    high: int = 64
    upright: bool = False


@dataclass(frozen=True, slots=True)
class BoardPattern:
    """A question taken apart.

    :param text: as asked.
    :param first: half-moves before the first position that counts; ``last`` before the last one, None: the end.
    :param least: positions in a row in which it must hold.
    """

    text: str
    conditions: tuple[Condition, ...]
    first: int = 0
    last: int | None = None
    least: int = 1

    @property
    def either(self) -> bool:
        """May hold for either side: some condition names none."""
        return any(
            condition.whose in (Whose.OWN, Whose.OTHER) and not _even(condition) for condition in self.conditions
        )


def _even(condition: Condition) -> bool:
    """Asks the same of both sides."""
    return condition.op in (Op.OPPOSITE_BISHOPS, Op.SAME_BISHOPS)


_KINDS: Final = {"king": 6, "queen": 5, "rook": 4, "bishop": 3, "knight": 2, "pawn": 1}
_NUMBERS: Final = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "no": 0}
_PIECE: Final = r"(?:king|queen|rook|bishop|knight|pawn)s?"
_SQUARES: Final = r"[a-h][1-8](?:(?:\s*,\s*|\s+and\s+|\s+)[a-h][1-8])*"
_FILE: Final = r"(?P<file>[a-h])(?:[\s-]?(?:file|pawns?))"

#: What both sides' halves of the board hold of files (0-7), for majorities.
_WINGS: Final = {"queenside": "abc", "kingside": "fgh"}

Maker = Callable[[re.Match[str], Whose], tuple[Condition, ...]]


def parse_pattern(question: str) -> BoardPattern:
    """Read a question.

    :raises UnusableInput: quoting the part that isn't understood; the advice lists what can be asked.
    """
    conditions: list[Condition] = []
    first, last, least = 0, None, 1
    for clause in _clauses(question):
        timed = _when(clause)
        if timed is None:
            conditions += _conditions(clause)
            continue
        begin, end, lasting = timed
        first = max(first, begin)
        last = end if last is None else last if end is None else min(last, end)
        least = max(least, lasting)
    if not conditions:
        raise UnusableInput(f'"{question}" contains no condition', _advice())
    if last is not None and first > last:
        raise UnusableInput(f'"{question}" leaves no move to look at', "Widen the moves asked for.")
    return BoardPattern(question.strip(), tuple(conditions), first, last, least)


def _advice() -> str:
    return f"What can be asked: {'; '.join(PATTERN_HELP)}."


def _clauses(question: str) -> Iterator[str]:
    """Conditions one by one: separated by commas, and at "and" where both halves are conditions of their own."""
    text = " ".join(question.lower().replace("’", "'").replace(";", ",").split()).rstrip(".")
    parts = [part.strip() for part in text.split(",") if part.strip()]
    joined: list[str] = []
    for part in parts:
        if joined and re.match(r"[a-h][1-8]\b", part) and re.search(rf"{_SQUARES}$", joined[-1]):
            joined[-1] += " and " + part
        else:
            joined.append(part)
    for part in joined:
        yield from _halves(part)


def _halves(part: str) -> Iterator[str]:
    if timed := _WHEN.search(part):
        yield from _halves(part[: timed.start()].removesuffix(" and"))
        part = timed[1]
    if " and " in part and not _understood(part):
        for match in reversed(list(re.finditer(r"\s+and\s+", part))):  # the longest condition first
            left, right = part[: match.start()], part[match.end() :]
            if _understood(left):
                yield left
                yield from _halves(right)
                return
    yield part


def _understood(clause: str) -> bool:
    return _when(clause) is not None or _made(clause) is not None


#: A time said behind a condition, without a comma.
_WHEN: Final = re.compile(
    r"(?<=\S)\s+((?:(?:with)?in the first|by move|until move|before move|from move|after move|for) .*\d.*)$"
)


def _when(clause: str) -> tuple[int, int | None, int] | None:
    """First and last half-move and how many positions in a row, where the clause says when."""
    for pattern, times in _TIMES:
        if match := re.fullmatch(pattern, clause):
            return times(int(match[1]))
    return None


_TIMES: Final[tuple[tuple[str, Callable[[int], tuple[int, int | None, int]]], ...]] = (
    (r"(?:within|in) the first (\d+) moves?", lambda n: (0, 2 * n, 1)),
    (r"(?:by|until|before) move (\d+)", lambda n: (0, 2 * n, 1)),
    (r"(?:from|after) move (\d+)(?: on)?", lambda n: (2 * n - 1, None, 1)),
    (r"for (?:at least )?(\d+) moves?", lambda n: (0, None, 2 * n)),
)


def _conditions(clause: str) -> tuple[Condition, ...]:
    made = _made(clause)
    if made is None:
        raise UnusableInput(f'"{clause}" is not understood', _advice())
    return made


def _made(clause: str) -> tuple[Condition, ...] | None:
    side = re.match(r"(white|black)(?:'s)?\s+(?:has |have |is |with )?|(?:the |a |an )(?=\D)", clause)
    rest, whose = clause, Whose.OWN
    if side and side[1]:
        rest, whose = clause[side.end() :], Whose.WHITE if side[1] == "white" else Whose.BLACK
    elif ending := re.search(r"\s+(?:for|of) (white|black)$", clause):
        rest, whose = clause[: ending.start()], Whose.WHITE if ending[1] == "white" else Whose.BLACK
    for pattern, make in _FORMS:
        for text in (rest, re.sub(r"^(?:the|an|a)\s+", "", rest)):
            if match := re.fullmatch(pattern, text):
                return make(match, whose)
    return None


def _opponent(whose: Whose) -> Whose:
    return {Whose.OWN: Whose.OTHER, Whose.OTHER: Whose.OWN, Whose.WHITE: Whose.BLACK, Whose.BLACK: Whose.WHITE}[whose]


def _squares(text: str) -> int:
    mask = 0
    for name in re.findall(r"[a-h][1-8]", text):
        mask |= chess.BB_SQUARES[chess.parse_square(name)]
    return mask


def _file(letter: str | None) -> int:
    return chess.BB_FILES["abcdefgh".index(letter)] if letter else chess.BB_ALL


def _placed(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    return (Condition(Op.PLACED, whose, _KINDS[match["piece"].rstrip("s")], _squares(match["squares"])),)


def _pawns(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    mask = _file(match["file"]) & _file(match["on"])
    if match["square"]:
        mask &= _squares(match["square"])
    return (Condition(Op[match["trait"].upper()], whose, 1, mask),)


def _queens_pawn(_: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    """As :func:`linewright.board.structure.pawns.isolated_queens_pawn`: the only pawn of both sides on the d-file."""
    d_file = _file("d")
    return (
        Condition(Op.ISOLATED, whose, 1, d_file),
        Condition(Op.COUNT, whose, 1, d_file, 1, 1),
        Condition(Op.COUNT, _opponent(whose), 1, d_file, 0, 0),
    )


def _count(kind: int, low: int, high: int, whose: Whose, mask: int = chess.BB_ALL) -> Condition:
    return Condition(Op.COUNT, whose, kind, mask, low, high)


def _both(kind: int, low: int, high: int) -> tuple[Condition, ...]:
    return (_count(kind, low, high, Whose.WHITE), _count(kind, low, high, Whose.BLACK))


def _against(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    """Exactly these pieces beside kings and pawns."""
    found: list[Condition] = []
    for text, side in ((match["one"], whose), (match["other"], _opponent(whose))):
        wanted = dict.fromkeys((2, 3, 4, 5), 0)
        for number, piece in re.findall(rf"(?:(\w+)\s+)?({_PIECE})", text):
            kind = _KINDS[piece.rstrip("s")]
            if kind in wanted:
                wanted[kind] += _NUMBERS.get(number, 1)
        found += [_count(kind, count, count, side) for kind, count in wanted.items()]
    return tuple(found)


def _ending(match: re.Match[str], _: Whose) -> tuple[Condition, ...]:
    """Kings, pawns and only pieces of this kind, at least one on the board of each side."""
    words = match["kind"].rstrip("s")
    kinds = {"minor piece": (2, 3), "minor-piece": (2, 3), "pawn": ()}.get(words) or (
        () if words == "pawn" else (_KINDS.get(words, 0),)
    )
    none = [condition for kind in (2, 3, 4, 5) if kind not in kinds for condition in _both(kind, 0, 0)]
    some = [condition for kind in kinds for condition in _both(kind, 1 if len(kinds) == 1 else 0, 8)]
    if len(kinds) > 1:
        some += [Condition(Op.POINTS, side, 0, chess.BB_ALL, 3, 99) for side in (Whose.WHITE, Whose.BLACK)]
    return (*none, *some)


def _pawns_up(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    """More pawns, and the same pieces."""
    number = _NUMBERS[match["number"] or "a"]
    number = -number if match["way"] in ("down", "less") else number
    pieces = [Condition(Op.MORE, whose, kind, low=0, high=0) for kind in (2, 3, 4, 5)]
    return (Condition(Op.MORE, whose, 1, low=number, high=number), *pieces)


def _exchange(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    """A rook more, a bishop or knight less, the queens even. Common practice."""
    side = _opponent(whose) if match["way"] == "down" else whose
    return (
        Condition(Op.MORE, side, 4, low=1, high=1),
        Condition(Op.MORE, side, 0, low=-1, high=-1),
        Condition(Op.MORE, side, 5, low=0, high=0),
    )


def _equal(_: re.Match[str], __: Whose) -> tuple[Condition, ...]:
    return tuple(Condition(Op.MORE, Whose.WHITE, kind, low=0, high=0) for kind in (1, 2, 3, 4, 5))


def _castled(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    """The king stands where castling and the step after it bring it."""
    return (_king(match["wing"], whose),)


def _king(wing: str, whose: Whose) -> Condition:
    squares = "g1 h1" if wing == "kingside" else "a1 b1 c1"
    return Condition(Op.COUNT, whose, 6, _squares(squares), 1, 1, upright=True)


def _majority(match: re.Match[str], whose: Whose) -> tuple[Condition, ...]:
    mask = 0
    for letter in _WINGS[match["wing"]]:
        mask |= _file(letter)
    return (Condition(Op.MORE, whose, 1, mask, 1, 8),)


_FORMS: Final[tuple[tuple[str, Maker], ...]] = (
    (rf"(?P<piece>{_PIECE}) on (?P<squares>{_SQUARES})", _placed),
    (
        r"(?P<trait>isolated|doubled|passed|backward) (?:(?P<file>[a-h])[\s-]?)?pawns?"
        r"(?: on (?:the )?(?:(?P<on>[a-h])[\s-]file|(?P<square>[a-h][1-8])))?",
        _pawns,
    ),
    (r"isolated queen'?s'? pawn", _queens_pawn),
    (r"hanging pawns", lambda m, w: (Condition(Op.HANGING, w),)),
    (r"(?:pawn )?majority on the (?P<wing>queenside|kingside)", _majority),
    (rf"no pawns? on the {_FILE}", lambda m, w: (_count(1, 0, 0, w, _file(m["file"])),)),
    (rf"open {_FILE}", lambda m, w: (
        _count(1, 0, 0, Whose.WHITE, _file(m["file"])), _count(1, 0, 0, Whose.BLACK, _file(m["file"])))),
    (rf"half[\s-]open {_FILE}", lambda m, w: (
        _count(1, 0, 0, w, _file(m["file"])), _count(1, 1, 8, _opponent(w), _file(m["file"])))),
    (r"queens? off|no queens?|without queens?|queens exchanged", lambda m, w: _both(5, 0, 0)),
    (r"queens? on|with queens?", lambda m, w: _both(5, 1, 9)),
    (r"opposite(?:[\s-]colou?red)? bishops?", lambda m, w: (Condition(Op.OPPOSITE_BISHOPS, Whose.WHITE),)),
    (r"same[\s-]colou?red bishops?", lambda m, w: (Condition(Op.SAME_BISHOPS, Whose.WHITE),)),
    (r"bishop pair|two bishops|pair of bishops", lambda m, w: (Condition(Op.BISHOP_PAIR, w),)),
    (rf"(?P<one>(?:\w+\s+)?{_PIECE}(?: and (?:\w+\s+)?{_PIECE})*) (?:against|versus|vs\.?) "
     rf"(?P<other>(?:\w+\s+)?{_PIECE}(?: and (?:\w+\s+)?{_PIECE})*)", _against),
    (r"(?P<kind>pawn|knight|bishop|rook|queen|minor[\s-]piece)s? ending", _ending),
    (r"(?:(?P<number>an?|one|two|three) )?pawns? (?P<way>up|down|more|less)", _pawns_up),
    (r"exchange (?P<way>up|down)", _exchange),
    (r"(?:equal|level|even) material|material (?:equal|level|even)", _equal),
    (r"castled (?P<wing>kingside|queenside)", _castled),
    (r"opposite(?:[\s-]side)? castling", lambda m, w: (_king("kingside", w), _king("queenside", _opponent(w)))),
)  # fmt: skip

"""What a recogniser is given beforehand: how chess is spoken, and an opening's names and usual moves."""

from __future__ import annotations

import difflib
import heapq
import re
import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

import chess
from ocn import Row

from linewright.games.api import GameSource
from linewright.language.name_words import name_words
from linewright.language.tables import ENGLISH
from linewright.lesson.opening import catalogue, full_name
from linewright.lesson.spoken import in_words
from linewright.support.errors import UnusableInput

#: How trainers speak moves, in whole sentences, with every piece and verb. A recogniser takes it for what was
#: said before and goes on in its manner: pieces by name, squares as a letter and a digit, full stops. Measured
#: on four talks (bench/bench_hear.py; chess words, F): without it 0.91, a bare list of words 0.95, this 0.97. Which
#: lines are given matters less than 0.01.
MANNER: Final = str(ENGLISH.table("hearing").get("manner"))

#: Names and moves of an opening that are given. The recogniser remembers some 220 tokens of what went before; a
#: move takes four, a name about as many. Measured: the names come out better spelt, the moves as well as before.
NAMES, MOVES = 6, 12

#: Entries and branches of the catalogue, the largest first, whose games are counted to find the most played.
CANDIDATES: Final = 24

#: Positions of an opening that are looked up, the likeliest first (each takes 5-10 ms in a base of 170 000
#: games), and the least share of its games that a position must have for more of its moves to be usual.
POSITIONS: Final = 120
LEAST_SHARE: Final = 0.005

_ECO = re.compile(r"[A-Ea-e][0-9]{2}")
#: How many times larger another opening must be to be meant by words that this one's name begins with: "Slav"
#: is the Slav rather than the Semi-Slav, but "Winawer" the French rather than a gambit in the Slav.
BEGINS: Final = 4


@dataclass(frozen=True, slots=True)
class PrimedOpening:
    """What a recogniser is given about an opening.

    :param names: its own name first, then its branches', the most usual first.
    :param moves: its usual moves as they are said, the most usual first.
    """

    names: tuple[str, ...]
    moves: tuple[str, ...]


def prompt(topic: PrimedOpening | None = None) -> str:
    """The text that a recogniser is given beforehand."""
    if topic is None:
        return MANNER
    parts = [", ".join(topic.names), ", ".join(topic.moves)]
    opening = " ".join(f"{part[0].upper()}{part[1:]}." for part in parts if part)
    return f"{opening} {MANNER}"


def about(name: str, base: GameSource | None) -> PrimedOpening:
    """The opening of that name (or ECO code), by the catalogue and, where there is one, by the games base.

    :raises UnusableInput: when the catalogue knows no such opening; names those called something like it.
    """
    row = find(name, base)
    weights = _moves_in_base(base, row) if base else Counter()
    moves = (weights or _moves_in_catalogue(row)).most_common(MOVES)
    return PrimedOpening(_names(row, base), tuple(move for move, _ in moves))


def find(name: str, base: GameSource | None = None) -> Row:
    """The entry of the catalogue that is meant by a name (its words in any order) or an ECO code.

    Of several the one is meant that has most branches and, where there is a base, most games.

    :raises UnusableInput: see :func:`about`.
    """
    wanted = _words(name)
    if _ECO.fullmatch(name.strip()):
        code = name.strip().upper()
        coded = [row for row in catalogue().by_eco(code) if row.moves_uci]
        if coded:  # a range of codes stands at its broadest entry, which the first of them belongs to
            return min(coded, key=lambda row: (min(row.eco) != code, row.depth, row.ocn1))
    fits = {row.ocn1: fit for row in _rows() if row.moves_uci and (fit := _fit(wanted, row))}
    if fits:
        broad = [row for row in map(catalogue().by_slug, fits) if row.parent not in fits]
        largest = sorted(broad, key=lambda r: (-fits[r.ocn1] * _branches(r), r.depth))
        return max(largest[:CANDIDATES], key=lambda row: fits[row.ocn1] * _branches(row) * _games(row, base))
    heads = _heads()
    alike = [heads[near] for near in difflib.get_close_matches(" ".join(wanted), heads, n=3, cutoff=0.55)]
    hint = f"Similar: {', '.join(alike)}." if alike else "Try a name as “Caro-Kann”, or an ECO code as “B12”."
    raise UnusableInput(f"no opening in the catalogue is called “{name}”", hint)


def _fit(wanted: tuple[str, ...], row: Row) -> int:
    """What an entry's size counts for: more where its name or alias begins with the words, 0 where some lack."""
    fit = 0
    for name in (row.canonical_name, *row.aliases):
        words = _words(name)
        if wanted and set(wanted) <= set(words):
            fit = max(fit, BEGINS if set(words[: len(wanted)]) == set(wanted) else 1)
    return fit


@cache
def _words(name: str) -> tuple[str, ...]:
    """A name's words without accents, signs and upper case: "Grünfeld's" is "grunfelds"."""
    plain = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c)).replace("'", "").replace("’", "")
    return tuple(re.findall(r"[a-z0-9]+", plain))


@cache
def _branches(row: Row) -> int:
    """How many entries the catalogue has below one: how much there is to say of it."""
    return sum(1 for _ in catalogue().walk(row.ocn1))


def _rows() -> Iterator[Row]:
    """All entries of the catalogue."""
    for volume in "ABCDE":
        yield from catalogue().walk(volume)


@cache
def _heads() -> dict[str, str]:
    """What families of openings are called, by the words of it: "caro kann" is "Caro-Kann"."""
    heads = (full_name(row).partition(",")[0] for row in _rows() if row.moves_uci)
    return {" ".join(_words(head)): head for head in heads}


def _games(row: Row, base: GameSource | None) -> int:
    """One more than the games of the base through an entry's position, so that none stands for nothing."""
    if base is None:
        return 1
    board = chess.Board()
    for uci in row.moves_uci:
        board.push_uci(uci)
    return 1 + base.replies(board).total


def _names(row: Row, base: GameSource | None) -> tuple[str, ...]:
    """The opening's name and those of its branches that say something new, the most usual first."""
    names = [full_name(row)]
    known = set(_words(names[0])) | name_words().generic
    branches = sorted(catalogue().walk(row.ocn1), key=lambda branch: -_branches(branch))[:CANDIDATES]
    for branch in sorted(branches, key=lambda branch: -_games(branch, base)):
        part = full_name(branch).rpartition(", ")[2]
        fresh = [word for word in _words(part) if word not in known and len(word) > 2]
        if fresh and not re.search(r"[\d(/]", part) and len(names) < NAMES:
            names.append(part)
            known |= set(fresh)
    return tuple(names)


def _moves_in_catalogue(row: Row) -> Counter[str]:
    """How many entries of the opening each move leads to, as it is said."""
    weights: Counter[str] = Counter()
    seen: set[tuple[str, ...]] = set()
    for branch in catalogue().walk(row.ocn1):
        board = chess.Board()
        for ply, uci in enumerate(branch.moves_uci, start=1):
            move = chess.Move.from_uci(uci)
            if branch.moves_uci[:ply] not in seen:
                weights[_say(board, move)] += 1
            board.push(move)
        seen |= {branch.moves_uci[:ply] for ply in range(1, len(branch.moves_uci) + 1)}
    return weights


def _moves_in_base(base: GameSource, row: Row) -> Counter[str]:
    """How often each move was played in the opening's likeliest positions, as it is said."""
    board = chess.Board()
    weights: Counter[str] = Counter()
    for uci in row.moves_uci:
        board.push_uci(uci)
    root = base.replies(board)
    if not root.total:
        return weights
    waiting = [(-root.total, 0, board)]
    known = {board.fen()}
    order = 0
    for _ in range(POSITIONS):
        if not waiting:
            break
        _, _, board = heapq.heappop(waiting)
        for reply in base.replies(board).replies:
            move = chess.Move.from_uci(reply.uci)
            weights[_say(board, move)] += reply.games
            after = board.copy(stack=False)
            after.push(move)
            if reply.games >= LEAST_SHARE * root.total and after.fen() not in known:
                known.add(after.fen())
                order += 1
                heapq.heappush(waiting, (-reply.games, order, after))
    return weights


def _say(board: chess.Board, move: chess.Move) -> str:
    """A move as it is said, check left out."""
    return in_words(board.san(move).rstrip("+#"))

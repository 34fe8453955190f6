"""Positions as the reader sees them: legal moves, how likely each is to be played, which ones a phrase fits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple, Protocol

import chess
import chess.polyglot

from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search import move_prior as sense
from linewright.reading.search.legal import Legal, gives_check


class MoveCounts(Protocol):
    """What the reader asks of a games base: how often each move was played."""

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """For each known Zobrist key, games by UCI move."""
        ...


#: With ``n`` games from a position, its counts weigh ``n / (n + FEW_GAMES)`` of what the base can weigh.
FEW_GAMES = 4.0
#: Share of moves that a lesson shows although the games hardly do: refutations, mistakes, the trainer's own ideas.
UNUSUAL = 0.12

#: Costs in nats for a phrase that says something a little different from the move.
CAPTURE_UNSAID = 0.7
CAPTURE_UNSAID_WRITTEN = 1.0
PAWN_CAPTURE_UNSAID = 3.0
CHECK_WRONG = 3.5
MATE_WRONG = 3.0
NUMBER_WRONG = 3.0
#: A bare square meant for a piece: some trainers leave the piece out where the games leave no doubt.
PIECE_UNSAID = 2.5
#: "back to e5" and "over to e5" send a piece rather than a pawn.
PAWN_SENT = 3.0


#: Letters of the piece types, as :mod:`chess` numbers them; none for 0.
_LETTERS = ("", "P", "N", "B", "R", "Q", "K")


class Match(NamedTuple):
    """A legal move that fits a phrase.

    :param cost: nats for what the phrase says differently, without the phrase's own cost.
    """

    legal: Legal
    cost: float


class Position:
    """A position with its legal moves and their likelihoods; made once for each position, see ``Atlas``.

    :ivar counts: games by UCI move, None while the base wasn't asked; ``games`` all of them.
    :ivar namings: for phrases said in passing, the "target" weight by which they name this position, but for the moves
        that were said from it (see :mod:`linewright.reading.search.returns`).
    """

    __slots__ = (
        "__dict__", "_checks", "_children", "_fits", "_likely", "_matches", "board", "counts", "games", "key", "last",
        "namings",
    )  # fmt: skip

    def __init__(self, board: chess.Board, key: int, last: Legal | None) -> None:
        self.board = board
        self.key = key
        self.last = last
        self.counts: Mapping[str, int] | None = None
        self.games = 0
        self._children: dict[str, Position] = {}
        self._matches: dict[Phrase, tuple[Match, ...]] = {}
        self._likely: dict[str, float] = {}
        self._fits: dict[Phrase, frozenset[str]] = {}
        self._checks: dict[str, bool] = {}
        self.namings: dict[Phrase, str] = {}

    def after(self, legal: Legal) -> Position:
        """The position after a legal move; the same object each time."""
        child = self._children.get(legal.uci)
        if child is None:
            board = self.board.copy(stack=False)
            board.push(legal.move)
            child = self._children[legal.uci] = Position(board, chess.polyglot.zobrist_hash(board), legal)
        return child

    @cached_property
    def passed(self) -> Position | None:
        """The position with the other side to move, as after a move that nobody heard; None when in check."""
        if self.board.is_check():
            return None
        board = self.board.copy(stack=False)
        board.push(chess.Move.null())
        return Position(board, chess.polyglot.zobrist_hash(board), None)

    @cached_property
    def legal(self) -> tuple[Legal, ...]:
        return tuple(map(self._describe, self.board.legal_moves))

    def _describe(self, move: chess.Move) -> Legal:
        board, origin, target = self.board, move.from_square, move.to_square
        piece = _LETTERS[board.piece_type_at(origin) or 1]
        taken = _LETTERS[board.piece_type_at(target) or 0]
        castles = ""
        if piece == "P":
            if not taken and (target - origin) & 7:
                taken = "P"  # in passing
        elif piece == "K" and abs(target - origin) == 2:
            castles = "K" if target > origin else "Q"
        first, last = chess.SQUARE_NAMES[origin], chess.SQUARE_NAMES[target]
        promotion = _LETTERS[move.promotion or 0]
        return Legal(
            move, f"{first}{last}{promotion.lower()}", piece, first, last, taken != "", taken, castles, promotion
        )

    @cached_property
    def by_square(self) -> dict[str, list[Legal]]:
        out: dict[str, list[Legal]] = {}
        for legal in self.legal:
            out.setdefault(legal.to, []).append(legal)
        return out

    @cached_property
    def captures(self) -> tuple[Legal, ...]:
        return tuple(m for m in self.legal if m.capture)

    @cached_property
    def sense(self) -> dict[str, float]:
        """Probability of each legal move by a sense of moves alone."""
        return sense.chances(self.board, self.legal, self.last)

    def log_likelihood(self, legal: Legal) -> float:
        """Log-probability that a lesson plays this move here: the games, smoothed by common sense."""
        known = self._likely.get(legal.uci)
        if known is None:
            known = self._likely[legal.uci] = self._log_likelihood(legal.uci)
        return known

    def _log_likelihood(self, uci: str) -> float:
        sense = self.sense[uci]
        if not self.counts:
            return math.log(sense)
        weight = (1.0 - UNUSUAL) * self.games / (self.games + FEW_GAMES)
        return math.log(weight * self.counts.get(uci, 0) / self.games + (1.0 - weight) * sense)

    def matches(self, phrase: Phrase) -> tuple[Match, ...]:
        """The legal moves that fit a phrase, with what the phrase says differently as costs."""
        known = self._matches.get(phrase)
        if known is None:
            known = self._matches[phrase] = self._find_matches(phrase)
        return known

    def fits(self, phrase: Phrase) -> frozenset[str]:
        """The legal moves that fit a phrase, as UCI."""
        known = self._fits.get(phrase)
        if known is None:
            known = self._fits[phrase] = frozenset(m.legal.uci for m in self.matches(phrase))
        return known

    def shows(self, phrase: Phrase) -> bool:
        """The piece that a phrase speaks of (any piece, if none is said) stands on its square."""
        piece = self.board.piece_at(chess.parse_square(phrase.to)) if phrase.to and not phrase.takes else None
        return piece is not None and phrase.piece in ("", piece.symbol().upper())

    def _find_matches(self, phrase: Phrase) -> tuple[Match, ...]:
        out = []
        anywhere = self.captures if phrase.takes else self.legal
        pool: Iterable[Legal] = self.by_square.get(phrase.to, ()) if phrase.to else anywhere
        for legal in pool:
            cost = self._fit(phrase, legal)
            if cost is not None:
                out.append(Match(legal, cost))
        return tuple(out)

    def _fit(self, phrase: Phrase, legal: Legal) -> float | None:
        """Cost in nats of saying ``phrase`` for ``legal``; None when it can't be meant."""
        if not may_mean(phrase, legal):
            return None
        cost = 0.0
        if phrase.deed is not None:
            done = phrase.deed.cost(self.board, legal, self.last)
            if done is None:
                return None
            cost = done
        elif phrase.kind == "square" and legal.piece != "P":
            cost = PIECE_UNSAID
        elif phrase.kind == "to" and legal.piece == "P":
            cost = PAWN_SENT
        if legal.capture and not phrase.takes:
            cost += capture_unsaid(phrase, legal)
        if phrase.check:
            cost += self._fit_check(phrase, legal)
        if phrase.number is not None:
            cost += self._fit_number(*phrase.number)
        return cost

    def _fit_number(self, number: int, white: bool) -> float:
        board = self.board
        fits = number == board.fullmove_number and (white or board.turn == chess.BLACK)
        return 0.0 if fits else NUMBER_WRONG

    def _fit_check(self, phrase: Phrase, legal: Legal) -> float:
        if not self._gives_check(legal):
            return CHECK_WRONG
        return MATE_WRONG if phrase.mate and not self._mates(legal) else 0.0

    def _gives_check(self, legal: Legal) -> bool:
        known = self._checks.get(legal.uci)
        if known is None:
            known = self._checks[legal.uci] = gives_check(self.board, legal)
        return known

    def _mates(self, legal: Legal) -> bool:
        return self.after(legal).board.is_checkmate()


def may_mean(phrase: Phrase, legal: Legal) -> bool:
    """Nothing that the phrase says contradicts the move, deeds, checks and numbers apart."""
    if phrase.castles:
        if not legal.castles or phrase.castles not in ("?", legal.castles):
            return False
    elif legal.castles and not _may_castle(phrase, legal):
        return False
    if phrase.piece and phrase.piece != legal.piece:
        return False
    if phrase.from_file and phrase.from_file != legal.origin[0]:
        return False
    if phrase.from_rank and phrase.from_rank != legal.origin[1]:
        return False
    if phrase.takes and not legal.capture:
        return False
    if phrase.victim and phrase.victim != legal.victim:
        return False
    return phrase.promotion == legal.promotion or (not phrase.promotion and legal.promotion == "Q")


def capture_unsaid(phrase: Phrase, legal: Legal) -> float:
    """Nats for a capture that isn't said to be one."""
    if phrase.kind == "check" or phrase.deed is not None:
        return 0.0  # it says nothing of the move but what it does
    if legal.piece == "P" and not phrase.from_file:
        return PAWN_CAPTURE_UNSAID
    return CAPTURE_UNSAID_WRITTEN if phrase.written else CAPTURE_UNSAID


def _may_castle(phrase: Phrase, legal: Legal) -> bool:
    """Castling may be meant although it isn't named: by a check, by the king's square, by "so do we"."""
    if phrase.kind == "check" or phrase.deed is not None:
        return True
    return not phrase.written and phrase.to == legal.to


class Atlas:
    """Hands out the start of a talk's positions and asks the base for many positions at a time."""

    def __init__(self, base: MoveCounts | None) -> None:
        self.base = base
        self._counts: dict[int, Mapping[str, int]] = {}

    def start(self, board: chess.Board) -> Position:
        """The position a talk starts from."""
        return Position(board, chess.polyglot.zobrist_hash(board), None)

    def ask(self, positions: Iterable[Position]) -> None:
        """Fetch the counts of all these positions that are not known yet, in one query."""
        wanted = [p for p in positions if p.counts is None]
        if not wanted:
            return
        unknown = {p.key for p in wanted} - self._counts.keys()
        if unknown and self.base is not None:
            found = self.base.moves_played(sorted(unknown))
            self._counts.update((key, found.get(key, {})) for key in unknown)
        for position in wanted:
            position.counts = self._counts.get(position.key, {})
            position.games = sum(position.counts.values())

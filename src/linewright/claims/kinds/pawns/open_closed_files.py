"""Claims about open, half-open and closed files."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import chess

from linewright.board.structure.open_files import HALF_OPEN_FOR, FileState, file_state, half_open_files, open_files
from linewright.board.structure.pawns import on_file
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, file_row, square_row
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import ANY, Reach, Ruling, Side, all_of, fails, holds, negated, ruled, undecided
from linewright.language.evidence import Evidence, Term, together, why
from linewright.lesson.finding import Kind, Verdict


class Openness(StrEnum):
    OPEN = "open"
    FULLY = "fully open"
    HALF = "half-open"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class FileClaim:
    """That files are open, half-open or closed.

    :param files: 0 = a; empty when no file could be made out.
    :param state: "open" as said covers half-open too, unless the trainer says "completely".
    :param side: for whom, where said.
    :param denied: the claim is that they are not.
    :param only: "the only open file": no other file is so.
    """

    files: tuple[int, ...]
    state: Openness
    side: Side
    denied: bool = False
    only: bool = False


def _claim(said: Occurrence) -> FileClaim | None:
    """What an occurrence claims; None where it speaks of files in general, or of a plan."""
    if not _is_claim(said):
        return None
    files = tuple(dict.fromkeys(map(chess.FILE_NAMES.index, _named(said))))
    only = not said.value("verb") and said.hint("only", said.before) is not None
    if said.form.name == "no pawn":
        side = said.side_named("whose")
        return FileClaim(files, Openness.HALF if side else Openness.FULLY, side or ANY, only=only)
    return FileClaim(files, _openness(said), said.side, _is_denied(said), only)


def _is_claim(said: Occurrence) -> bool:
    match said.form.name:
        case "bare":
            return bool(said.scene.walk.talk.words) and said.scene.walk.talk.unit.value != "char"
        case "deed":
            return not said.hint("not_done", said.before)
        case "state" if not said.value("verb"):
            fragment = not said.before and said.hint("one_file", said.heard.text)
            return bool(fragment or said.hint("definite", said.before))
    return True


def _is_denied(said: Occurrence) -> bool:
    if said.value("verb"):
        return bool(said.value("denied"))
    match said.form.name:
        case "no file":
            return True
        case "bare":
            return False  # which file isn't half-open wasn't heard
    return said.mood.negated


def _named(said: Occurrence) -> Iterable[str]:
    return (word for word in said.value("files").split() if word in chess.FILE_NAMES)


_STATES: Final = {"open": Openness.OPEN, "half": Openness.HALF, "closed": Openness.CLOSED}


def _openness(said: Occurrence) -> Openness:
    state = _STATES[said.value("state")]
    return Openness.FULLY if state is Openness.OPEN and said.value("fully") else state


def decide(claim: FileClaim, facts: Facts) -> Ruling:
    """Look at the pawns on the files."""
    board = facts.board
    if not claim.files:
        return _decide_unnamed(claim, board)
    rulings = [_decide_file(claim, board, file) for file in claim.files]
    ruling = Ruling(all_of(ruling.verdict for ruling in rulings), together(ruling.evidence for ruling in rulings))
    others = _others(claim, board) if claim.only and ruling.verdict is Verdict.HOLDS else ()
    if others:
        state = Term(claim.state.value)
        return fails(why("open_closed_files.others", file=ruling.evidence, files=file_row(others), state=state))
    return negated(ruling) if claim.denied else ruling


def _decide_unnamed(claim: FileClaim, board: chess.Board) -> Ruling:
    """No file named: "no open files" can be decided, a file lost to the recogniser can't."""
    if claim.denied and claim.state is Openness.OPEN:
        return ruled(not open_files(board), _describe_open(board))
    if claim.denied and claim.state is Openness.HALF and claim.side.reach is not Reach.UNCLEAR:
        any_half = any(half_open_files(board, color) for color in claim.side.colors)
        return ruled(not any_half, together(_describe_half_open(board, color) for color in chess.COLORS))
    return undecided(why("open_closed_files.none_named", files=describe_files(board)))


def _others(claim: FileClaim, board: chess.Board) -> tuple[int, ...]:
    if claim.state in (Openness.OPEN, Openness.FULLY):
        return tuple(file for file in open_files(board) if file not in claim.files)
    return ()


def _decide_file(claim: FileClaim, board: chess.Board, file: int) -> Ruling:
    state = file_state(board, file)
    evidence = describe_file(board, file)
    verdict = _fits(claim.state, state, claim.side)
    if verdict is Verdict.HOLDS and claim.state is Openness.OPEN and state is not FileState.OPEN:
        return holds(why("open_closed_files.said_open", file=evidence))
    return Ruling(verdict, evidence)


def _fits(said: Openness, state: FileState, side: Side) -> Verdict:
    """Whether a file in this state may be called so.

    "Open" alone is said of half-open files too (common practice), but not by the side whose pawn stands on it.
    """
    halves = {HALF_OPEN_FOR[color] for color in side.colors}
    if said is Openness.FULLY:
        return Verdict.HOLDS if state is FileState.OPEN else Verdict.FAILS
    if said is Openness.CLOSED:
        return {FileState.CLOSED: Verdict.HOLDS, FileState.OPEN: Verdict.FAILS}.get(state, Verdict.UNDECIDED)
    if said is Openness.OPEN and state is FileState.OPEN:
        return Verdict.HOLDS
    if side.reach is Reach.BOTH and said is Openness.HALF:
        return Verdict.FAILS
    if state in halves:
        return Verdict.UNDECIDED if side.reach is Reach.UNCLEAR else Verdict.HOLDS
    return Verdict.FAILS


def describe_file(board: chess.Board, file: int) -> Evidence:
    """The pawns on a file and what they make of it, e.g. "no white pawn on e, black has e6: half-open for white"."""
    letter, state = chess.FILE_NAMES[file], file_state(board, file)
    if state is FileState.OPEN:
        return why("open_closed_files.open", file=letter)
    white, black = (square_row(on_file(board, color, file)) for color in (chess.WHITE, chess.BLACK))
    if state is FileState.CLOSED:
        return why("open_closed_files.closed", white=white, black=black, file=letter)
    free = state is FileState.HALF_OPEN_FOR_WHITE
    squares = black if free else white
    side, other = color_term(free), color_term(not free)
    return why("open_closed_files.half", side=side, file=letter, other=other, squares=squares)


def describe_files(board: chess.Board) -> Evidence:
    """All open and half-open files: ``open: c; half-open for white: none; half-open for black: e``."""
    return together((_describe_open(board), *(_describe_half_open(board, color) for color in chess.COLORS)))


def _describe_open(board: chess.Board) -> Evidence:
    return why("open_closed_files.all_open", files=file_row(open_files(board)))


def _describe_half_open(board: chess.Board, color: chess.Color) -> Evidence:
    files = file_row(half_open_files(board, color))
    return why("open_closed_files.all_half", side=color_term(color), files=files)


FILES = ClaimKind(Kind.FILES, finder("open_closed_files", _claim, apart=True), decide)

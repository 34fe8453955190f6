"""Claims about open, half-open and closed files."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.board.structure.open_files import HALF_OPEN_FOR, FileState, file_state, half_open_files, open_files
from linewright.board.structure.pawns import on_file
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind, Verdict
from linewright.claims.rulings import (
    ANY,
    Reach,
    Ruling,
    Side,
    all_of,
    as_evidence,
    color_name,
    fails,
    holds,
    negated,
    ruled,
    undecided,
)
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import side_of
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import together
from linewright.language.patterns import apart, either, listed


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


_FULLY = listed("completely fully totally entirely wide absolutely truly properly")
_STATE = rf"(?:(?P<fully{{n}}>{_FULLY}) )?(?P<state{{n}}>halfopen|open|opened|closed|blocked|shut)"
_LIST = r"[a-h](?:(?: and| or)?(?: the)? [a-h])*"
_VERB = either(
    listed("is are isn't aren't remains remain stays stay becomes become stands lies has have"),
    "(?:has|have) (?:become|been)",
)
_BETWEEN = either(
    listed("now also still already really clearly not never only just both actually then here the left effectively "
           "ripped"),
    listed("always yet even indeed simply being been"), "no longer", "of course",
)  # fmt: skip
_WHERE = either("on the board", "here", "in the position", "(?:that )?we have", "there is")
_NOUN = re.compile(
    rf"\b{_STATE.format(n='1')} (?:and \w+ )?(?P<files1>{_LIST}) files?\b"
    rf"|\b{_STATE.format(n='2')} files?(?: {_WHERE})?(?: is| are)?(?: the)? (?P<files2>{_LIST}) files?\b"
    rf"|\bone file is {_STATE.format(n='5')}(?: that's| it's)?(?: the)? (?P<files5>{_LIST}) file\b"
    rf"|\b(?P<files4>{_LIST}) files? {_STATE.format(n='4')}"
    r"(?= (?:for|and|but|now|here|so|to|the|our|his|we|he|white|black|you|it|this|rook|rooks)\b|$)"
    rf"|\b(?P<files3>{_LIST}) files?(?: (?:that |which )?(?P<verb>{_VERB})|(?P<verb2>'s))"
    rf"(?P<between>(?: {_BETWEEN}){{0,4}}) {_STATE.format(n='3')}\b(?! (?:it|that|the|up the)\b)"
)
#: "There is no pawn left on the d file", "on the c file there is no white pawn", "not a pawn on the c file".
_PAWNS_OFF = "(?:no|not an?|not a single|nobody has an?|neither side has an?|without an?)"
_EMPTY = re.compile(
    rf"\b{_PAWNS_OFF}(?: single)?(?: (?P<whose1>white|black))? pawns?(?: (?:left|anymore|at all|now|remains?))*"
    rf" on (?:the )?(?P<files1>{_LIST}) files?\b"
    rf"|\bon (?:the )?(?P<files2>{_LIST}) files?(?: (?:there is|there's|there are|we have|you see))? "
    rf"(?:no|not an?)(?: (?P<whose2>white|black))? pawns?\b"
)
_LONE_HALF = re.compile(r"\bhalfopen\b")
_DEED = re.compile(
    rf"\b(?P<deed>opens|opening|opened|half opens|half opening|unblocks)(?: up)? (?:the |our |his "
    rf")?(?P<files>{_LIST}) files?\b"
)
#: A file is only spoken of as it is ("the open c file", "with an open c file"), not in general ("open c files").
_DEFINITE = re.compile(
    rf"\b{listed('the this that his her our my their your a an only got have has and or is no with along down of')}$"
    rf"|'s$"
)
_NO_OPEN = re.compile(
    r"\b(?:no|not a single|aren't any|isn't a single|isn't an) (?P<state1>open|halfopen) files?\b"
    r"|\bno files? (?:is|are) (?:\w+ )?(?P<state2>open|halfopen)\b"
)


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[FileClaim]]:
    """The file claims of a sentence, in order."""
    return apart(
        (_NOUN, _DEED, _EMPTY, _NO_OPEN, _LONE_HALF), sentence.text, lambda match: _claim(sentence, scene, match)
    )


def _claim(sentence: Sentence, scene: Scene, match: re.Match[str]) -> Found[FileClaim] | None:
    groups = {re.sub(r"\d$", "", key): value for key, value in match.groupdict().items() if value}
    trigger = sentence.token_range(match.start(), match.end())
    clause = scene.clause(sentence, trigger)
    said_as = mood(scene, sentence, clause, trigger)
    before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
    denied = said_as.negated
    if "verb" in groups:
        denied = bool(re.search(r"n't|\bnot\b|no longer|never", f"{groups['verb']} {groups.get('between', '')}"))
    elif match.re is _NO_OPEN:
        denied = True
    elif match.re is _LONE_HALF:
        if not scene.walk.talk.words or scene.walk.talk.unit.value == "char":
            return None
    elif (match.re is _NOUN and not _DEFINITE.search(before) and not _is_fragment(match, before)) or (
        match.re is _DEED and re.search(r"\b(?:to|not|without|by|of)$", before)
    ):
        return None
    if match.re is _EMPTY:
        denied = False
    files = tuple(dict.fromkeys(ord(w) - 97 for w in groups.get("files", "").split() if re.fullmatch("[a-h]", w)))
    state = _openness(groups)
    side = side_of(scene, sentence, clause, trigger)
    if match.re is _EMPTY:
        state = Openness.HALF if "whose" in groups else Openness.FULLY
        side = Side.of(groups["whose"] == "white") if "whose" in groups else ANY
    only = bool(re.search(r"\bonly(?: one file is)?$", before)) and "verb" not in groups
    step = scene.step_at(sentence.tokens[trigger[0]].first)
    return Found(FileClaim(files, state, side, denied, only), *clause, step, said_as)


def _is_fragment(match: re.Match[str], before: str) -> bool:
    """ "Half-open c-file for me": one file, named without a verb."""
    return not before and bool(re.search(r"\b[a-h] file$", match[0]))


def _openness(groups: dict[str, str]) -> Openness:
    word = groups.get("state", "halfopen" if groups.get("deed", "").startswith("half") else "open")
    if word in ("closed", "blocked", "shut"):
        return Openness.CLOSED
    if word == "halfopen":
        return Openness.HALF
    return Openness.FULLY if "fully" in groups else Openness.OPEN


def decide(claim: FileClaim, facts: Facts) -> Ruling:
    """Look at the pawns on the files."""
    board = facts.board
    if not claim.files:
        return _without_files(claim, board)
    rulings = [_one_file(claim, board, file) for file in claim.files]
    verdict = all_of(ruling.verdict for ruling in rulings)
    ruling = Ruling(verdict, together(ruling.evidence for ruling in rulings))
    if claim.only and verdict is Verdict.HOLDS:
        others = _others(claim, board)
        if others:
            return fails(f"{ruling.evidence}; but {letters(others)} is {claim.state} too")
    return negated(ruling) if claim.denied else ruling


def _without_files(claim: FileClaim, board: chess.Board) -> Ruling:
    """No file named: "no open files" can be decided, a file lost to the recogniser can't."""
    told = [f"open: {letters(open_files(board)) or 'none'}"]
    told += [f"half-open for {color_name(c)}: {letters(half_open_files(board, c)) or 'none'}" for c in (True, False)]
    if claim.denied and claim.state is Openness.OPEN:
        return ruled(not open_files(board), told[0])
    if claim.denied and claim.state is Openness.HALF and claim.side.reach is not Reach.UNCLEAR:
        any_half = any(half_open_files(board, color) for color in claim.side.colors)
        return ruled(not any_half, "; ".join(told[1:]))
    return undecided(f"no file named or heard; {'; '.join(told)}")


def _others(claim: FileClaim, board: chess.Board) -> tuple[int, ...]:
    if claim.state in (Openness.OPEN, Openness.FULLY):
        return tuple(file for file in open_files(board) if file not in claim.files)
    return ()


def _one_file(claim: FileClaim, board: chess.Board, file: int) -> Ruling:
    state = file_state(board, file)
    told = describe(board, file)
    fitting = _fits(claim.state, state, claim.side)
    if fitting is Verdict.HOLDS:
        if claim.state is Openness.OPEN and state is not FileState.OPEN:
            return holds(f"{told} (said: open)")
        return holds(told)
    return Ruling(fitting, as_evidence(told))


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


def describe(board: chess.Board, file: int) -> str:
    """The pawns on a file and what they make of it, e.g. "no white pawn on e, black has e6: half-open for white"."""
    letter, state = "abcdefgh"[file], file_state(board, file)
    if state is FileState.OPEN:
        return f"no pawn of either side on {letter}: open"
    own = {color: " ".join(map(chess.square_name, on_file(board, color, file))) for color in (True, False)}
    if state is FileState.CLOSED:
        return f"pawns on {own[True]} (white) and {own[False]} (black): the {letter} file is closed"
    free = state is FileState.HALF_OPEN_FOR_WHITE
    return f"no {color_name(free)} pawn on {letter}, {color_name(not free)} has {own[not free]}: {state.value}"


def letters(files: tuple[int, ...]) -> str:
    """``c e``; nothing for no files."""
    return " ".join("abcdefgh"[file] for file in files)


FILES = ClaimKind(Kind.FILES, find, decide)

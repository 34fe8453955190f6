"""Claims that something can't be taken: the capture is tried, and what answers it is the evidence."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.mates import QUIET_MOVES, mate_in
from linewright.board.tactics.threats import Aim, answer_to
from linewright.claims.claim_kind import PLAIN, ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.men import color_of, listing
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.model import EngineVerdict
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.patterns import listed

#: Pawns that a capture must cost, by an engine's scores before and after it, for "he can't take" to hold …
COSTS: Final = 1.0
#: … and a capture that costs less than this is as good as any move: then the words are false.
FREE: Final = 0.3
#: Captures looked at; more would mean that the words name none.
MOST: Final = 4
#: How many words after "take" may say what is taken, and with what.
_NAMED: Final = 9

_WHO = listed("white black we i he they you one nobody")
_TAKE = listed("take takes capture captures recapture accept accepts grab grabs win eat snap touch")
_CANT = re.compile(
    rf"\b(?P<who>{_WHO}) (?:can't|cannot|can never|mustn't|must not|dare not|daren't|must never|can hardly) "
    rf"(?:(?:really|simply|just|actually|ever|even|now|well|safely|afford to) )*(?P<take>{_TAKE})\b(?! (?:seriously|"
    rf"back "
    rf"moves?|time|care|part|long|any risks?))"
)
#: "If he takes, he loses a piece", "if black takes on d4 it's mate".
_IF = re.compile(
    rf"\b(?:if|when|should) (?P<who>{_WHO}) (?:ever )?(?P<take>{_TAKE})\b(?:(?! (?:if|but|because)\b) \w+){{0,7}}? "
    rf"(?P<then>(?:loses|lose|drops|drop) (?:an? |the |his |her |my |our |at least |whole )*(?:pawn|piece|exchange|"
    rf"rook|queen|"
    rf"knight|bishop|material)|(?:gets|is|get|are) (?:check ?)?mated|(?:it's|that's|there's|is) (?:check ?)?mate\b)"
)
_IMMUNE = re.compile(
    r"\b(?:the |his |our |my |her |that |this )?(?:(?P<file>[a-h]) |(?P<at>[a-h][1-8]) )?(?P<man>pawn|knight|bishop|"
    r"rook|queen)"
    r"(?: (?:on )?(?P<on>[a-h][1-8]))? (?:is |'s )?(?:can't be (?:taken|captured)|cannot be (?:taken|captured)|"
    r"poisoned|immune|"
    r"taboo|untouchable)\b"
)


@dataclass(frozen=True, slots=True)
class UntakeableClaim:
    """That a capture can't be played, or is punished.

    :param moves: the captures meant, as UCI.
    :param mate: it is said to be punished by mate.
    """

    moves: tuple[str, ...]
    mate: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[UntakeableClaim]]:
    """The claims of a sentence that something can't be taken; those whose capture can't be read are left out."""
    for pattern in (_CANT, _IF, _IMMUNE):
        for match in pattern.finditer(sentence.text):
            first, last = sentence.token_range(match.start(), match.end())
            step = scene.step_at(sentence.tokens[first].first)
            board = scene.board(step)
            if pattern is _IMMUNE:
                moves = tuple(_on_man(match, board))
            else:
                take = sentence.token_range(*match.span("take"))[0]
                moves = tuple(_captures(match, scene, sentence, board, take))
            if 0 < len(moves) <= MOST:
                mate = "mate" in (match.groupdict().get("then") or "")
                end = max(last, scene.clause(sentence, (first, last))[1])
                yield Found(UntakeableClaim(tuple(m.uci() for m in moves), mate), first, end, step, PLAIN)


def _captures(
    match: re.Match[str], scene: Scene, sentence: Sentence, board: chess.Board, take: int
) -> Iterable[chess.Move]:
    """The captures of the side to move that the words may mean."""
    color = color_of(match["who"], take, scene, sentence)
    if color is not None and color != board.turn:
        return ()
    tokens = sentence.tokens
    end = min(len(tokens), take + _NAMED)
    stop = next((i for i in range(take + 1, end) if tokens[i].text in ("because", "since", "as", "or", "and")), end)
    mention = next((m for m in mentions(tokens, take, stop) if m.capture), Mention(take, take + 1, capture=True))
    fitting = [move for move in mention.fits(board) if board.is_capture(move)]
    words = " ".join(token.text for token in tokens[take + 1 : min(end, take + 5)])
    # "take the pawn": the man taken is named, not the one that takes.
    if named := re.match(r"(?:the |that |this |our |his |my )?(?:[a-h] )?(pawn|knight|bishop|rook|queen)\b", words):
        kind = chess.PIECE_NAMES.index(named[1])
        plain = Mention(take, take + 1, to=mention.to, capture=True)
        fitting = [move for move in plain.fits(board) if board.piece_type_at(move.to_square) == kind]
    return fitting


def _on_man(match: re.Match[str], board: chess.Board) -> Iterator[chess.Move]:
    """The legal captures of the man that is said to be immune."""
    kind = chess.PIECE_NAMES.index(match["man"])
    where = match["at"] or match["on"]
    for move in board.legal_moves:
        to = move.to_square
        if board.piece_type_at(to) != kind or (where and chess.square_name(to) != where):
            continue
        if match["file"] in (None, chess.FILE_NAMES[chess.square_file(to)]):
            yield move


def after(claim: UntakeableClaim, board: chess.Board) -> Iterator[chess.Board]:
    """The positions that the captures lead to."""
    for uci in claim.moves:
        played = board.copy(stack=False)
        played.push_uci(uci)
        yield played


def decide(claim: UntakeableClaim, facts: Facts) -> Ruling:
    """Holds when every capture meant is answered by mate or by winning more than it took, seen at once or by the
    engine; fails when the engine finds the one capture meant as good as anything; else open."""
    told, open_ = [], False
    for uci, played in zip(claim.moves, after(claim, facts.board), strict=True):
        san = facts.board.san(chess.Move.from_uci(uci))
        answer = _answer(claim, facts, uci, played)
        if answer is None:
            open_ = True
            told.append(f"no answer to {san} seen at once")
        else:
            told.append(f"{san} is answered by {answer}")
    if not open_:
        return holds("; ".join(told))
    cost = [_cost(facts.assessed, facts.judged(played), facts.board.turn) for played in after(claim, facts.board)]
    known = [c for c in cost if c is not None]
    shown = "; ".join(
        f"{facts.board.san(chess.Move.from_uci(uci))}: {cite_verdict(verdict)}"
        for uci, played in zip(claim.moves, after(claim, facts.board), strict=True)
        if (verdict := facts.judged(played)) is not None
    )
    if len(known) == len(cost) and min(known) >= COSTS and not claim.mate:
        return holds(shown)
    if len(known) == len(cost) == 1 and known[0] < FREE:
        return fails(f"{shown}, as good as any move")
    return undecided(shown or "; ".join(told))


def _answer(claim: UntakeableClaim, facts: Facts, uci: str, played: chess.Board) -> str | None:
    """What answers a capture, in words."""
    if claim.mate:
        search = mate_in(played, QUIET_MOVES)
        return f"{played.variation_san(list(search.mate.line))}, mate" if search.mate is not None else None
    reply = answer_to(facts.board, chess.Move.from_uci(uci))
    if reply is None:
        return None
    if reply.aim is Aim.MATE:
        return f"{reply.san}, mate"
    verb = "forks" if reply.aim is Aim.FORK else "wins"
    return f"{reply.san}, which {verb} {listing(played, reply.targets)}"


def _cost(before: EngineVerdict | None, played: EngineVerdict | None, turn: chess.Color) -> float | None:
    """Pawns that the capture costs the side to move, by two verdicts; None without them or where mates are near."""
    if before is None or played is None or before.best is None or played.best is None:
        return None
    here, there = before.best.score.pawns, played.best.score.pawns
    if here is None or there is None:
        return None
    return (here - there) if turn else (there - here)


UNTAKEABLE = ClaimKind(Kind.TACTIC, find, decide, asks_engine=True, also=after)

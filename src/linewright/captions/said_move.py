"""The words of a move as they were heard: which of them name its piece and its square, and which fit no said move."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import chess

from linewright.captions.edits import CorrectionKind, Edit, dressed, part
from linewright.language.numbers import figures
from linewright.language.tables import ENGLISH
from linewright.language.tokens import WordParts
from linewright.lesson.spoken import PIECES, SAN
from linewright.lesson.walk import MoveStep
from linewright.talk.model import Talk

#: How piece names are written down when misheard, where no sound rule explains it (seen in captions).
_ALIKE = ENGLISH.table("sound_alikes")
MISHEARD = {letter: _ALIKE.words(f"in_captions.pieces.{letter}") for letter in "NRBQK"}
PIECE_NAMES = {name: letter for letter, name in PIECES.items()}
#: Other names for pieces, said on purpose: they stay.
_NICKNAMES = ENGLISH.table("pieces").sorted_out("nicknames")
_DIGITS = {
    word: int(figure)
    for word, figure in (figures() | _ALIKE.sorted_out("in_captions.figures") | {n: n for n in "12345678"}).items()
    if int(figure) <= 8
}
_LETTERS = _ALIKE.sorted_out("in_captions.letters") | {letter: letter for letter in "abcdefgh"}
TAKES = set(
    "takes take taking captures capture recaptures recapture retakes retake x grabs grab chops chop snaps snap "
    "swaps exchanges snatches snatch trades trade collects removes wins eats eat munches munch gobbles gobble "
    "nabs nab took captured kills kill bites bite pinches pinch chomps".split()
)
CASTLING_WORDS = set("castles castle castling castled tucks tuck kingside queenside long short side king queen".split())
#: Words of a said move besides pieces, squares and captures.
_AROUND = set(
    "the a an his her my our your their own another other one simply just now also then first again immediately "
    "quickly to into onto at out over up down across straight right here away in home all way off round around "
    "forward on goes go going comes come moves move jumps hops drops retreats lands steps slides swings develops "
    "returns heads runs leaps advances pushes push put puts place places play plays plant plants bring brings drop "
    "back um uh er erm ah and that's that is it it's with check mate checkmate chess pawn pawns knights bishops rooks "
    "he she we you they i it who white black he's we're they're so but or "
    "white's black's king's queen's promotes queens file i mean sorry no by for from of so well actually".split()
)
SQUARE = re.compile(r"[a-h][1-8]")
#: "BD7" for "b d7", "Fc8" for "f c8", "Bd7" for a bishop's move.
JOINED = re.compile(r"([a-hknqr])([a-h][1-8])")
#: Words that distinguish two pieces of a kind, so that the file of origin needn't be said.
_WHICH = set("king's queen's other".split())


@dataclass(frozen=True, slots=True)
class SaidMove:
    """A move's words with what its SAN says of it."""

    talk: Talk
    step: MoveStep
    first: int
    parts: tuple[WordParts, ...]
    piece: str
    name: str
    origin: str
    to: str
    takes: bool

    @property
    def last(self) -> int:
        """Index after its last word."""
        return self.first + len(self.parts)

    @property
    def square(self) -> str:
        """The target as it is said, after its file or rank of origin where SAN needs one."""
        which = any(p.low in _WHICH for p in self.parts)
        return self.to if which else f"{self.origin} {self.to}".strip()

    def edit(self, first: int, last: int, core: str, why: str) -> Edit:
        one, two = self.first + first, self.first + last
        return Edit(one, two, dressed(self.talk, one, two, core), CorrectionKind.MOVE, why)


def said_move(talk: Talk, first: int, last: int, step: MoveStep) -> SaidMove:
    """The words from ``first`` up to ``last`` as those of a move step."""
    san = SAN.fullmatch(step.san)
    letter = (san["piece"] or "") if san else ""
    origin = ((san["file"] or "") + (san["rank"] or "")) if san and letter else ""
    parts = tuple(part(word.text) for word in talk.words[first:last])
    to = chess.square_name(chess.Move.from_uci(step.uci).to_square)
    return SaidMove(talk, step, first, parts, letter, PIECES.get(letter, "pawn"), origin, to, "x" in step.san)


def target_square(said: SaidMove) -> tuple[int, int, str] | None:
    """Where in the words the target square is said, right or misheard, and how it should read."""
    low = [p.low for p in said.parts]
    found = _spelled(low)
    exact = [place for place in found if place[2] == said.to]
    if exact:
        start, end, _ = exact[-1]
        if said.origin and start and low[start - 1] == said.origin and not said.parts[start - 1].after:
            return start - 1, end, said.square
        return start, end, said.to
    for index, word in enumerate(low):
        joined = JOINED.fullmatch(word)
        if joined and joined[2] == said.to:
            return index, index + 1, _apart(said, joined[1])
        if word == f"2{said.to}":
            return index, index + 1, f"to {said.to}"
    wrong = [place for place in found if place[2] != _origin_square(said)]
    if wrong:
        start, end, _ = wrong[-1]
        if said.origin and start and low[start - 1] == said.origin and not said.parts[start - 1].after:
            start -= 1
        return start, end, said.square
    return None


def names_another_square(said: SaidMove, start: int, end: int) -> bool:
    """The words from ``start`` to ``end`` name another square than the move's."""
    found = _spelled([p.low for p in said.parts[start:end]])
    return bool(found) and all(square != said.to for _, _, square in found)


def _apart(said: SaidMove, letter: str) -> str:
    """A letter run together with the target: the piece's own ("Bc4") or the file it comes from ("BD7")."""
    if letter.upper() == said.piece and not any(names_piece(said, p) for p in said.parts):
        return f"{said.name} {said.square}"
    return f"{letter} {said.to}" if letter == said.origin or not said.piece else said.to


def names_piece(said: SaidMove, p: WordParts) -> bool:
    """A word names the moving piece, by its name or a nickname."""
    return p.low == said.name or (said.piece != "" and _NICKNAMES.get(p.low) == said.piece)


def _origin_square(said: SaidMove) -> str:
    return said.origin if len(said.origin) == 2 else ""


def _spelled(low: Sequence[str]) -> list[tuple[int, int, str]]:
    """Squares among the words: "e4", "e four", "be four"."""
    out = []
    for index, word in enumerate(low):
        if SQUARE.fullmatch(word):
            out.append((index, index + 1, word))
        elif index + 1 < len(low) and word in _LETTERS and low[index + 1] in _DIGITS:
            plain = word in "abcdefgh" or low[index + 1] not in ("to", "too", "for")
            if plain and not (word in ("a", "he") and low[index + 1] in ("to", "for", "one")):
                out.append((index, index + 2, f"{_LETTERS[word]}{_DIGITS[low[index + 1]]}"))
    return out


def odd_runs(said: SaidMove, used: frozenset[int]) -> list[tuple[int, int]]:
    """Runs of words that are no usual part of a said move."""
    runs: list[tuple[int, int]] = []
    for index, p in enumerate(said.parts):
        pair = f"{p.low}_{said.parts[index + 1].low}" if index + 1 < len(said.parts) else ""
        if index in used or (runs and index < runs[-1][1]):
            continue
        if said.piece and pair in MISHEARD[said.piece]:
            runs.append((index, index + 2))
        elif _usual(p) and not (p.low == "x" and not said.takes):
            continue
        elif runs and runs[-1][1] == index and runs[-1][0] + 1 == index:
            runs[-1] = (runs[-1][0], index + 1)
        else:
            runs.append((index, index + 1))
    return runs


def _usual(p: WordParts) -> bool:
    """A word of said moves, or none at all."""
    letter = len(p.core) == 1 and p.low in "abcdefgh"
    known = p.low in _AROUND | TAKES or p.low in PIECE_NAMES or p.low in _NICKNAMES
    return not p.core or letter or known or bool(SQUARE.fullmatch(p.low))


def run_words(said: SaidMove, run: tuple[int, int]) -> str:
    return "_".join(p.low for p in said.parts[run[0] : run[1]])

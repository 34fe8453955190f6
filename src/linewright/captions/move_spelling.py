"""Moves in captions as they should read: spoken properly or written, squares and pieces in lower case.

What was said stays said: "takes" stays "takes" where the square was left out. Which move the
words mean is the reading's business; here only its misheard parts, piece and square, are put right.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import chess

from linewright.captions.edits import CorrectionKind, Edit, WordParts, dressed, part
from linewright.language.sounds import alike
from linewright.lesson.spoken import CASTLES, PIECES, SAN, figurine, numbered
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import SURE, MoveStep, ReturnStep, Walk
from linewright.talk.model import Talk

#: How alike (0-1) misheard words and a square must sound to be taken for it when nothing else decides.
SOUNDS_LIKE_SQUARE = 0.6
#: The same where the words are the whole of a move that was read very surely.
SOUNDS_A_LITTLE = 0.4

#: How sure (0-1) a reading must be to overrule a square that was heard as another one. On the open talks'
#: captions all 17 such changes above were right; below it, down to SURE, all three were wrong.
OVERRULES = 0.97

#: How piece names are written down when misheard, where no sound rule explains it (seen in captions).
_MISHEARD = {
    "N": set("night nite act knife nice nike nate might 9 nine neither".split()),
    "R": set("rock brook rogue ruck rook's rk brooke rooke look".split()),
    "B": set("bish ship bishop's bishops this_should this_ship this_shop the_ship bish_up".split()),
    "Q": set("queens queen's clean".split()),
    "K": set("kings king's".split()),
}
_NAMES = {name: letter for letter, name in PIECES.items()}
#: Other names for pieces, said on purpose: they stay.
_NICKNAMES = {"horse": "N", "horsey": "N", "horsie": "N", "castle": "R"}
_DIGITS = {
    "one": 1, "won": 1, "two": 2, "to": 2, "too": 2, "three": 3, "free": 3, "four": 4, "for": 4, "five": 5,
    "six": 6, "seven": 7, "eight": 8, "ate": 8, **{str(n): n for n in range(1, 9)},
}  # fmt: skip
_LETTERS = {
    "be": "b", "bee": "b", "see": "c", "sea": "c", "dee": "d", "he": "e", "ef": "f", "gee": "g", "age": "h",
    **{letter: letter for letter in "abcdefgh"},
}  # fmt: skip
_TAKES = set(
    "takes take taking captures capture recaptures recapture retakes retake x grabs grab chops chop snaps snap "
    "swaps exchanges snatches snatch trades trade collects removes wins eats eat munches munch gobbles gobble "
    "nabs nab took captured kills kill bites bite pinches pinch chomps".split()
)
_CASTLES = set("castles castle castling castled tucks tuck kingside queenside long short side king queen".split())
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
_SQUARE = re.compile(r"[a-h][1-8]")
#: "BD7" for "b d7", "Fc8" for "f c8", "Bd7" for a bishop's move.
_JOINED = re.compile(r"([a-hknqr])([a-h][1-8])")
#: Words that distinguish two pieces of a kind, so that the file of origin needn't be said.
_WHICH = set("king's queen's other".split())
#: Words before a move that make it a part of a sentence: "the knight to e7", "one rook to c1".
_BEFORE_NOUN = set("the a an his her my our your their one other another king's queen's white's black's".split())


@dataclass(frozen=True, slots=True)
class Notation:
    """Written moves instead of spoken ones.

    :param figurines: figurines in place of piece letters.
    """

    figurines: bool = True


@dataclass(frozen=True, slots=True)
class _Said:
    """A move's words with what its SAN says of it."""

    talk: Talk
    first: int
    parts: tuple[WordParts, ...]
    piece: str
    name: str
    origin: str
    to: str
    takes: bool

    @property
    def square(self) -> str:
        """The target as it is said, after its file or rank of origin where SAN needs one."""
        which = any(p.low in _WHICH for p in self.parts)
        return self.to if which else f"{self.origin} {self.to}".strip()

    def edit(self, first: int, last: int, core: str, why: str) -> Edit:
        one, two = self.first + first, self.first + last
        return Edit(one, two, dressed(self.talk, one, two, core), CorrectionKind.MOVE, why)


def move_edits(walk: Walk, notation: Notation | None) -> Iterator[Edit]:
    """The edits of all sure moves' words; unsure moves stay as heard."""
    spans = step_spans(walk)
    ahead = [first for first, _ in (*spans, (len(walk.talk.words), 0))][1:]
    before = 0
    new_line = True
    for step, (first, last), following in zip(walk.steps, spans, ahead, strict=True):
        if isinstance(step, ReturnStep):
            new_line = True
            continue
        if step.sure >= SURE and first < last:
            first, last = reach(walk.talk, before, first, last, following, step)
            written = written_move(walk.talk, before, first, last, step, notation, new_line) if notation else None
            yield from [written] if written else spoken_move(walk.talk, max(before, first - 1), first, last, step)
        before, new_line = max(before, last), False


def reach(talk: Talk, before: int, first: int, last: int, following: int, step: MoveStep) -> tuple[int, int]:
    """A move's words with the piece just before and the square just after them, where the reading left these
    out: "queen | b3", "queen takes, | d4".

    :param before: index after the words of the move before.
    :param following: index of the first word of the next step.
    """
    said = _said(talk, first, last, step)
    if first > before and said.piece and said.name not in [p.low for p in said.parts]:
        previous = part(talk.words[first - 1].text)
        if previous.low == said.name and not previous.after:
            first -= 1
    ends = talk.words[last - 1].text.endswith((".", "?", "!"))
    if said.takes and said.parts[-1].low in _TAKES and last < following and not ends:
        last += part(talk.words[last].text).low == said.to
    return first, last


# -- spoken ------------------------------------------------------------------------------------------------


def spoken_move(talk: Talk, earliest: int, first: int, last: int, step: MoveStep) -> Iterator[Edit]:
    """The edits that make a move's words say it properly.

    :param earliest: the first word that may still belong to it: a misheard piece may stand before its words.
    :param first: index of its first word.
    :param last: index after its last word.
    """
    said = _said(talk, first, last, step)
    if CASTLES.fullmatch(step.san):
        low = [p.low for p in said.parts]
        for start, end in _runs(said, frozenset()):
            if not _CASTLES & set(low):
                yield said.edit(start, end, "castles", f"sounds like castling: {step.san}")
        return
    target = _target(said)
    used = frozenset(range(target[0], target[1])) if target else frozenset()
    names = [i for i, p in enumerate(said.parts) if i not in used and _names_piece(said, p)]
    misheard = [] if names or not said.piece else [r for r in _runs(said, used) if _is_piece(said, r)]
    why = f"the move is {step.san}"
    if target is None and _square_left_out(said, names, misheard):
        if earliest < first and not names and said.piece:
            yield from _piece_before(talk, earliest, said, why)
        return
    if target is None:
        yield from _whole(said, misheard, why, step.sure)
        return
    start, end, square = target
    if _overrules(said, start, end) and step.sure < OVERRULES:
        return
    joins = _TAKES | ({said.name} if said.piece else set())  # a pawn is not part of its move: "the pawn, d4"
    if said.piece and not names and misheard and misheard[-1][1] <= start:
        one, two = misheard[-1]
        if two == start:  # in one piece, so that a comma between goes
            yield said.edit(one, end, f"{said.name} {square}", why)
            return
        yield said.edit(one, two, said.name, why)
    elif start and said.parts[start - 1].after == "," and said.parts[start - 1].low in joins:
        yield said.edit(start - 1, end, f"{said.parts[start - 1].low} {square}", why)
        return
    elif said.piece and not names and earliest < first and _opens_with_square(said, start):
        yield from _piece_before(talk, earliest, said, why)
    if [p.low for p in said.parts[start:end]] != square.split() or end - start != len(square.split()):
        yield said.edit(start, end, square, why)


def _said(talk: Talk, first: int, last: int, step: MoveStep) -> _Said:
    san = SAN.fullmatch(step.san)
    letter = (san["piece"] or "") if san else ""
    origin = ((san["file"] or "") + (san["rank"] or "")) if san and letter else ""
    parts = tuple(part(word.text) for word in talk.words[first:last])
    to = chess.square_name(chess.Move.from_uci(step.uci).to_square)
    return _Said(talk, first, parts, letter, PIECES.get(letter, "pawn"), origin, to, "x" in step.san)


def _target(said: _Said) -> tuple[int, int, str] | None:
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
        joined = _JOINED.fullmatch(word)
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


def _overrules(said: _Said, start: int, end: int) -> bool:
    """The words from ``start`` to ``end`` name another square than the move's."""
    found = _spelled([p.low for p in said.parts[start:end]])
    return bool(found) and all(square != said.to for _, _, square in found)


def _opens_with_square(said: _Said, start: int) -> bool:
    """Nothing but a capture stands before the square, so that a piece may have been said before it."""
    return all(p.low in _TAKES | {"to", "on"} for p in said.parts[:start])


def _apart(said: _Said, letter: str) -> str:
    """A letter run together with the target: the piece's own ("Bc4") or the file it comes from ("BD7")."""
    if letter.upper() == said.piece and not any(_names_piece(said, p) for p in said.parts):
        return f"{said.name} {said.square}"
    return f"{letter} {said.to}" if letter == said.origin or not said.piece else said.to


def _names_piece(said: _Said, p: WordParts) -> bool:
    """A word names the moving piece, by its name or a nickname."""
    return p.low == said.name or (said.piece != "" and _NICKNAMES.get(p.low) == said.piece)


def _origin_square(said: _Said) -> str:
    return said.origin if len(said.origin) == 2 else ""


def _spelled(low: Sequence[str]) -> list[tuple[int, int, str]]:
    """Squares among the words: "e4", "e four", "be four"."""
    out = []
    for index, word in enumerate(low):
        if _SQUARE.fullmatch(word):
            out.append((index, index + 1, word))
        elif index + 1 < len(low) and word in _LETTERS and low[index + 1] in _DIGITS:
            plain = word in "abcdefgh" or low[index + 1] not in ("to", "too", "for")
            if plain and not (word in ("a", "he") and low[index + 1] in ("to", "for", "one")):
                out.append((index, index + 2, f"{_LETTERS[word]}{_DIGITS[low[index + 1]]}"))
    return out


def _runs(said: _Said, used: frozenset[int]) -> list[tuple[int, int]]:
    """Runs of words that are no usual part of a said move."""
    runs: list[tuple[int, int]] = []
    for index, p in enumerate(said.parts):
        pair = f"{p.low}_{said.parts[index + 1].low}" if index + 1 < len(said.parts) else ""
        if index in used or (runs and index < runs[-1][1]):
            continue
        if said.piece and pair in _MISHEARD[said.piece]:
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
    known = p.low in _AROUND | _TAKES or p.low in _NAMES or p.low in _NICKNAMES
    return not p.core or letter or known or bool(_SQUARE.fullmatch(p.low))


def _words(said: _Said, run: tuple[int, int]) -> str:
    return "_".join(p.low for p in said.parts[run[0] : run[1]])


def _is_piece(said: _Said, run: tuple[int, int]) -> bool:
    """The run stands where the piece's name should: it is known to be misheard, or opens the move."""
    return _words(said, run) in _MISHEARD[said.piece] or run[0] == 0


def _square_left_out(said: _Said, names: list[int], misheard: list[tuple[int, int]]) -> bool:
    """No square was said: "takes", "the knight takes back"."""
    takes = said.takes and any(p.low in _TAKES for p in said.parts)
    if misheard and takes:
        return False
    return takes or not _runs(said, frozenset(names))


def _whole(said: _Said, misheard: list[tuple[int, int]], why: str, sure: float) -> Iterator[Edit]:
    """Nothing in the words names the square: "before" for e4, "RK8" for rook e8, "act takes"."""
    if misheard and said.takes and any(p.low in _TAKES for p in said.parts):
        yield said.edit(*misheard[-1], said.name, why)
        return
    runs = _runs(said, frozenset())
    words = " ".join(_words(said, run).replace("_", " ") for run in runs)
    if len(runs) == 2 and runs[0][1] == runs[1][0] and misheard:  # "this ship | before"
        words = f"{said.name} {_words(said, runs[1]).replace('_', ' ')}"
        runs = [(runs[0][0], runs[1][1])]
    if len(runs) != 1:
        return
    digit = _SPOKEN_DIGITS[int(said.to[1])]
    square = f"{said.to[0]} {digit}"
    named = any(_names_piece(said, p) for p in said.parts) or not said.piece or _after_takes(said)
    whole = square if named else f"{said.name} {square}"
    like = max(alike(words, square), alike(words, whole))
    everything = runs[0] == (0, len(said.parts)) and sure >= OVERRULES
    if said.takes and alike(words, "takes") >= max(SOUNDS_LIKE_SQUARE, like):
        yield said.edit(*runs[0], "takes", why)
    elif words.endswith((said.to[1], digit)) or like >= (SOUNDS_A_LITTLE if everything else SOUNDS_LIKE_SQUARE):
        yield said.edit(*runs[0], said.square if named else f"{said.name} {said.square}", why)


def _after_takes(said: _Said) -> bool:
    """The word before the move is a capture: "takes | day 2"."""
    return said.first > 0 and part(said.talk.words[said.first - 1].text).low in _TAKES


_SPOKEN_DIGITS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight")


def _piece_before(talk: Talk, earliest: int, said: _Said, why: str) -> Iterator[Edit]:
    """A misheard piece just before the words that the reading took: "act" before "takes d4"."""
    low = part(talk.words[earliest].text).low
    filed = re.fullmatch(r"([a-h])9", low)  # "F9" for "f knight"
    if filed and said.piece == "N":
        core = f"{filed[1]} knight"
        yield Edit(earliest, earliest + 1, dressed(talk, earliest, earliest + 1, core), CorrectionKind.MOVE, why)
    elif low in _MISHEARD[said.piece] - {"look", "might", "nice", "neither", "ship"}:
        yield Edit(earliest, earliest + 1, dressed(talk, earliest, earliest + 1, said.name), CorrectionKind.MOVE, why)


# -- written -----------------------------------------------------------------------------------------------

#: Words that a move said by itself may have besides piece, file and square: "queen takes c6, check".
_STATED_WITH = set(
    "takes captures castles on to check mate checkmate with and that's long short kingside queenside".split()
)
#: Words whose verb the move is: "he takes", "and castles".
_SUBJECTS = set("he she we you they i black white who nobody everybody and but to can could would will must".split())


def written_move(
    talk: Talk, before: int, first: int, last: int, step: MoveStep, notation: Notation, new_line: bool
) -> Edit | None:
    """The move in SAN in place of its words; None where they are part of a sentence: "he takes back".

    :param before: index after the words of the move before.
    :param new_line: a line begins here, so that the move number is written too.
    """
    said = _said(talk, first, last, step)
    target = _target(said)
    if target and _overrules(said, *target[:2]) and step.sure < OVERRULES:
        return None
    corrected = {
        index - first
        for edit in spoken_move(talk, max(before, first - 1), first, last, step)
        for index in range(edit.first, edit.last)
    }
    covered = corrected | set(range(*target[:2]) if target else ())
    if any(index not in covered and not _only_states(p) for index, p in enumerate(said.parts)):
        return None
    start = first + min([0, *corrected])
    if _in_sentence(talk, start, said):
        return None
    san = figurine(step.san) if notation.figurines else step.san
    text = numbered(step.before, san) if new_line else san
    return Edit(start, last, dressed(talk, start, last, text, lower=True), CorrectionKind.MOVE, "written in notation")


def _only_states(p: WordParts) -> bool:
    """A word that only states a move, so that notation can stand for it."""
    file = len(p.core) == 1 and p.low in "bcdefgh"
    square = _SQUARE.fullmatch(p.low) or _JOINED.fullmatch(p.low)
    return file or bool(square) or p.low in _STATED_WITH or p.low in _NAMES


def _in_sentence(talk: Talk, start: int, said: _Said) -> bool:
    """The words before make the move a part of a sentence: "the | knight to e7", "he | takes"."""
    if start == 0:
        return False
    previous = part(talk.words[start - 1].text)
    if previous.after:
        return False
    bare = said.parts[0].low in _TAKES | _CASTLES
    return previous.low in _BEFORE_NOUN or (bare and previous.low in _SUBJECTS | set(_NAMES))

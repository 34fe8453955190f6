"""The pieces that a passage is set from: runs of words, moves, jumps, marks, references to notes; and setting them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import chess

from linewright.lesson.pgn import mark_words
from linewright.lesson.sentences import CLOSERS, OPENERS
from linewright.lesson.spoken import move_number
from linewright.lesson.step_words import step_spans, word_at
from linewright.lesson.walk import MoveStep, ReturnStep, Walk
from linewright.publish.page.margin import MarginNote

#: A note stands after its sentence, or right after its words when the sentence runs on longer than this.
NOTE_WAITS = 30
#: Black's move goes without its number when at most this many words separate it from White's.
SAME_BREATH = 1

#: Words that a move in figurines says as well; a phrase of nothing else is replaced by the move.
PLAIN = frozenset(
    "king queen rook bishop knight pawn kings queens knights rooks bishops pawns castles castle kingside "
    "queenside short long takes take captures capture x on to check checkmate mate and promotes promoting a "
    "b c d e f g h one two three four five six seven eight 1 2 3 4 5 6 7 8".split()
)
#: Verbs of moves, and who may be their subject.
VERBS = frozenset("takes take captures capture castles castle checks check promotes".split())
SOMEBODY = frozenset("i we you he she they it white black who".split())
SQUARES = frozenset(chess.SQUARE_NAMES)
WRITTEN = re.compile(
    r"(?:\d+\s*(?:\.|…)+)?(?:[KQRBN♔♕♖♗♘♙♚♛♜♝♞♟]?[a-h]?[1-8]?[x:×]?[a-h][1-8](?:=?[QRBN♕♖♗♘])?|[O0]-[O0](?:-[O0])?)"
    r"[+#]*(?:[!?]{1,2})?|\d+\s*(?:\.|…)+"
)


@dataclass(frozen=True, slots=True)
class WordRun:
    """Plain words, all said at one position.

    :param state: how many steps are done while they are said.
    :param glue: no space before it.
    :param unread: words that look like a move but fit nothing.
    :param first: index of the talk's word that its first word is, or is a part of.
    """

    text: str
    state: int
    glue: bool = False
    unread: bool = False
    first: int = 0


@dataclass(frozen=True, slots=True)
class PrintedMove:
    """A move, set in figurines.

    :param state: how many steps are done after it; its step is ``walk.steps[state - 1]``.
    :param number: whether its number is printed.
    :param said: the words it replaces, ``""`` when they are printed before it.
    """

    state: int
    number: bool
    said: str
    glue: bool = False


@dataclass(frozen=True, slots=True)
class ReturnJump:
    """A return; its step is ``walk.steps[state - 1]``."""

    state: int
    glue: bool = False


@dataclass(frozen=True, slots=True)
class BoardMarkWords:
    """A mark on the board, described in words."""

    text: str
    state: int
    glue: bool = False


@dataclass(frozen=True, slots=True)
class NoteRef:
    """The number that ties a place in the words to its note in the margin."""

    number: int
    glue: bool = True


@dataclass(frozen=True, slots=True)
class NotePlace:
    """The place of a note: beside the sentence just ended."""

    number: int
    glue: bool = False


PassagePiece = WordRun | PrintedMove | ReturnJump | BoardMarkWords | NoteRef | NotePlace


class PieceSetter:
    """Sets ranges of words, front to back, keeping count of the steps and notes already set."""

    def __init__(self, walk: Walk, margin: Sequence[MarginNote], ends: frozenset[int]) -> None:
        self.walk = walk
        self.words = walk.talk.words
        self.spans = list(step_spans(walk))
        self.said = [last for _, last in self.spans]
        self.ends = ends
        self.state = 0
        self.unset = list(margin)
        self.waiting: list[MarginNote] = []
        self.marks = [(word_at(walk.talk, mark.place), mark) for mark in walk.marks]
        self.take_in_notation()
        self.unread = {i for unread in walk.unread for i in range(unread.said.first, unread.said.last)}

    def take_in_notation(self) -> None:
        """Lets a step's span end with the written move that says it once more: "we take, 4.exd5" is one move."""
        for index, (first, last) in enumerate(self.spans):
            following = self.spans[index + 1][0] if index + 1 < len(self.spans) else len(self.words)
            step = self.walk.steps[index]
            if not isinstance(step, MoveStep) or not first < last < min(following, len(self.words)):
                continue
            word = self.words[last]
            if word.paragraph == self.words[last - 1].paragraph and is_written(word.text, step.san):
                self.spans[index] = (first, last + 1)

    def set(self, first: int, last: int) -> Iterator[PassagePiece]:
        """The pieces of the words from ``first`` up to ``last``."""
        at = first
        while at < last or (at == len(self.words) and self.left(at)):
            yield from self.marks_before(at)
            if self.state < len(self.spans) and self.spans[self.state][0] <= at:
                at = max(at, self.spans[self.state][1])
                yield from self.step()
            else:
                yield WordRun(self.words[at].text, self.state, unread=at in self.unread, first=at)
                at += 1
            yield from self.notes_upto(at)
        yield from self.marks_before(at if at == len(self.words) else -1)
        yield from self.margin()

    def left(self, at: int) -> bool:
        return self.state < len(self.spans) and self.spans[self.state][0] <= at

    def marks_before(self, at: int) -> Iterator[PassagePiece]:
        while self.marks and self.marks[0][0] <= at:
            yield BoardMarkWords(mark_words(self.marks.pop(0)[1]).strip("[]"), self.state)

    def step(self) -> Iterator[PassagePiece]:
        """The next step with its words."""
        first, last = self.spans[self.state]
        self.state += 1
        step = self.walk.steps[self.state - 1]
        if isinstance(step, ReturnStep):
            yield ReturnJump(self.state)
            yield from (WordRun(self.words[at].text, self.state, first=at) for at in range(first, last))
            return
        texts = [word.text for word in self.words[first:last]]
        head, texts, tail = trimmed(texts, step.nag is not None)
        said = " ".join(texts)
        if head:
            yield WordRun(head, self.state, first=first)
        if texts and (not is_plain(texts) or self.is_what_somebody_does(first, texts)):
            once = self.said[self.state - 1] - first  # the rest is the same move in writing
            yield WordRun(" ".join(texts[:once]), self.state, glue=bool(head), first=first)
            yield PrintedMove(self.state, self.needs_number(step), " ".join(texts[once:]))
        else:
            yield PrintedMove(self.state, self.needs_number(step), said, glue=bool(head))
        if tail:
            yield WordRun(tail, self.state, glue=True, first=last - 1)

    def is_what_somebody_does(self, first: int, texts: Sequence[str]) -> bool:
        """Whether a step's words are the verb of a sentence: of "we take on c5" "we" alone must not be left."""
        before = self.words[first - 1].text.lower() if first else ""
        return texts[0].strip(",.;:!?").lower() in VERBS and before in SOMEBODY

    def needs_number(self, step: MoveStep) -> bool:
        """White's moves always have their number, Black's where White's move was not said just before."""
        if not move_number(step.before).endswith("..."):
            return True
        if self.state < 2:
            return True
        previous = self.walk.steps[self.state - 2]
        gap = self.spans[self.state - 1][0] - self.spans[self.state - 2][1]
        return not (isinstance(previous, MoveStep) and previous.node == step.parent and gap <= SAME_BREATH)

    def notes_upto(self, at: int) -> Iterator[PassagePiece]:
        """Reference numbers of notes whose words are done, and the notes themselves where a sentence ends."""
        while self.unset and self.unset[0].last <= at:
            note = self.unset.pop(0)
            yield NoteRef(note.number)
            self.waiting.append(note)
        if at in self.ends or any(at - note.last >= NOTE_WAITS for note in self.waiting):
            yield from self.margin()

    def margin(self) -> Iterator[PassagePiece]:
        yield from (NotePlace(note.number) for note in self.waiting)
        self.waiting.clear()


def trimmed(texts: list[str], signed: bool) -> tuple[str, list[str], str]:
    """A step's words without the punctuation around them: head, words, tail.

    :param signed: the move has a symbol, so ``!`` and ``?`` at its end belong to the move.
    """
    if not texts:
        return "", [], ""
    first = texts[0].lstrip(OPENERS)
    head = texts[0][: len(texts[0]) - len(first)]
    texts = [first, *texts[1:]]
    last = texts[-1].rstrip(",.;:!?…—–-" + CLOSERS)
    if not last:
        return head, texts, ""
    tail = texts[-1][len(last) :]
    if signed:
        tail = tail.lstrip("!?")
    return head, [*texts[:-1], last], tail


def is_plain(texts: Sequence[str]) -> bool:
    """Whether the words say the move and nothing else, so that the move in figurines can stand for them."""
    return all(
        (word := text.strip(",.;:!?").lower()) in PLAIN
        or word in SQUARES
        or (word.endswith(("'s", "’s")) and word[:-2] in PLAIN)
        or WRITTEN.fullmatch(text.strip(",;:"))
        for text in texts
    )


def is_written(text: str, san: str) -> bool:
    """Whether a word of the talk is a move in notation, with or without its number and signs."""
    bare = re.sub(r"^\d+\s*(?:\.|…)+", "", text.strip(",.;:…" + OPENERS + CLOSERS)).rstrip("!?+#")
    return bare == san.rstrip("+#")


def joined_runs(pieces: Iterator[PassagePiece]) -> Iterator[PassagePiece]:
    """Neighbouring runs of one position made into one."""
    held: WordRun | None = None
    for piece in pieces:
        if held is not None and isinstance(piece, WordRun) and (piece.state, piece.unread) == (held.state, held.unread):
            held = replace(held, text=f"{held.text}{'' if piece.glue else ' '}{piece.text}")
            continue
        if held is not None:
            yield held
        held = piece if isinstance(piece, WordRun) else None
        if held is None:
            yield piece
    if held is not None:
        yield held

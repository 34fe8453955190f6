"""The talk as a readable chapter: blocks of words, moves, jumps and notes, in the order of the telling."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import chess

from linewright.claims.ranking import most_serious
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.pgn import mark_words
from linewright.lesson.spoken import move_number
from linewright.lesson.step_words import step_spans, word_at
from linewright.lesson.walk import SURE, MoveStep, ReturnStep, Walk

#: Paragraphs with more words than this are broken; about two thirds of a printed page (common practice).
LONG_PARAGRAPH = 120
#: A long paragraph is broken at any sentence once it holds this many words.
ENOUGH_WORDS = 95
#: ... and at a sentence that returns to an earlier position once it holds this many.
ENOUGH_BEFORE_RETURN = 25
#: Captions may lack full stops: without one for this many words, the end of a move counts as one.
BREATH = 50
#: A note stands after its sentence, or right after its words when the sentence runs on longer than this.
NOTE_WAITS = 30
#: Black's move goes without its number when at most this many words part it from White's.
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
OPENERS = "([{\"'“‘«"
CLOSERS = ")]}\"'”’»"
SENTENCE_END = re.compile(rf"[.?!…][{re.escape(CLOSERS)}]*$")
MOVE_NUMBER = re.compile(r"\d+\s*(?:\.|…)+")


@dataclass(frozen=True, slots=True)
class Run:
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
class Played:
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
class Jump:
    """A return; its step is ``walk.steps[state - 1]``."""

    state: int
    glue: bool = False


@dataclass(frozen=True, slots=True)
class Marked:
    """A mark on the board, described in words."""

    text: str
    state: int
    glue: bool = False


@dataclass(frozen=True, slots=True)
class Ref:
    """The number that ties a place in the words to its note in the margin."""

    number: int
    glue: bool = True


@dataclass(frozen=True, slots=True)
class Margin:
    """The place of a note: beside the sentence just ended."""

    number: int
    glue: bool = False


Piece = Run | Played | Jump | Marked | Ref | Margin


@dataclass(frozen=True, slots=True)
class Other:
    """Another move that unsure words may have meant, with the position (full FEN) that it leads to."""

    san: str
    before: str
    after: str
    sure: float


@dataclass(frozen=True, slots=True)
class Note:
    """What stands in the margin: a finding, or an unread or unsure place.

    :param first: index of the first word it speaks of.
    :param last: index after the last.
    :param state: how many steps are done at the position it speaks of.
    :param rank: its place among the most serious findings, from 1 on; 0 for the others.
    """

    number: int
    kind: Kind
    verdict: Verdict
    evidence: str
    first: int
    last: int
    state: int
    others: tuple[Other, ...] = ()
    rank: int = 0


@dataclass(frozen=True, slots=True)
class Block:
    """A heading (level 1-6) or a paragraph (level 0).

    :param plates: nodes whose boards are printed beside it: where lines part, where they end, what is marked.
    """

    level: int
    pieces: tuple[Piece, ...]
    plates: tuple[int, ...] = ()


def notes(walk: Walk, findings: Sequence[Finding]) -> tuple[Note, ...]:
    """The margin's notes in the order of the talk: findings, unread places, unsure ones with alternatives."""
    place = {id(finding): rank for rank, finding in enumerate(most_serious(findings), 1)}
    found = [
        Note(
            0, f.kind, f.verdict, f.evidence, f.said.first, f.said.last, f.step, others_at(walk, f), place.get(id(f), 0)
        )
        for f in findings
    ]
    known = {(note.kind, note.first) for note in found}
    for index, step in enumerate(walk.steps):
        if not isinstance(step, MoveStep) or step.sure >= SURE or (Kind.UNSURE, step.said.first) in known:
            continue
        if others := others_of(step):  # without them the page's "(unsure)" beside the move says it all
            why = f"read as {step.san}, {step.sure:.0%} sure"
            first, last = step.said.first, step.said.last
            found.append(Note(0, Kind.UNSURE, Verdict.UNDECIDED, why, first, last, index + 1, others))
    for unread in walk.unread:
        if (Kind.UNREAD, unread.said.first) not in known:
            state = walk.step_at(unread.said.first)
            first, last = unread.said.first, unread.said.last
            found.append(Note(0, Kind.UNREAD, Verdict.UNDECIDED, unread.why, first, last, state))
    found.sort(key=lambda note: (note.first, note.last))
    return tuple(replace(note, number=number) for number, note in enumerate(found, 1))


def others_at(walk: Walk, finding: Finding) -> tuple[Other, ...]:
    """The alternatives of the unsure move that a finding speaks of."""
    if finding.kind is not Kind.UNSURE:
        return ()
    return next((others_of(s) for s in walk.moves if s.said.first == finding.said.first), ())


def others_of(step: MoveStep) -> tuple[Other, ...]:
    """A step's alternatives as positions; one that is not legal there is left out."""
    others = []
    for other in step.instead:
        board = chess.Board(step.before)
        move = chess.Move.from_uci(other.uci)
        if board.is_legal(move):
            board.push(move)
            others.append(Other(other.san, step.before, board.fen(), other.sure))
    return tuple(others)


def chapter(walk: Walk, margin: Sequence[Note]) -> tuple[Block, ...]:
    """The whole talk as blocks; every word is printed once or replaced by the move that it states."""
    ends = sentence_ends(walk)
    starts = block_starts(walk, ends)
    setter = Setter(walk, margin, ends)
    blocks = []
    for first, last in zip(starts, [*starts[1:], len(walk.talk.words)], strict=True):
        level = walk.talk.words[first].heading if first < len(walk.talk.words) else 0
        pieces = tuple(merged(setter.set(first, last)))
        if level and is_title(walk, first, last) and all(isinstance(p, Run) for p in pieces):
            continue  # the page's own heading says it
        blocks.append(Block(level, pieces, plates(walk, pieces)))
    return tuple(blocks)


def is_title(walk: Walk, first: int, last: int) -> bool:
    said = " ".join(word.text for word in walk.talk.words[first:last])
    return first == 0 and said.strip("# ") == " ".join(walk.title.split())


def plates(walk: Walk, pieces: Sequence[Piece]) -> tuple[int, ...]:
    """The positions worth a printed board: first visits where lines part or end, and marked ones."""
    found: dict[int, None] = {}
    for piece in pieces:
        if isinstance(piece, Marked):
            found[walk.node_after(piece.state)] = None
        elif isinstance(piece, Played) and is_first_visit(walk, piece.state):
            node = walk.nodes[walk.steps[piece.state - 1].node]
            if len(node.children) != 1:
                found[node.id] = None
    return tuple(found)


def is_first_visit(walk: Walk, state: int) -> bool:
    return walk.nodes[walk.steps[state - 1].node].step == state - 1


def sentence_ends(walk: Walk) -> frozenset[int]:
    """Indices after the last word of each sentence, never inside a step's words."""
    words, spans = walk.talk.words, step_spans(walk)
    inside = {i for first, last in spans for i in range(first + 1, last)}
    after_move = {last for first, last in spans if last > first}
    ends, breath = set(), 0
    for index, word in enumerate(words, 1):
        breath += 1
        last = index == len(words) or words[index].paragraph != word.paragraph
        stop = SENTENCE_END.search(word.text) and not MOVE_NUMBER.fullmatch(word.text)
        if stop and not last:
            stop = not words[index].text.lstrip(OPENERS)[:1].islower()
        if index not in inside and (last or stop or (breath >= BREATH and index in after_move)):
            ends.add(index)
            breath = 0
    return frozenset(ends)


def block_starts(walk: Walk, ends: frozenset[int]) -> list[int]:
    """Word indices at which a block starts: the talk's own paragraphs and headings, long ones broken up."""
    words = walk.talk.words
    returns = [
        first for step, (first, _) in zip(walk.steps, step_spans(walk), strict=True) if isinstance(step, ReturnStep)
    ]
    sizes: dict[int, int] = {}
    for word in words:
        sizes[word.paragraph] = sizes.get(word.paragraph, 0) + 1
    starts = [0]
    sentences = [0, *sorted(ends)]
    for first, last in pairwise(sentences):
        held = first - starts[-1]
        goes_back = any(first <= at < last for at in returns)
        own = first > 0 and (
            words[first].paragraph != words[first - 1].paragraph or words[first].heading != words[first - 1].heading
        )
        long = sizes[words[first].paragraph] > LONG_PARAGRAPH and not words[first].heading
        enough = held >= ENOUGH_WORDS or (goes_back and held >= ENOUGH_BEFORE_RETURN)
        if own or (long and enough):
            starts.append(first)
    return starts


class Setter:
    """Sets ranges of words, front to back, keeping count of the steps and notes already set."""

    def __init__(self, walk: Walk, margin: Sequence[Note], ends: frozenset[int]) -> None:
        self.walk = walk
        self.words = walk.talk.words
        self.spans = list(step_spans(walk))
        self.said = [last for _, last in self.spans]
        self.ends = ends
        self.state = 0
        self.unset = list(margin)
        self.waiting: list[Note] = []
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

    def set(self, first: int, last: int) -> Iterator[Piece]:
        """The pieces of the words from ``first`` up to ``last``."""
        at = first
        while at < last or (at == len(self.words) and self.left(at)):
            yield from self.marks_before(at)
            if self.state < len(self.spans) and self.spans[self.state][0] <= at:
                at = max(at, self.spans[self.state][1])
                yield from self.step()
            else:
                yield Run(self.words[at].text, self.state, unread=at in self.unread, first=at)
                at += 1
            yield from self.notes_upto(at)
        yield from self.marks_before(at if at == len(self.words) else -1)
        yield from self.margin()

    def left(self, at: int) -> bool:
        return self.state < len(self.spans) and self.spans[self.state][0] <= at

    def marks_before(self, at: int) -> Iterator[Piece]:
        while self.marks and self.marks[0][0] <= at:
            yield Marked(mark_words(self.marks.pop(0)[1]).strip("[]"), self.state)

    def step(self) -> Iterator[Piece]:
        """The next step with its words."""
        first, last = self.spans[self.state]
        self.state += 1
        step = self.walk.steps[self.state - 1]
        if isinstance(step, ReturnStep):
            yield Jump(self.state)
            yield from (Run(self.words[at].text, self.state, first=at) for at in range(first, last))
            return
        texts = [word.text for word in self.words[first:last]]
        head, texts, tail = trimmed(texts, step.nag is not None)
        said = " ".join(texts)
        if head:
            yield Run(head, self.state, first=first)
        if texts and (not is_plain(texts) or self.is_what_somebody_does(first, texts)):
            once = self.said[self.state - 1] - first  # the rest is the same move in writing
            yield Run(" ".join(texts[:once]), self.state, glue=bool(head), first=first)
            yield Played(self.state, self.needs_number(step), " ".join(texts[once:]))
        else:
            yield Played(self.state, self.needs_number(step), said, glue=bool(head))
        if tail:
            yield Run(tail, self.state, glue=True, first=last - 1)

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

    def notes_upto(self, at: int) -> Iterator[Piece]:
        """Reference numbers of notes whose words are done, and the notes themselves where a sentence ends."""
        while self.unset and self.unset[0].last <= at:
            note = self.unset.pop(0)
            yield Ref(note.number)
            self.waiting.append(note)
        if at in self.ends or any(at - note.last >= NOTE_WAITS for note in self.waiting):
            yield from self.margin()

    def margin(self) -> Iterator[Piece]:
        yield from (Margin(note.number) for note in self.waiting)
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


def merged(pieces: Iterator[Piece]) -> Iterator[Piece]:
    """Neighbouring runs of one position made into one."""
    held: Run | None = None
    for piece in pieces:
        if held is not None and isinstance(piece, Run) and (piece.state, piece.unread) == (held.state, held.unread):
            held = replace(held, text=f"{held.text}{'' if piece.glue else ' '}{piece.text}")
            continue
        if held is not None:
            yield held
        held = piece if isinstance(piece, Run) else None
        if held is None:
            yield piece
    if held is not None:
        yield held

"""What to remember of a lesson: the structure that its lines lead to, and the plans that its words give."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import chess

from linewright.board.structure import open_files, pawns
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.sentences import sentence_ends
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import Walk
from linewright.publish.handout.book import Section, tidy
from linewright.publish.theme import Theme

#: Points of each sort at most: more than a handful is not remembered (common practice of teaching).
MOST_WORDS, MOST_STRUCTURE = 6, 6

#: A sentence gives a plan when it says so in words like these. Common practice.
PLAN = re.compile(
    r"^remember\b|\b(?:remember (?:that|to|the|this)|the (?:plan|idea|point|aim|whole point)\b|plan is|we want to"
    r"|(?:he|she|white|black) wants|aims? (?:at|for)|the threat|have to know|must know|don[’']t forget"
    r"|keep (?:the|your|an)|look for|always (?:play|look|put|take|check)|never (?:play|let|take|allow|castle))\b",
    re.IGNORECASE,
)
#: Kinds of claims about a position that, when they hold, are worth remembering.
KINDS = frozenset({Kind.STRUCTURE, Kind.FILES, Kind.CENTRE, Kind.KING})
#: Sentences longer than this many words wander.
LONGEST = 45


@dataclass(frozen=True, slots=True)
class Point:
    """Something to remember.

    :param text: a sentence.
    :param node: the position it is said of.
    """

    text: str
    node: int


def plans(walk: Walk, findings: Sequence[Finding]) -> tuple[Point, ...]:
    """The talk's own sentences that give a plan, or make a claim about the position that holds.

    A sentence with a claim that fails is never among them.
    """
    points = []
    wrong = {f.said.first for f in findings if f.verdict is Verdict.FAILS}
    right = {f.said.first for f in findings if f.verdict is Verdict.HOLDS and f.kind in KINDS}
    for first, last, point in talk_sentences(walk):
        span = range(first, last)
        if len(span) > LONGEST or wrong.intersection(span):
            continue
        said_plan = bool(PLAN.search(point.text))
        if said_plan or right.intersection(span):
            points.append((not said_plan, first, point))
    chosen = sorted(points, key=lambda p: p[:2])[:MOST_WORDS]
    return tuple(point for _, _, point in sorted(chosen, key=lambda p: p[1]))


def talk_sentences(walk: Walk) -> Iterator[tuple[int, int, Point]]:
    """Sentences that state no move or return, headings left out: first word, index after the last, what is said."""
    for first, last, done in _sentences(walk):
        if not walk.talk.words[first].heading:
            text = tidy(" ".join(word.text for word in walk.talk.words[first:last]))
            yield first, last, Point(text, walk.node_after(done))


def _sentences(walk: Walk) -> Iterator[tuple[int, int, int]]:
    """Sentences without a move or return in them: first word, index after the last, steps done."""
    taken = {i for first, last in step_spans(walk) for i in range(first, last)}
    start = 0
    for end in sorted(sentence_ends(walk)):
        if taken.isdisjoint(range(start, end)):
            yield start, end, walk.step_at(start)
        start = end


def structure(walk: Walk, sections: Sequence[Section], theme: Theme) -> tuple[Point, ...]:
    """What the pawns show where the main line ends, in the theme's language; () without moves."""
    if not sections:
        return ()
    node = sections[0].last
    board = chess.Board(walk.nodes[node].fen)
    return tuple(Point(text, node) for text in facts(board, theme))[:MOST_STRUCTURE]


def facts(board: chess.Board, theme: Theme) -> Iterator[str]:
    """Traits of the pawn structure worth naming, weightiest first."""
    traits = (
        ("passed", pawns.passed),
        ("hanging", pawns.hanging_pawns),
        ("isolated", pawns.isolated),
        ("backward", pawns.backward),
        ("doubled", pawns.doubled),
    )
    for key, trait in traits:
        for white in (chess.WHITE, chess.BLACK):
            squares = trait(board, white)
            if squares:
                names = ", ".join(map(chess.square_name, squares))
                yield theme.label(key, side=theme.side(white), squares=names)
    for wing in pawns.Wing:
        for white in (chess.WHITE, chess.BLACK):
            count = pawns.wing_counts(board, wing)[0]
            if count.of(white) > count.of(not white):
                yield theme.label("majority", side=theme.side(white), wing=theme.label(wing.value))
    opened = ", ".join(chess.FILE_NAMES[f] for f in open_files.open_files(board))
    if opened:
        yield theme.label("open_file", files=opened)
    for white in (chess.WHITE, chess.BLACK):
        half = ", ".join(chess.FILE_NAMES[f] for f in open_files.half_open_files(board, white))
        if half:
            yield theme.label("half_open", side=theme.side(white), files=half)

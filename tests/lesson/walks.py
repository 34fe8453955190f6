"""Random walks: real games of any length with returns, retold moves, doubts, marks and odd words."""

from __future__ import annotations

import re
from dataclasses import replace

import chess
from hypothesis import strategies as st

from linewright.lesson.walk import Alternative, BoardMark, MoveStep, ReturnStep, Said, Step, Unread, Walk
from linewright.talk.model import Place, Talk
from tests.support import plain_talk

#: Words that a careless writer of HTML, PGN or JSON would trip over, among ordinary ones.
WORDS = re.split(
    r"\s+",
    "and so he plays {this} or {that} ; a [%csl Ge5] note %evil % } { ( ) $1 1-0 * </script> <script>alert(1)"
    "</script> & &amp; \" ' \\ “good”. Really? Yes! don't naïve ½ … 12. 4... e4, knight f3 O-O",
)

STARTS = (
    chess.STARTING_FEN,
    "r3k2r/pppq1ppp/2n2n2/3pp3/3PP3/2N2N2/PPPQ1PPP/R3K2R w KQkq - 4 9",
    "8/P6k/8/8/8/8/p6K/8 b - - 0 60",
)


@st.composite
def walks(draw: st.DrawFn, most: int = 30) -> Walk:
    """A walk whose every step has words of its own, or none, or shares a word with the step before."""
    start = draw(st.sampled_from(STARTS))
    words: list[str] = draw(st.lists(st.sampled_from(WORDS), max_size=5))
    boards = [chess.Board(start)]
    children: list[dict[str, int]] = [{}]
    plan: list[tuple[Step, int, int]] = []
    at = 0
    for _ in range(draw(st.integers(0, most))):
        before = words.copy()
        words += draw(st.lists(st.sampled_from(WORDS), max_size=4))
        first = len(before)
        if draw(st.integers(0, 4)) == 0:
            at = draw(st.integers(0, len(boards) - 1))
            plan.append((ReturnStep(NOTHING, boards[at].fen(), at), first, len(words)))
            continue
        moves = sorted(boards[at].legal_moves, key=chess.Move.uci)
        if not moves:
            continue
        known = sorted(children[at])
        retell = known and draw(st.booleans())
        uci = draw(st.sampled_from(known)) if retell else draw(st.sampled_from(moves)).uci()
        board = boards[at].copy()
        san = board.san_and_push(chess.Move.from_uci(uci))
        if uci not in children[at]:
            children[at][uci] = len(boards)
            children.append({})
            boards.append(board)
        other = draw(st.sampled_from(moves))
        step = MoveStep(
            NOTHING,
            san,
            uci,
            boards[at].fen(),
            board.fen(),
            at,
            children[at][uci],
            sure=draw(st.sampled_from([1.0, 0.5])),
            instead=(Alternative(boards[at].san(other), other.uci(), 0.3),),
            nag=draw(st.sampled_from([None, None, 1, 6])),
        )
        at = step.node
        if draw(st.booleans()):
            words.append(draw(st.sampled_from(["takes,", "knight", "e4", "castles."])))
        plan.append((step, first if draw(st.booleans()) else max(0, first - 1), len(words)))
    words += draw(st.lists(st.sampled_from(WORDS), max_size=5))
    gaps = draw(st.lists(st.sampled_from([" ", " ", "\n", "\n\n"]), min_size=len(words), max_size=len(words)))
    talk = plain_talk("".join(w + g for w, g in zip(words, gaps, strict=True)), title='A {curly} "talk" <b>')
    steps = tuple(placed(talk, step, first, last) for step, first, last in plan)
    return Walk(talk, steps, start, unread=unread(draw, talk), marks=marks(draw, talk, len(steps)))


NOTHING = Said(0, 0, "", 0.0, 0.0, None)  # type: ignore[arg-type]  # replaced by placed()


def placed(talk: Talk, step: Step, first: int, last: int) -> Step:
    return replace(step, said=said_words(talk, first, last))


def said_words(talk: Talk, first: int, last: int) -> Said:
    """Words by their indices; none at the talk's end are placed at its last word."""
    here = talk.words[first] if first < len(talk.words) else None
    place = here.place if here else Place(1, 1)
    return Said(first, last, talk.quote(first, last), here.start if here else 0.0, 0.0, place)


def unread(draw: st.DrawFn, talk: Talk) -> tuple[Unread, ...]:
    if not talk.words:
        return ()
    hit = draw(st.lists(st.integers(0, len(talk.words) - 1), max_size=2, unique=True))
    return tuple(Unread(said_words(talk, i, i + 1), "no knight can <reach> d5") for i in sorted(hit))


def marks(draw: st.DrawFn, talk: Talk, steps: int) -> tuple[BoardMark, ...]:
    if not talk.words:
        return ()
    hit = sorted(draw(st.lists(st.integers(0, len(talk.words) - 1), max_size=2)))
    shape = draw(st.sampled_from(["ring", "dot", "cross"]))
    return tuple(BoardMark(shape, ("e5",), draw(st.integers(0, steps)), talk.words[i].place) for i in hit)

"""The dialogue in the terminal: one doubtful place at a time, a small board, numbered choices."""

from __future__ import annotations

from collections.abc import Callable

import chess

from linewright.lesson.spoken import move_number, numbered
from linewright.lesson.walk import Walk
from linewright.reading.answers import clock, same_position
from linewright.settle.places import DoubtfulPlace, PlaceKind
from linewright.settle.questions import TrainerQuestion, WayToRead
from linewright.settle.session import CannotBe, Session
from linewright.settle.text_board import board_text
from linewright.settle.typed_moves import named
from linewright.talk.model import Talk, Unit

#: Words of context shown before and after the words in question.
AROUND = 14
#: Moves that an answer should be expected to set right for a sure place to be asked about.
WORTH_ASKING = 0.1
#: Moves of the line shown above the board.
LINE = 8

HELP = """\
  Enter      it is as read (all the moves shown)
  1, 2, …    what the words in [brackets] mean instead
  Nf3        or “knight f3”, or several moves in order: what the words mean, from the board shown
  after 5...Nf6: Bg5     the same, played from another position of the lesson
  -          none of the words shown is a move
  w          the board shown is wrong already: ask further back
  s  skip    u  undo    q  save and stop    ?  this help"""


def talk_through(
    session: Session, ask: Callable[[str], str], say: Callable[[str], None], figurines: bool = True
) -> None:
    """Ask until nothing doubtful is left or the trainer stops.

    :param ask: shows a prompt and returns the line typed; EOFError stops.
    :param say: prints lines.
    """
    shown: TrainerQuestion | None = None
    while (question := session.question()) is not None and (question is shown or matters(session, question)):
        if question is not shown:
            say(screen(session, question, figurines))
            shown = question
        try:
            line = ask("Enter, 1…, a move, - w s u q ? > ").strip()
        except EOFError:
            line = "q"
        before = session.walk
        if line == "q":
            break
        if line == "?":
            say(HELP)
            continue
        try:
            act(session, line)
        except CannotBe as error:
            say(f"  {error}")
            continue
        shown = None if session.walk is not before else shown
        if session.walk is not before:
            say(changed(before, session))
    say(ended(session))


def matters(session: Session, question: TrainerQuestion) -> bool:
    """Something doubtful is left, or something sure that would cost much if it were wrong."""
    return question.worth >= WORTH_ASKING or session.doubtful() > 0


def act(session: Session, line: str) -> None:
    """Act on a typed line.

    :raises CannotBe: when it can't be taken.
    """
    if not line:
        session.choose(0)
    elif line == "-":
        session.nothing(whole=True)
    elif line == "s":
        session.skip()
    elif line == "w":
        session.further_back()
    elif line == "u":
        if not session.undo():
            raise CannotBe("nothing to undo")
    elif line.isdigit():
        if line == "0":
            raise CannotBe("choices count from 1; Enter keeps the reading")
        session.choose(int(line))
    else:
        session.tell(named(session, line))


# -- what is shown ---------------------------------------------------------------------------------------------


def screen(session: Session, question: TrainerQuestion, figurines: bool = True) -> str:
    """A question as lines of text."""
    place, talk = question.place, session.talk
    board = board_text(place.board, session.walk.side == "black", figurines)
    turn = "White" if chess.Board(place.board).turn else "Black"
    shown = line_to(session.walk, place)
    parts = [
        "",
        f"{where(talk, place)} {reason(place)}; {doubts_left(session)}",
        f"  {context(talk, question)}",
        "",
        f"  {shown + ': ' if shown else ''}{turn} to move",
        board,
        "",
        f"  Enter  {as_read(question)}",
        *(f"  {number:5}  {described(session.walk, place, c)}" for number, c in enumerate(question.choices[1:], 1)),
    ]
    return "\n".join(parts)


def where(talk: Talk, place: DoubtfulPlace) -> str:
    """``file:line:column``, and the time for captions."""
    said = place.said
    time = f" ({clock(said.start)})" if talk.unit is Unit.SECONDS else ""
    return f"{talk.source}:{said.place.line}:{said.place.column}:{time}"


def reason(place: DoubtfulPlace) -> str:
    """What makes a place doubtful, in a few words."""
    if place.breaks:
        return (
            f"the line breaks here, {place.breaks} more moves after it fit nowhere: which move was said before or here"
        )
    if place.sure is None:
        return "looks like a move, not read as one"
    what = "a return" if place.kind is PlaceKind.RETURN else "read"
    return f"{what}, {100 * place.sure:.0f} % sure"


def context(talk: Talk, question: TrainerQuestion) -> str:
    """The words in question in brackets, the passage's other words marked off, some words around them."""
    first, last = question.place.said.first, question.place.said.last
    end = min(len(talk.words), max(question.last, last) + AROUND)
    start = max(0, min(question.since, first) if first - question.since <= 2 * AROUND else first, first - AROUND)
    start = min(start, max(0, first - AROUND // 2))
    parts = (talk.quote(start, first), f"[{talk.quote(first, last)}]", talk.quote(last, end))
    text = " ".join(" ".join(filter(None, parts)).split())
    return f"{'… ' if start else ''}{text}{' …' if end < len(talk.words) else ''}"


def line_to(walk: Walk, place: DoubtfulPlace) -> str:
    """The last moves that lead to the board of a place."""
    node = next((n.id for n in walk.nodes if same_position(n.fen, place.board)), 0)
    ids = walk.line(node)
    before = {n.id: n.fen for n in walk.nodes}
    out = []
    for at, number in enumerate(ids[-LINE:]):
        parent = walk.nodes[number].parent or 0
        fen = before[parent]
        label = move_number(fen) if at == 0 or fen.split()[1] == "w" else ""
        out.append(f"{label}{walk.nodes[number].san}")
    return ("… " if len(ids) > LINE else "") + " ".join(out)


def as_read(question: TrainerQuestion) -> str:
    """The reading of the whole passage."""
    parts = []
    for place in question.places:
        if not place.moves:
            parts.append(f"“{place.said.words}” no move")
            continue
        *unsaid, move = place.moves
        before = "".join(f"{numbered(m.before, m.san)} (unsaid) " for m in unsaid)
        parts.append(f"“{place.said.words}” {before}{numbered(move.before, move.san)}")
    return "as read: " + ", ".join(parts)


def described(walk: Walk, place: DoubtfulPlace, choice: WayToRead) -> str:
    """A choice, with the position where it isn't the one shown: ``after 5...Nf6: 6.Bg5``."""
    if not choice.moves:
        return "no move, only mentioned"
    moves = " ".join(numbered(m.before, m.san) for m in choice.moves)
    first = choice.moves[0]
    if same_position(first.before, place.board):
        return moves
    led = next((m for m in reversed(walk.moves) if same_position(m.after, first.before)), None)
    return f"after {numbered(led.before, led.san)}: {moves}" if led is not None else f"from the start: {moves}"


def doubts_left(session: Session) -> str:
    """``1 doubtful place left``."""
    left = session.doubtful()
    return f"{left} doubtful place{'s' if left != 1 else ''} left"


def changed(before: Walk, session: Session) -> str:
    """What an answer changed, in a line."""
    old = [(m.san, m.before) for m in before.moves]
    new = [(m.san, m.before) for m in session.walk.moves]
    same = len(set(old) & set(new))
    return f"  read again: {len(new) - same} of {len(new)} moves are read differently now"


def ended(session: Session) -> str:
    """How a sitting ended, in a line."""
    unfit = len(session.unfit())
    parts = [f"{session.asked} answered", doubts_left(session)]
    if unfit:
        parts.append(
            "1 answer no longer fits the reading" if unfit == 1 else f"{unfit} answers no longer fit the reading"
        )
    return ", ".join(parts)

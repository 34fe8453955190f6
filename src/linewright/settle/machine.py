"""The machine interface: one JSON object a line, questions out, answers in, for scripts and editors.

A question::

    {"question": 3, "kind": "move" | "return" | "passed over", "file", "line", "column", "start", "end", "unit",
     "words", "left", "right", "first", "last", "since", "board": FEN,
     "places": [{"words", "first", "last", "moves": [SAN], "sure": 0..1 | null}],
     "choices": [[{"san", "from": FEN}]], "worth", "doubtful"}

``first``, ``last``, ``since`` are word indices in the talk (half-open). ``places[0]`` is in question, the others are
doubtful ones after it on the same line. ``choices[0]`` is the reading of all of them; the others read ``places[0]``;
an empty choice tells no move. ``doubtful`` counts the doubtful places left.

An answer is one of::

    {"choose": 0}                                      a choice by its number
    {"moves": [{"san", "from": FEN, "words": [first, last]}]}    all that the passage tells, in order, the words
                                                       passed over before it included; "from" and "words" may be
                                                       left out, and {"san": "Nf3"} be written "Nf3"
    {"moves": []}                                      the passage tells no move
    {"do": "skip" | "back" | "undo" | "stop"}          "back": the board is wrong already, ask further back

What can't be taken is answered with ``{"error": what}``, and the same question stays. The end of the input stops. The
last line out is ``{"done": {"asked", "settled", "doubtful", "unfit": [{"first", "last", "san", "from"}]}}``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from linewright.reading.answers import Answer
from linewright.settle.places import SettledMove
from linewright.settle.questions import TrainerQuestion
from linewright.settle.session import CannotBe, Session

#: Words of context before and after a question's words.
AROUND = 12


def dialogue(session: Session, lines: Iterable[str]) -> Iterator[str]:
    """The lines to write, drawing the answers from ``lines`` as they are needed."""
    answers = iter(lines)
    shown: TrainerQuestion | None = None
    while (question := session.question()) is not None:
        if question is not shown:
            yield _line(question_json(session, question))
            shown = question
        line = next(answers, None)
        if line is None:
            break
        if not line.strip():
            continue
        try:
            if not take(session, json.loads(line)):
                break
        except ValueError as error:
            yield _line({"error": f"not a JSON object on one line: {error}"})
        except CannotBe as error:
            yield _line({"error": str(error)})
    yield _line({"done": done_json(session)})


def take(session: Session, answer: Any) -> bool:
    """Act on one answer; False to stop.

    :raises CannotBe: when it can't be taken.
    """
    match answer:
        case {"choose": int(number)}:
            session.choose(number)
        case {"moves": []}:
            session.nothing(whole=True)
        case {"moves": [*moves]}:
            session.tell([_told(move) for move in moves], whole=True)
        case {"do": "skip"}:
            session.skip()
        case {"do": "back"}:
            session.further_back()
        case {"do": "undo"}:
            if not session.undo():
                raise CannotBe("nothing to undo")
        case {"do": "stop"}:
            return False
        case _:
            raise CannotBe('an answer has "choose", "moves" or "do"; see the README')
    return True


def question_json(session: Session, question: TrainerQuestion) -> dict[str, Any]:
    """A question as plain data."""
    talk, place = session.talk, question.place
    said = place.said
    return {
        "question": session.asked + 1,
        "kind": str(place.kind),
        "file": talk.source,
        "line": said.place.line,
        "column": said.place.column,
        "start": said.start,
        "end": said.end,
        "unit": str(talk.unit),
        "words": said.words,
        "left": talk.quote(max(0, said.first - AROUND), said.first),
        "right": talk.quote(said.last, min(len(talk.words), said.last + AROUND)),
        "first": said.first,
        "last": said.last,
        "since": question.since,
        "board": place.board,
        "places": [
            {
                "words": p.said.words,
                "first": p.said.first,
                "last": p.said.last,
                "moves": [m.san for m in p.moves],
                "sure": None if p.sure is None else round(p.sure, 3),
            }
            for p in question.places
        ],
        "choices": [[{"san": m.san, "from": m.before} for m in choice.moves] for choice in question.choices],
        "worth": round(question.worth, 2),
        "doubtful": session.doubtful(),
    }


def done_json(session: Session) -> dict[str, Any]:
    """How a sitting ended, as plain data."""
    return {
        "asked": session.asked,
        "settled": len(session.answers),
        "doubtful": session.doubtful(),
        "unfit": [_answer_json(a) for a in session.unfit()],
    }


def _answer_json(answer: Answer) -> dict[str, Any]:
    return {"first": answer.first, "last": answer.last, "san": answer.san, "from": answer.before}


def _told(move: Any) -> SettledMove:
    match move:
        case str(san):
            return SettledMove(san)
        case {"san": str(san), **rest}:
            before, words = rest.get("from", ""), rest.get("words")
            if isinstance(before, str) and words is None:
                return SettledMove(san, before)
            if isinstance(before, str) and isinstance(words, list) and [type(w) for w in words] == [int, int]:
                return SettledMove(san, before, (words[0], words[1]))
    raise CannotBe(f'{json.dumps(move)} is not a move: write "Nf3" or {{"san": "Nf3", "from": FEN, "words": [4, 6]}}')


def _line(document: dict[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False)

"""Reading a PGN file back as walks: Linewright's own exactly, anyone's by its moves, comments and signs."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import chess
import chess.pgn

from linewright.lesson.pgn import AGAIN, BACK_HERE, Exporter, walk_to_pgn
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import BoardMark, MoveStep, Opening, ReturnStep, Said, Step, Walk
from linewright.lesson.walk_record import ESCAPE, walk_of_lines
from linewright.support.errors import UnusableInput
from linewright.talk.model import Place, Talk, Unit, Word

#: Notes in square brackets that are Linewright's own, not the talk's: where it goes on, and what fails.
_NOTES = re.compile(rf"{re.escape(BACK_HERE)}|{re.escape(AGAIN)}|\[Fails \([a-z]+\): [^\]]*\]")
_MARK = re.compile(
    r"\[(ring|dot|cross) on ([a-h][1-8](?: and [a-h][1-8])*)\]|\[path from ([a-h][1-8](?: to [a-h][1-8])+)\]"
)
#: Commands to programs inside comments, of which the standard of 1994 knows nothing.
_COMMAND = re.compile(r"\[%[^\]]*\]")

CHANGED = "the moves or comments were changed since Linewright wrote them: read as they stand, without times"


def walks_from_pgn(text: str, source: str = "-") -> tuple[Walk, ...]:
    """Every game of a PGN file as a walk.

    A game that Linewright wrote, and nobody changed, comes back as the very walk that it was made from. Any
    other game is given move by move, each variation where it branches off; what can't be read is left out and
    named in the talk's notes.

    :param source: the file as the user names it.
    :raises UnusableInput: when there is no game in it.
    """
    found = tuple(_walk(game, record, source) for game, record in _games(text))
    if not found:
        raise UnusableInput(f"{source}: no game in this file", "A PGN game has tags like [Event …] and moves.")
    return found


def walk_from_pgn(text: str, source: str = "-") -> Walk:
    """The first game of a PGN file as a walk; see :func:`walks_from_pgn`."""
    return walks_from_pgn(text, source)[0]


def _games(text: str) -> Iterator[tuple[chess.pgn.Game, list[str]]]:
    """Each game with the lines of the record that follows it."""
    handle = io.StringIO(text)
    game = chess.pgn.read_game(handle)
    while game is not None:
        record, at = [], handle.tell()
        while (line := handle.readline()) and (not line.strip() or line.startswith(ESCAPE)):
            record += [line] if line.strip() else []
            at = handle.tell()
        handle.seek(at)
        yield game, record
        game = chess.pgn.read_game(handle)


def _walk(game: chess.pgn.Game, record: list[str], source: str) -> Walk:
    known = walk_of_lines(record)
    if known is not None and _same(known, game):
        return known
    walk = _Teller(game, source).walk()
    notes = [*((CHANGED,) if record else ()), *(str(error) for error in game.errors)]
    return replace(walk, talk=replace(walk.talk, notes=tuple(notes))) if notes else walk


def _same(walk: Walk, game: chess.pgn.Game) -> bool:
    """Whether a game still says what a walk does: moves, signs, comments; line breaks and tags' order aside."""
    try:
        written = chess.pgn.read_game(io.StringIO(walk_to_pgn(walk)))
    except (ValueError, AssertionError, IndexError, KeyError):
        return False
    return written is not None and _plain(written) == _plain(game)


def _plain(game: chess.pgn.Game) -> str:
    """Movetext on one line without Linewright's notes on what fails, after the title and start."""
    moves = " ".join(game.accept(Exporter(columns=None, headers=False)).split())
    moves = re.sub(r"\[Fails \([a-z]+\): [^\]]*\]", " ", moves)
    moves = re.sub(r"\{\s*\}", " ", re.sub(r"(?<=\{) +| +(?=\})", "", " ".join(moves.split())))
    # A comment between two moves of White and Black makes the number be written again.
    moves = re.sub(r"\d+\.+", " ", moves)
    head = (game.headers.get("Event", "?"), game.headers.get("FEN", chess.STARTING_FEN))
    return " ".join([*head, *moves.split()])


@dataclass
class _Teller:
    """Turns a game into a talk with written moves: each variation right after the move that it replaces."""

    game: chess.pgn.Game
    source: str
    words: list[tuple[str, int]] = field(default_factory=list)
    plan: list[tuple[Step, int, int]] = field(default_factory=list)
    marks: list[tuple[str, tuple[str, ...], int, int]] = field(default_factory=list)
    ids: dict[tuple[int, str], int] = field(default_factory=dict)
    fens: list[str] = field(default_factory=list)
    paragraph: int = 0
    at: int = 0

    def walk(self) -> Walk:
        self.fens.append(self.game.board().fen())
        self.say(self.game.comment)
        # A stack rather than recursion, as variations may lie deep in each other.
        todo: list[tuple[chess.pgn.GameNode, int, bool]] = [(self.game, 0, False)]
        while todo:
            node, here, new = todo.pop()
            if new:
                after = self.state(node, here)
                if after is not None:
                    todo.append((node, after, False))
                continue
            if not node.variations:
                continue
            main, *sides = node.variations
            after = self.state(main, here)
            if after is not None:
                todo.append((main, after, False))
            todo += [(side, here, True) for side in reversed(sides)]
        return self.finish()

    def state(self, node: chess.pgn.GameNode, parent: int) -> int | None:
        """Play a move from the node ``parent``; its own node, or None for a move that none may play."""
        assert isinstance(node, chess.pgn.ChildNode)
        board = chess.Board(self.fens[parent])
        if not board.is_legal(node.move):
            return None
        if self.at != parent:
            self.paragraph += 1
            here = len(self.words)
            self.plan.append((ReturnStep(_UNSAID, self.fens[parent], parent), here, here))
        self.say(node.starting_comment)
        uci, san, before = node.move.uci(), board.san(node.move), board.fen()
        board.push(node.move)
        at = self.ids.setdefault((parent, uci), len(self.fens))
        if at == len(self.fens):
            self.fens.append(board.fen())
        self.words.append((numbered(before, san), self.paragraph))
        nag = min((nag for nag in node.nags if nag), default=None)
        step = MoveStep(_UNSAID, san, uci, before, board.fen(), parent, at, nag=nag)
        self.plan.append((step, len(self.words) - 1, len(self.words)))
        self.at = at
        self.say(node.comment)
        return at

    def say(self, comment: str) -> None:
        """A comment's words, its marks taken out and set on the board."""
        # Line breaks may stand in the middle of a note.
        comment = _COMMAND.sub(" ", _NOTES.sub(" ", " ".join(comment.split())))
        last = 0
        for mark in _MARK.finditer(comment):
            self.words += [(word, self.paragraph) for word in comment[last : mark.start()].split()]
            on = tuple(mark[3].split(" to ") if mark[3] else mark[2].split(" and "))
            self.marks.append((mark[1] or "path", on, len(self.plan), len(self.words)))
            last = mark.end()
        self.words += [(word, self.paragraph) for word in comment[last:].split()]

    def finish(self) -> Walk:
        """The talk whose text is what was said, and the walk over it."""
        placed: list[Word] = []
        text, line, column, previous = "", 1, 1, 0
        for word, paragraph in self.words:
            if text:
                gap = "\n\n" if paragraph != previous else " "
                text += gap
                line, column = (line + 2, 1) if paragraph != previous else (line, column + 1)
            at = (len(text), len(text) + len(word))
            placed.append(Word(word, at, float(at[0]), float(at[1]), Place(line, column), paragraph))
            text, column, previous = text + word, column + len(word), paragraph
        talk = Talk(self.title(), self.source, Unit.CHARACTERS, text, tuple(placed))
        steps = tuple(replace(step, said=_said(talk, first, last)) for step, first, last in self.plan)
        marks = tuple(BoardMark(shape, on, step, _place(talk, word)) for shape, on, step, word in self.marks)
        return Walk(talk, steps, self.fens[0], marks=marks, opening=self.opening())

    def title(self) -> str:
        """The event; for a game of two players, who they are."""
        headers = self.game.headers
        players = [headers.get(side, "?") for side in ("White", "Black")]
        event = headers.get("Event", "?")
        named = " – ".join(players) if players != ["?", "?"] else ""
        return ", ".join(part for part in (named, "" if event == "?" else event) if part) or "Lesson"

    def opening(self) -> Opening | None:
        headers = self.game.headers
        return Opening(headers["ECO"], headers["Opening"]) if {"ECO", "Opening"} <= headers.keys() else None


_UNSAID = Said(0, 0, "", 0.0, 0.0, Place(1, 1))


def _place(talk: Talk, word: int) -> Place:
    """Where a word stands; one line below the last for what comes after all words."""
    if word < len(talk.words):
        return talk.words[word].place
    return Place(talk.words[-1].place.line + 1 if talk.words else 1, 1)


def _said(talk: Talk, first: int, last: int) -> Said:
    start = talk.words[first].start if first < len(talk.words) else float(len(talk.text))
    end = talk.words[last - 1].end if last > first else start
    return Said(first, last, talk.quote(first, last), start, end, _place(talk, first))

"""A walk as annotated PGN (PGN standard, 1994), written through the ``chess`` library's export."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import chess
import chess.pgn

from linewright.lesson.finding import Finding, Verdict
from linewright.lesson.opening import lesson_opening
from linewright.lesson.step_words import step_stretches, word_at
from linewright.lesson.walk import BoardMark, MoveStep, ReturnStep, Walk
from linewright.lesson.walk_record import escaped_lines

#: Editor's words in square brackets, as in print, where a position is spoken of more than once.
BACK_HERE = "[Back here:]"
AGAIN = "[Again:]"

#: Longest line in characters; export format asks for fewer than 80 (PGN standard 4.3, 3.2.4).
COLUMNS = 79

#: Braces would end a comment (PGN standard 5), and "[%" starts other programs' private commands.
SAFE = str.maketrans({"{": "(", "}": ")"})
#: Words of a talk that look like the beginning of an editor's note get another bracket.
NOTELIKE = re.compile(r"\[(?=(?:Back|Again|Fails|ring|dot|cross|path)\b)")
CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


def walk_to_pgn(walk: Walk, findings: Sequence[Finding] = (), record: bool = False) -> str:
    """The walk as one PGN game with nested variations, ending in a line break.

    Every word of the talk stands in a comment exactly once, at the step where it is said; what is said on
    the way into a new variation stands before the variation's first move. A position that is spoken of again
    keeps both tellings, the later one after an editor's note in square brackets. Marks on the board are
    comments in plain words. Findings that fail are appended as comments where they were said.

    :param findings: pass them to have those that fail appended; others are left out.
    :param record: add the walk itself in escaped lines after the game, which every reader skips: with them
        :func:`linewright.lesson.pgn_reading.walk_from_pgn` gives back the same walk, order and times too.
    """
    game = chess.pgn.Game()
    game.headers.update(tags(walk))
    game.setup(chess.Board(walk.start))
    nodes = plant(walk, game)
    for into, opens, text in comments(walk, findings):
        node = nodes[into]
        if opens:
            node.starting_comment = joined(node.starting_comment, text)
        else:
            node.comment = joined(node.comment, text)
    for step in walk.moves:
        if step.nag is not None:
            nodes[step.node].nags.add(step.nag)
    text = game.accept(Exporter(columns=COLUMNS)) + "\n"
    return f"{text}\n{escaped_lines(walk)}" if record else text


def tags(walk: Walk) -> dict[str, str]:
    """The Seven Tag Roster (PGN standard 8.1.1) with what a lesson can say, then ECO and Opening (9.2)."""
    roster = {
        "Event": tag_value(walk.title) or "?",
        "Site": "?",
        "Date": "????.??.??",
        "Round": "-",
        "White": "?",
        "Black": "?",
        "Result": "*",
    }
    opening = lesson_opening(walk)
    if opening:
        roster |= {"ECO": tag_value(opening.eco), "Opening": tag_value(opening.name)}
    return roster


def tag_value(text: str) -> str:
    """Text that may stand in a tag pair; readers differ on escapes, so quotes and backslashes go."""
    return " ".join(CONTROL.sub(" ", text).replace('"', "'").replace("\\", "/").split())


def comment_text(text: str) -> str:
    """Text that may stand between braces, its white space folded."""
    return " ".join(CONTROL.sub(" ", text).translate(SAFE).replace("[%", "(%").split())


def said_text(text: str) -> str:
    """Words of a talk as they may stand between braces, never taken for an editor's note."""
    return NOTELIKE.sub("(", comment_text(text))


def plant(walk: Walk, game: chess.pgn.Game) -> dict[int, chess.pgn.GameNode]:
    """The walk's tree as PGN nodes, by node id.

    :raises ValueError: when the walk holds a move that is not legal where it stands, which no reading makes.
    """
    nodes: dict[int, chess.pgn.GameNode] = {0: game}
    for node in walk.nodes[1:]:
        assert node.parent is not None
        parent = nodes[node.parent]
        move = chess.Move.from_uci(node.uci)
        if not parent.board().is_legal(move):
            raise ValueError(f"{node.uci} is not legal in {parent.board().fen()}")
        nodes[node.id] = parent.add_variation(move)
    return nodes


def comments(walk: Walk, findings: Sequence[Finding]) -> Iterator[tuple[int, bool, str]]:
    """Comments in the order of the talk: the node, whether it stands before that node's move, the text."""
    spoken_of: set[int] = set()
    for done, (first, last) in enumerate(step_stretches(walk)):
        node, opens, note = comment_place(walk, done, spoken_of)
        if not opens:
            spoken_of.add(node)
        said = " ".join(word.text for word in walk.talk.words[first:last])
        shown = [mark_words(mark) for mark in walk.marks if mark_word(walk, mark, first, last)]
        failed = [failure(f) for f in findings if f.verdict is Verdict.FAILS and first <= f.said.first < last]
        parts = [said_text(said), *(comment_text(part) for part in (*shown, *failed))]
        text = " ".join(part for part in parts if part)
        if text:
            yield node, opens, joined(note, text)


def comment_place(walk: Walk, done: int, spoken_of: set[int]) -> tuple[int, bool, str]:
    """Where the words said after ``done`` steps belong: node, before its move or after, editor's note."""
    if done == 0:
        return 0, False, ""
    step = walk.steps[done - 1]
    if isinstance(step, MoveStep):
        return step.node, False, AGAIN if step.node in spoken_of else ""
    if done < len(walk.steps) and opens_variation(walk, done):
        return walk.steps[done].node, True, ""
    return step.node, False, BACK_HERE if step.node in spoken_of else ""


def opens_variation(walk: Walk, index: int) -> bool:
    """Whether step ``index`` plays the first move of a new sideline (not of the line said first)."""
    step = walk.steps[index]
    if isinstance(step, ReturnStep):
        return False
    first_child = walk.nodes[step.parent].children[0]
    return walk.nodes[step.node].step == index and step.node != first_child


def mark_word(walk: Walk, mark: BoardMark, first: int, last: int) -> bool:
    """Whether a mark stands among the words from ``first`` up to ``last`` (at the talk's end: after them)."""
    at = word_at(walk.talk, mark.place)
    return first <= at < last or at == last == len(walk.talk.words)


def mark_words(mark: BoardMark) -> str:
    """A board mark described in words, in editor's brackets: ``[ring on e5]``, ``[path from f3 to e5]``."""
    if mark.shape == "path":
        return f"[path from {' to '.join(mark.squares)}]"
    return f"[{mark.shape} on {' and '.join(mark.squares)}]"


def failure(finding: Finding) -> str:
    """A finding that fails as an editor's note."""
    return f"[Fails ({finding.kind}): {finding.evidence}]"


def joined(before: str, text: str) -> str:
    return f"{before} {text}" if before else text


class Exporter(chess.pgn.StringExporter):
    """The library's exporter, with comments broken into lines as the export format asks."""

    def write_token(self, token: str) -> None:
        # A line that starts with "%" is skipped by every reader (PGN standard 6): never break before one.
        if token.startswith("%"):
            self.current_line += token
        else:
            super().write_token(token)

    def visit_comment(self, comment: str) -> None:
        words = comment.split()
        for index, word in enumerate(words):
            opening = "{" if index == 0 else ""
            closing = "} " if index == len(words) - 1 else " "
            self.write_token(f"{opening}{word}{closing}")
        self.force_movenumber = True

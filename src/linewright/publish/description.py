"""Plain texts that go with a recording: what stands beneath it on a web page, and its key positions as EPD."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import chess

from linewright.lesson.finding import Finding
from linewright.lesson.opening import lesson_opening, opening_at
from linewright.lesson.pgn import tag_value
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Walk
from linewright.publish.games_shown import ShownGame, heading
from linewright.publish.handout.book import Depth, Section, book, marks_at
from linewright.publish.recording_chapters import chapters, clock, game_name, quoted
from linewright.publish.theme import PLAIN, Theme

#: Half-moves of a line in short form.
SHORT_FORM = 12


def description(
    walk: Walk, findings: Sequence[Finding] = (), models: Sequence[ShownGame] = (), theme: Theme = PLAIN
) -> str:
    """The text beneath a recording: title, chapters with times, the lines in short form, games.

    :param models: games from the base to name after those that the talk quotes.
    """
    plain = replace(theme, pieces="letters")
    opening = lesson_opening(walk)
    parts = [walk.title + (f"\n{opening.text}" if opening else "")]
    if theme.trainer:
        parts[0] += f"\n{theme.label('by')} {theme.trainer}"
    found = chapters(walk, findings, theme)
    if found:
        parts.append("\n".join([theme.label("chapters"), *(f"{clock(c.start)} {c.name}" for c in found)]))
    sections = book(walk, Depth.CLUB)
    if sections:
        parts.append("\n".join([theme.label("lines"), *(short_line(walk, section, plain) for section in sections)]))
    shown = {game.row.id: f"{heading(game.row)}, {game.row.result}" for game in models}
    games = [
        shown.pop(finding.game.id) if finding.game and finding.game.id in shown else game_name(finding)
        for finding in quoted(findings)
    ]
    games += shown.values()
    if games:
        parts.append("\n".join([theme.label("models"), *dict.fromkeys(games)]))
    return "\n\n".join(parts) + "\n"


def short_line(walk: Walk, section: Section, theme: Theme) -> str:
    """``A: 5…Nc6 6.Bg5 Qb6 …``"""
    nodes = [bit.node for bit in section.bits]
    moves = theme.moves(walk.written(nodes[:SHORT_FORM]))
    more = " …" if len(nodes) > SHORT_FORM else ""
    return f"{section.label or theme.label('main')}: {' '.join(moves)}{more}"


def key_positions(walk: Walk) -> tuple[int, ...]:
    """The nodes worth setting up: where lines part, where they end, and what the talk marks; first shown first."""
    return tuple(node.id for node in walk.nodes if node.id and (len(node.children) != 1 or marks_at(walk, node.id)))


def epd_text(walk: Walk) -> str:
    """The key positions as EPD, one a line (PGN standard 1994, section 16.2).

    ``id`` names the position, ``eco`` its code where it has one, ``c0`` says which moves the lesson plays there.
    Quotes and backslashes in a title, whose escapes readers differ on, go.
    """
    lines = []
    for number, node in enumerate(key_positions(walk), 1):
        row = walk.nodes[node]
        board = chess.Board(row.fen)
        opening = opening_at(row.fen)
        operations = {"id": f"{tag_value(walk.title)} {number}: after {numbered(walk.before(node), row.san)}"}
        if opening:
            operations["eco"] = opening.eco
        moves = [walk.nodes[child].san for child in row.children]
        if moves:
            operations["c0"] = f"the lesson plays {' or '.join(moves)}"
        lines.append(board.epd(**operations))  # type: ignore[arg-type]
    return "".join(f"{line}\n" for line in lines)

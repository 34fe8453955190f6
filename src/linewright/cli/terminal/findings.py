"""Findings on a terminal: under headings, folded, with small boards; and how many there are, in one line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from rich.console import Console
from rich.text import Text

from linewright.claims.finding_lines import finding_line
from linewright.cli.shared import counted
from linewright.cli.terminal.text import beside_board, fold, place_of, to_move, width, without_fen
from linewright.lesson.finding import TROUBLES, UNASKED, Finding, Kind, Verdict
from linewright.lesson.walk import Walk

#: How verdicts are coloured on a terminal, in the colour-blind-safe colours of Okabe and Ito (2008); the words stay, so
#: that nothing is shown by colour alone.
_STYLES = {Verdict.FAILS: "bold #d55e00", Verdict.UNDECIDED: "#e69f00", Verdict.HOLDS: "#009e73"}
#: Words of a finding that a reader is shown; the talk has the rest.
MOST_WORDS: Final = 24
#: Columns for a place: ``123:1234`` or ``1:23:45``.
_PLACES: Final = 8


#: Findings under their headings.
Groups = Sequence[tuple[str, Sequence[Finding]]]


def print_findings(source: str, walk: Walk, groups: Groups, console: Console, boards: bool = False) -> None:
    """Findings under headings, an empty line between the groups: for a reader folded to the terminal's width, with
    small boards; for a program a line each.

    :param boards: a small board with every finding, not only where its evidence spells a position out.
    """
    if console.is_terminal and groups:
        console.print(source, style="dim")
    for number, (heading, group) in enumerate(groups):
        console.print(f"{chr(10) if number or console.is_terminal else ''}{heading}", style="bold")
        for finding in group:
            for row in _rows(walk, finding, boards) if console.is_terminal else [_line(source, finding)]:
                console.print(row)


def _line(source: str, finding: Finding) -> Text:
    """A finding's line, for editors and programs."""
    return Text(finding_line(source, finding))


def _rows(walk: Walk, finding: Finding, board: bool = False) -> Iterator[Text]:
    """A finding for a reader: where and which words, then what is found, coloured by its verdict."""
    place = f"{place_of(walk.talk, finding.said):<{_PLACES}} "
    indent, columns = len(place), width()
    words = " ".join(finding.said.words.split())
    quoted = fold(f"“{_shortened(words, MOST_WORDS)}”" if words else "(not said)", columns - indent, 0)
    for number, row in enumerate(quoted):
        yield Text.assemble((place if not number else " " * indent, "dim"), row)
    evidence, fen = without_fen(" ".join(finding.evidence.split()))
    what = finding_name(finding)
    text = fold(f"{what}: {evidence}", columns - indent, 2)
    first = Text(" " * indent + text[0])
    first.stylize(_STYLES[finding.verdict], indent, indent + len(what))
    yield first
    yield from (Text(" " * indent + row) for row in text[1:])
    if board and fen is None:
        fen = finding.before
    if fen is not None:
        rows = beside_board(fen, [to_move(fen)], columns - indent, walk.side == "black")
        yield from (Text(" " * indent + row) for row in rows)


def finding_name(finding: Finding) -> str:
    """Its kind, and a claim's verdict."""
    return str(finding.kind) if finding.kind in TROUBLES | UNASKED else f"{finding.kind} {finding.verdict}"


def _shortened(words: str, most: int) -> str:
    """The first words, whole ones."""
    listed = words.split()
    return words if len(listed) <= most else f"{' '.join(listed[:most])} …"


def count_findings(findings: Sequence[Finding]) -> str:
    """How many findings of each sort, in one line."""
    claims = [f for f in findings if f.kind not in TROUBLES | UNASKED]
    fails, holds, undecided = (
        sum(f.verdict is verdict for f in claims) for verdict in (Verdict.FAILS, Verdict.HOLDS, Verdict.UNDECIDED)
    )
    verdicts = f"{fails} {'fails' if fails == 1 else 'fail'}, {holds} {'holds' if holds == 1 else 'hold'}"
    unread = sum(f.kind is Kind.UNREAD for f in findings)
    unsure = sum(f.kind is Kind.UNSURE for f in findings)
    unasked = sum(f.kind in UNASKED for f in findings)
    more = f"; {unasked} not asked for" if unasked else ""
    return (
        f"{counted(len(claims), 'claim')}: {verdicts}, {undecided} undecided{more}; "
        f"{unsure} unsure and {counted(unread, 'unread place')}"
    )

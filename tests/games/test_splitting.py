"""Cutting PGN text into games."""

from __future__ import annotations

import io

import chess.pgn
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.ingest.splitting import LONGEST_GAME, Flaw, cut

Piece = tuple[str, str, int, int, Flaw]


def cut_text(data: bytes, size: int = 1 << 16) -> list[Piece]:
    """(tags, movetext, line, line of the movetext, flaws) of each game, read ``size`` bytes at a time."""
    return [
        (
            bytes(piece.data[piece.starts[i] : piece.texts[i]]).decode("latin-1").strip(),
            bytes(piece.data[piece.texts[i] : piece.ends[i]]).decode("latin-1").strip(),
            int(piece.lines[i]),
            int(piece.text_lines[i]),
            Flaw(int(piece.flaws[i])),
        )
        for piece in cut(data[at : at + size] for at in range(0, len(data), size))
        for i in range(len(piece))
    ]


A, B = '[Event "a"]', '[Event "b"]'
OK = Flaw.NONE

TABLE: list[tuple[str, str, list[Piece]]] = [
    (
        "two games",
        f"{A}\n\n1. e4 *\n\n{B}\n\n1. d4 *\n",
        [(A, "1. e4 *", 1, 3, OK), (B, "1. d4 *", 5, 7, OK)],
    ),
    (
        "CR LF",
        f"{A}\r\n\r\n1. e4 *\r\n\r\n{B}\r\n1. d4 *",
        [(A, "1. e4 *", 1, 3, OK), (B, "1. d4 *", 5, 6, OK)],
    ),
    ("CR alone", f"{A}\r\r1. e4 *\r{B}\r1. d4 *", [(A, "1. e4 *", 1, 3, OK), (B, "1. d4 *", 4, 5, OK)]),
    ("BOM", f"\xef\xbb\xbf{A}\n1. e4 *", [(A, "1. e4 *", 1, 2, OK)]),
    ("no blank line", f"{A}\n1. e4 *\n{B}\n1. d4 *", [(A, "1. e4 *", 1, 2, OK), (B, "1. d4 *", 3, 4, OK)]),
    (
        "no tags",
        "1. e4 e5 1-0\n\n1. d4 d5 0-1",
        [("", "1. e4 e5 1-0", 1, 1, OK), ("", "1. d4 d5 0-1", 3, 3, OK)],
    ),
    (
        "no tags, no results",
        "1. e4 e5\n\n1. d4 d5\n",
        [("", "1. e4 e5", 1, 1, OK), ("", "1. d4 d5", 3, 3, OK)],
    ),
    ("1... is no new game", "1. e4 {x} 1... e5 *", [("", "1. e4 {x} 1... e5 *", 1, 1, OK)]),
    ("11. is no new game", "1. e4 e5 11. d4 *", [("", "1. e4 e5 11. d4 *", 1, 1, OK)]),
    ("variation", "1. e4 (1. d4 d5 1-0) 1... e5 *", [("", "1. e4 (1. d4 d5 1-0) 1... e5 *", 1, 1, OK)]),
    (
        "a comment with a blank line and tags",
        f"{A}\n\n1. e4 {{see\n\n{B}\n\n1-0}} e5 *\n",
        [(A, f"1. e4 {{see\n\n{B}\n\n1-0}} e5 *", 1, 3, OK)],
    ),
    (
        "a comment never closed",
        f"{A}\n1. e4 {{oh\n\n{B}\n1. d4 {{fine}} *",
        [(A, "1. e4 {oh", 1, 2, Flaw.OPEN_COMMENT), (B, "1. d4 {fine} *", 4, 5, OK)],
    ),
    (
        "a comment never closed to the end",
        f"{A}\n1. e4 {{oh\n",
        [(A, "1. e4 {oh", 1, 2, Flaw.OPEN_COMMENT)],
    ),
    (
        "brace in a ; comment",
        "1. e4 ; {\ne5 *\n1. d4 *",
        [("", "1. e4 ; {\ne5 *", 1, 1, OK), ("", "1. d4 *", 3, 3, OK)],
    ),
    ("escaped line", f"% {B}\n{A}\n1. e4\n% 1-0\ne5 *", [(A, "1. e4\n% 1-0\ne5 *", 2, 3, OK)]),
    (
        "a variation never closed",
        f"{A}\n1. e4 (1. d4 *\n{B}\n1. d4 *",
        [(A, "1. e4 (1. d4 *", 1, 2, Flaw.OPEN_VARIATION), (B, "1. d4 *", 3, 4, OK)],
    ),
    ("tags alone", f"{A}\n\n{B}\n\n*", [(A, "", 1, 3, OK), (B, "*", 3, 5, OK)]),
    (
        "blank line inside the tags",
        f'{A}\n\n[Site "s"]\n\n1. e4 *',
        [(f'{A}\n\n[Site "s"]', "1. e4 *", 1, 5, OK)],
    ),
    ("two tags on a line", f'{A} [Site "s"] 1. e4 *', [(f'{A} [Site "s"]', "1. e4 *", 1, 1, OK)]),
    ("bracket in a tag", '[Event "a ] b"]\n1. e4 *', [('[Event "a ] b"]', "1. e4 *", 1, 2, OK)]),
    (
        "tag without its end",
        '[Event "a\n[Site "s"]\n1. e4 *',
        [('[Event "a\n[Site "s"]', "1. e4 *", 1, 3, OK)],
    ),
    (
        "comment after the result",
        "1. e4 * {so}\n1. d4 *",
        [("", "1. e4 * {so}", 1, 1, OK), ("", "1. d4 *", 2, 2, OK)],
    ),
    ("stray bracket", "1. e4 [x] e5 *", [("", "1. e4 [x] e5 *", 1, 1, Flaw.STRAY_BRACKET)]),
    ("cut off in mid-line", f"{A}\n1. e4 e5 2. N", [(A, "1. e4 e5 2. N", 1, 2, Flaw.CUT_SHORT)]),
    ("0-0 is no result", "1. e4 0-0 0-1", [("", "1. e4 0-0 0-1", 1, 1, OK)]),
    ("nothing", "", []),
    ("blank", " \n\n\t\n", []),
]


@pytest.mark.parametrize(("name", "text", "games"), TABLE, ids=[row[0] for row in TABLE])
def test_table(name: str, text: str, games: list[Piece]) -> None:
    assert cut_text(text.encode("latin-1")) == games, name


@pytest.mark.parametrize("size", [1, 2, 3, 7])
@pytest.mark.parametrize(("name", "text", "games"), TABLE, ids=[row[0] for row in TABLE])
def test_how_the_file_is_read_makes_no_difference(name: str, text: str, games: list[Piece], size: int) -> None:
    assert cut_text(text.encode("latin-1"), size) == games, name


#: Bits of PGN in any order: what real files and broken ones are made of.
TAG_BITS = [A, B, '[Site "x"]', '{ [Event "c"] }', "[", "]", '"', "\\"]
MOVE_BITS = ["1.", "1...", "1. e4", "e5", "2.", "1-0", "0-1", "1/2-1/2", "1/2", "*", "$1", "-", "--"]
OTHER_BITS = ["{", "}", "(", ")", ";", "%", "\n", "\r\n", "\r", " ", "\n\n", "\x00", "\xe9"]
bits = st.sampled_from(TAG_BITS + MOVE_BITS + OTHER_BITS)


@settings(deadline=None, max_examples=400)
@given(st.lists(bits, max_size=30), st.integers(1, 9))
def test_any_text_is_cut_alike_in_any_pieces(parts: list[str], size: int) -> None:
    data = "".join(parts).encode("latin-1")
    whole = cut_text(data)
    assert cut_text(data, size) == whole
    ends = [game[2] for game in whole]
    assert ends == sorted(ends)


@settings(deadline=None)
@given(st.lists(st.text(st.characters(codec="latin-1", exclude_characters="{}"), max_size=40), min_size=1, max_size=5))
def test_any_comment_stays_in_its_game(comments: list[str]) -> None:
    text = "\n".join(f'[Event "{n}"]\n\n1. e4 {{{comment}}} e5 *\n' for n, comment in enumerate(comments))
    assert [game[0] for game in cut_text(text.encode("latin-1"))] == [f'[Event "{n}"]' for n in range(len(comments))]


def test_a_game_too_long_is_given_up_and_the_next_is_found() -> None:
    text = f"{A}\n1. e4 {{" + "never ending\n" * (LONGEST_GAME // 6) + f"\n{B}\n1. d4 *\n"
    games = cut_text(text.encode())
    assert [flaws for *_, flaws in games] == [Flaw.TOO_LONG, OK]
    assert games[1] == (B, "1. d4 *", text.count("\n", 0, text.index(B)) + 1, text.count("\n"), OK)


def test_counts_games_as_the_reference_reader_does() -> None:
    """Against ``chess.pgn``, on text of the standard's import format."""
    text = "\n".join(
        f'[Event "{n}"]\n[Result "*"]\n\n1. e4 {{a\n\nb}} e5 (1... c5 2. Nf3 (2. c3)) 2. Nf3 ; [x\n Nc6 *\n'
        for n in range(7)
    )
    stream, names = io.StringIO(text), []
    while game := chess.pgn.read_game(stream):
        names.append(game.headers["Event"])
    cut_names = [tags.split('"')[1] for tags, *_ in cut_text(text.encode())]
    assert cut_names == names == [str(n) for n in range(7)]

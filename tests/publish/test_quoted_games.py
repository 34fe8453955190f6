"""The talk's own quoted games on the page, in the description and in chapters."""

from __future__ import annotations

from dataclasses import replace

import chess
import pytest

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, GameRef, Kind, Verdict
from linewright.publish.description import description
from linewright.publish.games_shown import gather, quoted_games
from linewright.publish.recording_chapters import game_name, quoted
from tests.claims.support import walk_of
from tests.support import said

LINE = "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7"
WALK = walk_of("[e4|e4] [e5|e5] [Nf3|knight f3] [Nc6|knight c6] That was Lind against Novak [Bc4|bishop c4]")


def ref(line: str = LINE, number: int = 7) -> GameRef:
    board, moves = chess.Board(), []
    for san in line.split():
        moves.append(board.push_san(san).uci())
    return GameRef(
        number, "Lind, Ada", "Novak, Jan", "1-0", "1998.05.01", 1998, "Harbour Open", "Ivy Bay", "3", tuple(moves)
    )


def finding(
    game: GameRef | None = None, verdict: Verdict = Verdict.HOLDS, words: str = "Lind against Novak"
) -> Finding:
    start = WALK.talk.text.index("Lind")
    where = replace(said(WALK.talk, start, start + 18), words=words)
    return Finding(Kind.QUOTE, verdict, where, WALK.nodes[4].fen, plain(""), 4, game=game)


def test_a_quoted_game_is_playable_to_its_end() -> None:
    (game,) = quoted_games(WALK, [finding(ref()), finding(ref())])
    board = chess.Board(WALK.nodes[game.node].fen)
    assert (game.node, game.whole, game.row.reached, game.row.white) == (4, True, 4, "Lind, Ada")
    for uci in game.moves:
        assert chess.Move.from_uci(uci) in board.legal_moves
        board.push_uci(uci)
    full = chess.Board()
    for san in LINE.split():
        full.push_san(san)
    assert board.fen() == full.fen()


def test_a_game_that_left_the_line_before_is_shown_from_there() -> None:
    (game,) = quoted_games(WALK, [finding(ref("e4 e5 Nf3 d6 d4"), Verdict.UNDECIDED)])
    assert (game.node, game.row.following) == (3, ("d6", "d4"))


@pytest.mark.parametrize("bad", [finding(), finding(ref(), Verdict.FAILS)])
def test_no_game_of_what_fails_or_is_unknown(bad: Finding) -> None:
    assert quoted_games(WALK, [bad]) == ()


def test_a_lesson_from_a_position_that_the_game_never_had() -> None:
    walk = walk_of("look", "hanging")
    assert quoted_games(walk, [replace(finding(ref()), step=0)]) == ()


def test_names_are_the_bases_and_the_list_has_each_game_once() -> None:
    heard = finding(ref(), words="linde against nowak")
    assert game_name(heard) == "Lind – Novak, 1998"
    evidence = gather(WALK, (), None, None, [heard])
    text = description(WALK, [heard], evidence.models)
    assert text.count("Lind – Novak") == 1
    assert "Lind – Novak, Harbour Open 1998, 1-0" in text


def test_words_about_people_are_no_game() -> None:
    assert quoted([finding(words="the fifth world champion Max Euwe")]) == ()

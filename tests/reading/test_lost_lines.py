"""Lines that go on: over moves nobody read, from an opening's name, from further on, and after a break."""

from __future__ import annotations

from collections.abc import Sequence

import chess
import chess.polyglot
import pytest

from linewright.lesson.walk import Walk
from linewright.reading.reader import read_talk
from linewright.reading.search.positions import Atlas
from linewright.reading.search.search_setup import context_of, said_talk, search_of
from linewright.reading.words.caption_like import looks_heard
from linewright.reading.words.tokens import tokens
from tests.support import plain_talk


class Games:
    """A scripted base: so many games for each line of moves."""

    def __init__(self, *lines: tuple[int, str]) -> None:
        self.counts: dict[int, dict[str, int]] = {}
        for games, line in lines:
            board = chess.Board()
            for san in line.split():
                move = board.parse_san(san)
                here = self.counts.setdefault(chess.polyglot.zobrist_hash(board), {})
                here[move.uci()] = here.get(move.uci(), 0) + games
                board.push(move)

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        return {key: self.counts[key] for key in keys if key in self.counts}


GAMES = Games(
    (900, "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7 Re1 b5 Bb3 d6 c3 O-O h3"),
    (500, "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d3 d6 O-O O-O Re1 a6"),
    (300, "e4 e5 Nf3 Nc6 d4 exd4 Nxd4 Nf6 Nc3 Bb4 Nxc6 bxc6 Bd3"),
    (400, "d4 d5 c4 e6 Nc3 Nf6 Bg5 Be7 e3 O-O Nf3"),
    (200, "d4 d5 c4 c6 Nf3 Nf6 Nc3 dxc4 a4 Bf5 e3 e6 Bxc4 Bb4 O-O O-O Nh4"),
    (200, "e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3 a6 Bg5 e6 f4"),
)


def sans(walk: Walk, said: bool = True) -> str:
    return " ".join(m.san for m in walk.moves if m.said.words or not said)


@pytest.mark.parametrize(
    ("text", "wanted", "comment"),
    [
        ("e4, e5, knight f3, and he covers it as one does, bishop b5, a6.", "e4 e5 Nf3 Nc6 Bb5 a6", "in odd words"),
        ("e4, e5, knight f3, bishop b5, a6, bishop a4.", "e4 e5 Nf3 Nc6 Bb5 a6 Ba4", "left out"),
        ("He for, well, e5, knight f3, knight c6, bishop b5.", "e4 e5 Nf3 Nc6 Bb5", "garbled first"),
        ("So after the bishop comes to c4, bishop c5, c3, knight f6.", "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6", "begins later"),
    ],
)  # fmt: skip
def test_a_line_goes_on_over_moves_that_nobody_read(text: str, wanted: str, comment: str) -> None:
    walk = read_talk(plain_talk(text), GAMES)
    assert sans(walk, said=False) == wanted, comment
    unsaid = [m for m in walk.moves if not m.said.words]
    assert unsaid and all(m.sure <= 0.5 for m in unsaid), "what nobody said is never sure"


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("It's a Najdorf, and now bishop g5, e6, f4.", "e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3 a6 Bg5 e6 f4"),
        ("White goes for the Spanish, so bishop b5, a6, bishop a4.", "e4 e5 Nf3 Nc6 Bb5 a6 Ba4"),
        ("We get a Queen's Gambit Declined, knight c3, knight f6, bishop g5.", "d4 d5 c4 e6 Nc3 Nf6 Bg5"),
        ("E4, e5, knight f3, knight c6, the Scotch, takes, takes, knight f6.", "e4 e5 Nf3 Nc6 d4 exd4 Nxd4 Nf6"),
    ],
)
def test_an_openings_name_leads_on(text: str, wanted: str) -> None:
    assert sans(read_talk(plain_talk(text), GAMES), said=False) == wanted


@pytest.mark.parametrize(
    "text",
    [
        "I never liked the Najdorf. E4, e5, knight f3, knight c6, bishop b5.",
        "E4, e5, which is no Sicilian, knight f3, knight c6, bishop b5.",
    ],
)
def test_a_name_only_mentioned_plays_nothing(text: str) -> None:
    assert sans(read_talk(plain_talk(text), GAMES), said=False) == "e4 e5 Nf3 Nc6 Bb5"


LOST = (
    "E4, e5, knight f3, knight c6, bishop b5, a6. Then rook h6, queen g7, knight b8, rook c1, queen d7. "
    "Thanks for coming."
)


def test_one_break_is_told_once() -> None:
    walk = read_talk(plain_talk(LOST), GAMES)
    assert sans(walk) == "e4 e5 Nf3 Nc6 Bb5 a6"
    assert [u.said.words.strip(".,") for u in walk.unread] == ["rook h6"]
    assert walk.unread[0].further >= 3 and "the line breaks here" in walk.unread[0].why


@pytest.mark.parametrize("rescued", [True, False])
def test_where_a_line_was_lost_it_may_be_taken_up_from_any_known_position(rescued: bool) -> None:
    talk = plain_talk("E4, e5, knight f3, knight c6, bishop b5, a6. Enough of this. Bishop takes c4, bishop b4.")
    said = said_talk(talk, GAMES)
    at = next(i for i, t in enumerate(said.words) if t.text == "takes") - 1
    atlas = Atlas(GAMES)
    search = search_of(said, context_of(said), atlas, atlas.start(chess.Board()), rescues=frozenset([at] * rescued))
    readings = search.run({})
    slav = [h for h in readings if any(n.uci == "f1c4" and n.position.board.fullmove_number == 7 for n in h.tree)]
    assert bool(slav) is rescued


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("night f3 then night to c6 and it is a game", True),
        ("so " * 3 + "we play e4 and he plays e5 and the knight comes out and so does his " * 8, True),
        ("So, we play e4, and he plays e5. The knight comes out, and so does his. " * 8, False),
        ("The night before the game I slept well. A knight on f3, one on c3.", False),
        ("e4 e5 Nf3", False),
    ],
)
def test_captions_are_known_by_their_looks(text: str, wanted: bool) -> None:
    assert looks_heard(tokens(plain_talk(text))) is wanted

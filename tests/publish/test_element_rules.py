"""The board element's rules and notation in a browser, against published counts, standards and python-chess."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from typing import Any

import chess
import pytest

from linewright.lesson.spoken import figurine, in_words, numbered
from linewright.publish.html.board_element import ELEMENT, element_script, picture_labels
from linewright.publish.html.board_svg import piece_shapes
from linewright.publish.theme import Theme, labels
from tests.browsing import launched


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    with launched() as browser:
        opened = browser.new_page()
        opened.set_content(f"<!doctype html><title>Rules</title><script>{element_script()}</script>")
        yield opened


#: Perft counts as move generators have published them for decades; positions with castling, taking in passing,
#: promotions and pins. Positions and counts from memory; python-chess counts the same.
PERFT = [
    ("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1", (20, 400, 8902, 197281)),
    ("r3k2r/p1ppqpb1/bn2pnp1/3PN3/1p2P3/2N2Q1p/PPPBBPPP/R3K2R w KQkq - 0 1", (48, 2039, 97862)),
    ("8/2p5/3p4/KP5r/1R3p1k/8/4P1P1/8 w - - 0 1", (14, 191, 2812, 43238, 674624)),
    ("r3k2r/Pppp1ppp/1b3nbN/nP6/BBP1P3/q4N2/Pp1P2PP/R2Q1RK1 w kq - 0 1", (6, 264, 9467, 422333)),
    ("rnbq1k1r/pp1Pbppp/2p5/8/2B5/8/PPP1NnPP/RNBQK2R w KQ - 1 8", (44, 1486, 62379)),
    ("r4rk1/1pp1qppp/p1np1n2/2b1p1B1/2B1P1b1/P1NP1N2/1PP1QPPP/R4RK1 w - - 0 10", (46, 2079, 89890)),
]


@pytest.mark.parametrize(("fen", "counts"), PERFT)
def test_perft(page: Any, fen: str, counts: tuple[int, ...]) -> None:
    counted = page.evaluate(
        """([fen, depth]) => {
          const count = (position, depth) => depth === 1
            ? position.moves.length
            : position.moves.reduce((sum, move) => sum + count(position.play(move), depth - 1), 0);
          const start = Linewright.Position.of(fen);
          return Array.from({length: depth}, (_, i) => count(start, i + 1));
        }""",
        [fen, len(counts)],
    )
    assert tuple(counted) == counts


def wandering(seed: int, games: int, most: int) -> list[chess.Board]:
    """Positions of games played at random; sharper than real ones, with promotions and many checks."""
    chance = random.Random(seed)
    met = []
    for _ in range(games):
        board = chess.Board()
        for _ in range(most):
            moves = list(board.legal_moves)
            if not moves:
                break
            pawns = [move for move in moves if board.piece_type_at(move.from_square) == chess.PAWN]
            board.push(chance.choice(pawns if pawns and chance.random() < 0.4 else moves))
            if chance.random() < 0.12:
                met.append(board.copy(stack=False))
        met.append(board.copy(stack=False))
    return met


def test_moves_notation_and_fen_agree_with_python_chess(page: Any) -> None:
    boards = wandering(seed=7, games=40, most=160)
    found = page.evaluate(
        """fens => fens.map(fen => {
          const position = Linewright.Position.of(fen);
          const all = position.moves.map(move => {
            const san = Linewright.toSan(position, move);
            return [Linewright.uciOf(move), san, position.play(move).fen, Linewright.inWords(san),
              Linewright.figurine(san), Linewright.numbered(position, san)];
          });
          return [position.fen, position.check, position.checkmate, position.stalemate, all];
        })""",
        [board.fen(en_passant="fen") for board in boards],
    )
    kinds = set()
    for board, (fen, check, mate, stale, moves) in zip(boards, found, strict=True):
        assert fen == board.fen()
        assert (check, mate, stale) == (board.is_check(), board.is_checkmate(), board.is_stalemate())
        assert sorted(uci for uci, *_ in moves) == sorted(move.uci() for move in board.legal_moves), fen
        for uci, san, after, words, shown, told in moves:
            move = chess.Move.from_uci(uci)
            expected = board.san(move)
            kinds |= set(re.findall(r"[=+#x]|O-O-O|O-O", expected))
            then = board.copy(stack=False)
            then.push(move)
            assert (san, after, words) == (expected, then.fen(), in_words(expected)), fen
            assert (shown, told) == (figurine(expected), numbered(fen, expected))
    assert kinds >= {"=", "+", "#", "x", "O-O", "O-O-O"}, "the positions are sharp enough to show it all"


def test_what_is_written_or_said_is_read_again(page: Any) -> None:
    """Every legal move's SAN, figurine, UCI, long form and words mean that move again."""
    wrong = page.evaluate(
        """fens => {
          const wrong = [];
          for (const fen of fens) {
            const position = Linewright.Position.of(fen);
            for (const move of position.moves) {
              const san = Linewright.toSan(position, move);
              const uci = Linewright.uciOf(move);
              const letter = "KQRBN".includes(san[0]) ? san[0] : "";
              const long = san.startsWith("O") ? san.replaceAll("O", "0") : letter + uci.slice(0, 2) +
                (position.takes(move) ? "x" : "-") + uci.slice(2, 4) + uci.slice(4).toUpperCase();
              const texts = [san, uci, long, Linewright.figurine(san), Linewright.inWords(san),
                Linewright.numbered(position, san) + "!?", Linewright.inWords(san).toUpperCase()];
              for (const text of texts) {
                const answer = Linewright.moveOf(position, text);
                if (!answer.move || Linewright.uciOf(answer.move) !== uci) wrong.push([fen, text, uci, answer]);
              }
            }
          }
          return wrong;
        }""",
        [board.fen() for board in wandering(seed=11, games=12, most=140)],
    )
    assert wrong == []


@pytest.mark.parametrize(
    ("fen", "text", "meant"),
    [
        (chess.STARTING_FEN, "knight f three", "g1f3"),
        (chess.STARTING_FEN, "Knight to f 3.", "g1f3"),
        (chess.STARTING_FEN, "pawn to e four", "e2e4"),
        (chess.STARTING_FEN, "nf3", "g1f3"),
        (chess.STARTING_FEN, "1. e4", "e2e4"),
        (chess.STARTING_FEN, "knight d4", "illegal"),
        (chess.STARTING_FEN, "hello", "unread"),
        (chess.STARTING_FEN, "", "unread"),
        (chess.STARTING_FEN, "O-O", "illegal"),
        ("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1", "castles long", "e1c1"),
        ("r3k2r/8/8/8/8/8/8/R3K2R b KQkq - 0 1", "castle king side", "e8g8"),
        ("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1", "0-0-0", "e1c1"),
        ("4k3/8/8/8/8/8/4K3/R6R w - - 0 1", "Rd1", "ambiguous"),
        ("4k3/8/8/8/8/8/4K3/R6R w - - 0 1", "rook a to d one", "a1d1"),
        # A small b is the pawn's file while a pawn can go, else the bishop.
        ("4k3/8/8/8/8/2p5/1P1B4/4K3 w - - 0 1", "bxc3", "b2c3"),
        ("4k3/8/8/8/8/2p5/1P1B4/4K3 w - - 0 1", "Bxc3", "d2c3"),
        ("4k3/8/8/8/8/2p5/3B4/4K3 w - - 0 1", "bxc3", "d2c3"),
        ("4k3/P7/8/8/8/8/8/4K3 w - - 0 1", "a8", "ambiguous"),
        ("4k3/P7/8/8/8/8/8/4K3 w - - 0 1", "a8q", "a7a8q"),
        ("4k3/P7/8/8/8/8/8/4K3 w - - 0 1", "a eight queen", "a7a8q"),
        ("4k3/P7/8/8/8/8/8/4K3 w - - 0 1", "a eight promotes to a knight", "a7a8n"),
        ("rnbqkbnr/ppp1pppp/8/8/3pP3/8/PPPP1PPP/RNBQKBNR b KQkq e3 0 3", "d takes e three", "d4e3"),
        ("rnbqkbnr/ppp1pppp/8/8/3pP3/8/PPPP1PPP/RNBQKBNR b KQkq e3 0 3", "dxe3 e.p.", "d4e3"),
    ],
)
def test_moves_in(page: Any, fen: str, text: str, meant: str) -> None:
    answer = page.evaluate(
        """([fen, text]) => {
          const answer = Linewright.moveOf(Linewright.Position.of(fen), text);
          return answer.move ? Linewright.uciOf(answer.move) : answer.why;
        }""",
        [fen, text],
    )
    assert answer == meant


def test_another_language_comes_from_the_host(page: Any) -> None:
    """German letters and names of the pieces (FIDE Laws, Appendix C.2: each player uses their own language's)."""
    german = """{...Linewright.ENGLISH, letters: {k: "K", q: "D", r: "T", b: "L", n: "S"},
      pieces: {k: ["König"], q: ["Dame"], r: ["Turm"], b: ["Läufer"], n: ["Springer"], p: ["Bauer"]},
      takes: ["schlägt"], numbers: ["eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht"]}"""
    for text in ("Sf3", "Springer f drei", "springer f3"):
        found = page.evaluate(
            f"""text => {{
              const start = Linewright.Position.of(Linewright.START);
              return Linewright.uciOf(Linewright.moveOf(start, text, {german}).move);
            }}""",
            text,
        )
        assert found == "g1f3", text
    assert page.evaluate(f"Linewright.inWords('Sxd4', {german})") == "Sxd4", "what is no SAN stays as it is"
    assert page.evaluate(f"Linewright.inWords('Nxd4', {german})") == "Springer schlägt d4"


def test_a_host_s_table_may_be_json(page: Any) -> None:
    """Where English has a function a pattern will do; what is left out, within a table too, stays English."""
    words = {"man": "{1} {0}", "marks": {"path": "{1} desde {0}"}, "pieces": {"n": ["caballo"]}, "turn": {"w": "ya"}}
    told = page.evaluate(
        """words => {
          const labels = Linewright.labelsOf(words);
          return [labels.man("blanco", "caballo"), labels.marks.path("a1", "a8"), labels.marks.ring("e4"),
            labels.pieces.n[0], labels.pieces.k[0], labels.turn.w, labels.turn.b, labels.removed("x")];
        }""",
        words,
    )
    assert told == [
        *("caballo blanco", "a8 desde a1", "ring on e4", "caballo", "king", "ya", "Black to move", "x removed")
    ]
    assert page.evaluate("Linewright.ENGLISH.pieces.n[0]") == "knight", "the English table is as it was"


def test_a_picture_s_words_fit_the_element_s_table(page: Any) -> None:
    english = page.evaluate(
        """() => Object.fromEntries(Object.entries(Linewright.ENGLISH).map(([key, value]) =>
          [key, typeof value === "object" && !Array.isArray(value) ? Object.keys(value).sort() : null]))"""
    )
    for language in labels():
        table = picture_labels(Theme(language=language))  # type: ignore[arg-type]
        for key, value in table.items():
            assert (sorted(value) if isinstance(value, dict) else None) == english[key], (language, key)
        said = page.evaluate(
            "words => Linewright.markWords({shape: 'path', squares: ['f3', 'e5']}, Linewright.labelsOf(words))", table
        )
        assert "f3" in said and "e5" in said and "{" not in said


def test_uci_is_read_as_it_is_written(page: Any) -> None:
    back = page.evaluate("all => all.map(uci => Linewright.uciOf(Linewright.fromUci(uci)))", ["e2e4", "a7a8n", "h1a8"])
    assert back == ["e2e4", "a7a8n", "h1a8"]


@pytest.mark.parametrize(
    ("fen", "what"),
    [
        ("8/8/8/8/8/8/8 w - - 0 1", "7 rows"),
        ("9/8/8/8/8/8/8/8 w - - 0 1", "not a piece"),
        ("7/8/8/8/8/8/8/8 w - - 0 1", "7 squares"),
        ("ppppppppp/8/8/8/8/8/8/8 w - - 0 1", "9 squares"),
        ("8/8/8/8/8/8/8/8 x - - 0 1", "neither w nor b"),
        ("8/8/8/8/8/8/8/8 w KX - 0 1", "castling"),
        ("8/8/8/8/8/8/8/8 w - z9 0 1", "not a square"),
        ("8/8/8/8/8/8/8/8 w - - zero 1", "counters"),
    ],
)
def test_what_is_wrong_with_a_fen_is_said(page: Any, fen: str, what: str) -> None:
    said = page.evaluate("fen => { try { Linewright.Position.of(fen); } catch (error) { return error.message; } }", fen)
    assert what in said


def test_boards_without_kings_are_taken(page: Any) -> None:
    moves = page.evaluate("Linewright.Position.of('8/8/8/3N4/8/8/8/8 w').moves.length")
    assert moves == 8


def test_the_pieces_are_the_book_s() -> None:
    script = (ELEMENT / "shapes.js").read_text(encoding="utf-8")
    drawn = dict(re.findall(r"^  (\w): \{(.*?)^  \},", script, re.M | re.S))
    for kind, text in drawn.items():
        body, inner = re.search(r'body: "(.*?)"', text), re.search(r'inner: "(.*?)"', text)
        eye = re.search(r"eye: \[(.*?)\]", text)
        assert body and inner
        assert f'<path d="{body[1]}"/>' == piece_shapes()[f"s{kind.upper()}"]
        wanted = piece_shapes()[f"i{kind.upper()}"]
        assert f'd="{inner[1]}"' in wanted
        dots = re.findall(r'c[xy]="([\d.]+)"|r="([\d.]+)"', wanted)
        assert [float(n) for pair in dots for n in pair if n] == ([float(n) for n in eye[1].split(",")] if eye else [])
    assert sorted(drawn) == sorted("prnbqk")


def test_the_joined_script_may_stand_in_a_page() -> None:
    script = element_script()
    assert "</script" not in script.lower()
    assert "<!--" not in script
    assert not re.search(r"^(import|export)\b", script, re.M)
    names = re.findall(r"^(?:const|let|function\*?|class) (\w+)", script, re.M)
    assert len(names) == len(set(names)), "two modules use one name; joined, they would clash"

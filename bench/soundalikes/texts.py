"""Make the texts that voices speak to learn how chess words are misheard.

    python bench/soundalikes/texts.py GAMES.pgn[.zst] [TEXTS.json]

Two kinds, half and half. *Lessons*: lines of real games in short trainer's sentences and in bare runs, with and
without move numbers. *Lists*: every square as a bare pawn's move and with every piece, in random order, so that
rare squares are heard too. The same games and seed give the same texts.

TEXTS.json is ``[{"voice", "text"}]``; what each voice is, see ``hear.py``.
"""

from __future__ import annotations

import io
import json
import random
import sys
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

import chess
import chess.pgn
import zstandard

SEED = 3
#: Words of a text: about a minute of speech, so that the recogniser hears it as part of a longer talk.
WORDS = 150
#: Plies of a game that a lesson may tell: beyond, there are few openings.
PLIES = (2, 34)
PIECES = {1: "pawn", 2: "knight", 3: "bishop", 4: "rook", 5: "queen", 6: "king"}
NUMBERS = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty"
).split()
#: Voices and how many texts of each kind (lessons, lists) they speak.
SHARES = {
    "joe 1.0": (8, 4), "joe 0.9": (2, 1), "joe 1.15": (3, 2),
    "slt 1.15": (5, 3), "slt 1.1": (2, 1), "slt 1.25": (3, 2),
    "rms 1.15": (3, 2), "awb 1.15": (3, 1), "kal16 1.2": (1, 1),
    "en-us 140": (2, 1), "en-gb 150": (2, 1),
}  # fmt: skip

ALONE = (
    "{}.", "{}.", "{}.", "So {}.", "And now {}.", "Then {}.", "Main move, {}.", "He goes {}.", "We play {}.",
    "And here {}, of course.", "Black answers {}.", "White continues {}.", "So {} on the board.", "Okay, {}.",
)  # fmt: skip
PAIRS = (
    "{}, {}.", "So {} and {}.", "{}, and then {}.", "He plays {}, we play {}.", "After {} black goes {}.",
    "{} and now {}.", "Here {}, and he answers {}.", "First {}, then {}.", "White plays {}, black {}.",
)  # fmt: skip
ASIDES = (
    "That is the main line.", "It is all known theory.", "Now we have a typical position.", "Look at the board.",
    "White is slightly better here.", "I like this for black.", "The pawn structure tells you what to do.",
    "Remember this one, please.", "That is what everybody plays.", "We have seen this before.",
    "The bishop pair is worth something.", "Let us go back to the beginning.", "Somebody asked me about this.",
    "There is a nice game in this line.", "Not so easy to play.", "He is a pawn up, but look at the dark squares.",
)  # fmt: skip


def lines(path: Path) -> Iterator[list[tuple[chess.Board, chess.Move]]]:
    """The openings of the games, each move with the board before it."""
    data = path.read_bytes()
    if path.suffix == ".zst":
        data = zstandard.ZstdDecompressor().stream_reader(io.BytesIO(data)).read()
    text = io.StringIO(data.decode("utf-8", "replace"))
    while (game := chess.pgn.read_game(text)) is not None:
        board, out = game.board(), []
        for move in game.mainline_moves():
            out.append((board.copy(stack=False), move))
            board.push(move)
            if len(out) == PLIES[1]:
                yield out
                break


def pick(rng: random.Random, path: Path, wanted: int) -> list[list[tuple[chess.Board, chess.Move]]]:
    """A few games from all over the file."""
    pool: list[list[tuple[chess.Board, chess.Move]]] = []
    for at, line in enumerate(lines(path)):
        if len(pool) < wanted:
            pool.append(line)
        elif (slot := rng.randrange(at + 1)) < wanted:
            pool[slot] = line
        if at > 20 * wanted:
            break
    rng.shuffle(pool)
    return pool


def say(rng: random.Random, board: chess.Board, move: chess.Move) -> str:
    """A move as trainers say it."""
    name, to = PIECES[board.piece_type_at(move.from_square) or 1], chess.square_name(move.to_square)
    san = board.san(move)
    if board.is_castling(move):
        short = chess.square_file(move.to_square) == 6
        side = rng.choice(["kingside", "short"] if short else ["queenside", "long"])
        return rng.choice(["castles", "castles", f"castles {side}", f"castles {side}"])
    check = ", check" if board.gives_check(move) and rng.random() < 0.6 else ""
    origin = chess.square_name(move.from_square)[0]
    if board.is_capture(move):
        pawn = name == "pawn"
        forms = ["takes", "takes", f"takes {to}", f"takes on {to}"]
        forms += [f"{origin} takes {to}", f"{origin} takes", f"pawn takes {to}"] if pawn else []
        forms += [] if pawn else [f"{name} takes {to}", f"{name} takes {to}", f"{name} takes on {to}", f"{name} takes"]
        return rng.choice(forms) + check
    if name == "pawn":
        return rng.choice([to] * 12 + [f"pawn to {to}", f"pawn {to}", f"pushes {to}"]) + check
    if len(san.rstrip("+#")) == 4 and san[1] in "abcdefgh":
        return f"{name} {san[1]} {rng.choice(['', '', 'to '])}{to}{check}"
    to = rng.choice([to] * 8 + [f"to {to}", f"to {to}", f"back to {to}" if rng.random() < 0.3 else to])
    return f"{name} {to}{check}"


def lesson(rng: random.Random, line: list[tuple[chess.Board, chess.Move]]) -> str:
    """Part of a game, told in sentences and runs."""
    first = rng.choice([0, 0, 4, 8, 12])
    told = line[first:]
    numbered = rng.random() < 0.15
    out: list[str] = []
    at = 0
    while at < len(told):
        count = rng.choice([1, 2, 2, 3, 4, 6])
        said = []
        for board, move in told[at : at + count]:
            number = f"{NUMBERS[board.fullmove_number - 1]}, " if numbered and board.turn else ""
            said.append(number + say(rng, board, move))
        at += count
        if len(said) == 1:
            text = rng.choice(ALONE).format(*said)
        elif len(said) == 2:
            text = rng.choice(PAIRS).format(*said)
        else:
            text = ", ".join(said) + "."
        out.append(text[0].upper() + text[1:])
        if rng.random() < 0.12:
            out.append(rng.choice(ASIDES))
    return " ".join(out)


def lists(rng: random.Random) -> Iterator[str]:
    """Every square bare and with every piece, over and over, in sentences of three to seven moves."""
    while True:
        forms = [f"{piece}{square}" for square in chess.SQUARE_NAMES for piece in
                 ("", "", "knight ", "bishop ", "rook ", "queen ", "king ")]  # fmt: skip
        rng.shuffle(forms)
        while forms:
            count = rng.randint(3, 7)
            text = ", ".join(forms[:count]) + "."
            del forms[:count]
            yield text[0].upper() + text[1:]


def enough(parts: Iterator[str]) -> str:
    out: list[str] = []
    while sum(len(p.split()) for p in out) < WORDS:
        out.append(next(parts))
    return " ".join(out)


def main(args: list[str]) -> int:
    if not args:
        print(__doc__)
        return 2
    rng = random.Random(SEED)
    games = cycle(pick(rng, Path(args[0]), 200))
    lessons = (lesson(rng, line) for line in games)
    listed = lists(rng)
    texts = []
    for voice, (told, listing) in SHARES.items():
        texts += [{"voice": voice, "text": enough(lessons)} for _ in range(told)]
        texts += [{"voice": voice, "text": enough(listed)} for _ in range(listing)]
    rng.shuffle(texts)  # so that a run stopped early has heard every voice
    out = Path(args[1]) if len(args) > 1 else Path(__file__).with_name("texts.json")
    out.write_text(json.dumps(texts, indent=1) + "\n", encoding="utf-8")
    print(f"{len(texts)} texts, {sum(len(t['text'].split()) for t in texts)} words: {out}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

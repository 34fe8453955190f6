#!/usr/bin/env python3
"""Make the demo's games: invented players of an invented club, played out by an engine.

    nice -n 10 .venv/bin/python demo/make_games.py [--games 480] [--seed 7] [--engine stockfish]

Writes src/linewright/demo/games.pgn. Each game follows one of the lines below, drawn by weight, and leaves it
now and then; the engine plays on with a fixed number of nodes, and a player picks among its best moves the
more loosely the lower his or her rating. The same seed and engine version give the same games.
"""

from __future__ import annotations

import argparse
import datetime
import math
import random
from dataclasses import dataclass
from pathlib import Path

import chess
import chess.engine
import chess.pgn

OUT = Path(__file__).resolve().parents[1] / "src" / "linewright" / "demo" / "games.pgn"

#: What every game says of itself.
NOTE = "Made with an engine for Linewright's demo; players, club and events are invented"

#: Nodes per move: enough for sensible club play, about 15 ms.
NODES = 4000
#: How many moves a player chooses among.
CHOICE = 4
#: Chance per move of leaving the drawn line.
LEAVE = 0.03
#: Centipawns at which a lost game is given up, when it has looked so for two moves each.
RESIGN = 600
#: Centipawns within which a game is level; eight level moves each after move 30 are a draw.
LEVEL = 15
#: Last move number; what is on the board then is adjudicated.
LAST_MOVE = 60

#: Weight and line.
LINES = [
    # The capture with the e-pawn: an isolated pawn on d5.
    (22, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 dxc5 Bxc5 O-O Ne7 Nb3 Bd6 Re1 O-O Bg5 Bg4"),
    (9, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 dxc5 Bxc5 O-O Ne7 Nb3 Bd6 Re1 O-O Bd3"),
    (8, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 dxc5 Bxc5 O-O Ne7 Nb3 Bd6 Nbd4 O-O c3"),
    (9, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 dxc5 Bxc5 O-O Ne7 Nb3 Bb6 Re1 O-O Be3"),
    (14, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 O-O Ne7 dxc5 Bxc5 Nb3 Bd6 Bg5 O-O Re1"),
    (5, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Bd6 O-O Ne7 dxc5 Bxc5 Nb3 Bb6 Re1 O-O"),
    (7, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 Qe7+ Be2 cxd4 O-O Qc7 Nb3 Bd6 Nbxd4"),
    (4, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nc6 Bb5 cxd4 O-O Bd6 Nb3 Ne7 Nbxd4 O-O"),
    (6, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 Nf6 Bb5+ Bd7 Bxd7+ Nbxd7 O-O Be7 dxc5 Nxc5"),
    (4, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Ngf3 a6 Be2 c4 O-O Bd6 b3"),
    (3, "e4 e6 d4 d5 Nd2 c5 exd5 exd5 Bb5+ Nc6 Ngf3 Bd6 dxc5 Bxc5 O-O Ne7 Nb3 Bd6"),
    # The capture with the queen.
    (18, "e4 e6 d4 d5 Nd2 c5 exd5 Qxd5 Ngf3 cxd4 Bc4 Qd6 O-O Nf6 Nb3 Nc6 Nbxd4 Nxd4 Nxd4 a6 Re1"),
    (7, "e4 e6 d4 d5 Nd2 c5 exd5 Qxd5 Ngf3 cxd4 Bc4 Qd6 O-O Nf6 Nb3 Nc6 Nbxd4 Nxd4 Nxd4 Bd7 b3"),
    (6, "e4 e6 d4 d5 Nd2 c5 exd5 Qxd5 Ngf3 cxd4 Bc4 Qd8 O-O Nc6 Nb3 Nf6 Nbxd4"),
    (5, "e4 e6 d4 d5 Nd2 c5 exd5 Qxd5 Ngf3 cxd4 Bc4 Qd6 Qe2 Nf6 Nb3 Nc6 Bg5"),
    # Black does not strike at once.
    (8, "e4 e6 d4 d5 Nd2 c5 Ngf3 Nc6 exd5 exd5 Bb5 Bd6 dxc5 Bxc5 O-O Ne7 Nb3 Bd6"),
    (4, "e4 e6 d4 d5 Nd2 c5 Ngf3 cxd4 Nxd4 Nf6 exd5 Nxd5"),
    (14, "e4 e6 d4 d5 Nd2 Nf6 e5 Nfd7 Bd3 c5 c3 Nc6 Ne2 cxd4 cxd4 f6 exf6 Nxf6 O-O Bd6 Nf3"),
    (6, "e4 e6 d4 d5 Nd2 Nf6 e5 Nfd7 Bd3 c5 c3 Nc6 Ngf3 Be7 O-O g5"),
    (5, "e4 e6 d4 d5 Nd2 Be7 Bd3 c5 dxc5 Nf6 Qe2 O-O Ngf3"),
    (3, "e4 e6 d4 d5 Nd2 Nc6 Ngf3 Nf6 e5 Nd7 Be2 f6"),
    (2, "e4 e6 d4 d5 Nd2 a6 Ngf3 c5 exd5 exd5 Be2"),
    # Other third moves.
    (7, "e4 e6 d4 d5 Nc3 Bb4 e5 c5 a3 Bxc3+ bxc3 Ne7"),
    (5, "e4 e6 d4 d5 Nc3 Nf6 Bg5 Be7 e5 Nfd7"),
    (7, "e4 e6 d4 d5 e5 c5 c3 Nc6 Nf3 Qb6 a3"),
    (6, "e4 e6 d4 d5 exd5 exd5 Nf3 Nf6 Bd3 Bd6 O-O O-O"),
]

#: Invented people and their ratings.
PLAYERS = {
    "Farthing, Odile": 2210,
    "Brackwater, Tom": 2165,
    "Quillon, Amaro": 2140,
    "Lindqvale, Sunniva": 2120,
    "Osterby, Henk": 2085,
    "Marchbank, Prue": 2060,
    "Tolliver, Ines": 2035,
    "Wrenfield, Caspar": 2010,
    "Dunmarrow, Iris": 1985,
    "Ashgrove, Bartel": 1960,
    "Pelham-Roe, Vita": 1930,
    "Kestervik, Jonas": 1905,
    "Hollin, Magda": 1880,
    "Sandholt, Piet": 1850,
    "Corvane, Lucie": 1825,
    "Yarrowby, Noel": 1790,
    "Thistlewick, Ada": 1760,
    "Mossgate, Emil": 1725,
    "Redfern-Hay, Una": 1690,
    "Bellweather, Otto": 1650,
    "Crake, Winifred": 1610,
    "Saltmarsh, Denny": 1560,
}

EVENTS = [
    "Tidewick Harbour League",
    "Lantern Cup",
    "Tidewick Club Championship",
    "Ferry Lane Rapid",
    "Autumn Ladder",
]
FIRST_DAY = datetime.date(2018, 9, 4)
DAYS = 2300


@dataclass
class Mood:
    """How a game stands, move by move, for giving up and agreeing draws."""

    level: int = 0
    losing: int = 0


def choose(infos: list[chess.engine.InfoDict], rating: int, rng: random.Random) -> tuple[chess.Move, int]:
    """A move as a player of this rating picks it, and its score in centipawns for the player."""
    scored = [(i["pv"][0], i["score"].relative.score(mate_score=10_000)) for i in infos if i.get("pv")]
    # People promote to a queen; an engine that sees the win takes any piece.
    scored = [s for s in scored if s[0].promotion in (None, chess.QUEEN)] or scored
    best = scored[0][1]
    looseness = 14 + (2250 - rating) / 12  # centipawns: 14 for the strongest, about 70 for the weakest
    weights = [math.exp(-min(best - score, 2000) / looseness) for _, score in scored]
    return rng.choices(scored, weights)[0]


def result_of(board: chess.Board, score: int, mood: Mood) -> str | None:
    """The result once it is settled; ``score`` is for White."""
    if board.is_game_over(claim_draw=True):
        return board.result(claim_draw=True)
    mood.losing = mood.losing + 1 if abs(score) >= RESIGN else 0
    mood.level = mood.level + 1 if abs(score) <= LEVEL and board.fullmove_number > 30 else 0
    won = "1-0" if score > 0 else "0-1"
    if mood.losing >= 4:
        return won
    if mood.level >= 16:
        return "1/2-1/2"
    if board.fullmove_number > LAST_MOVE:
        return won if abs(score) > 200 else "1/2-1/2"
    return None


def play(
    engine: chess.engine.SimpleEngine, white: int, black: int, rng: random.Random, game: int
) -> tuple[chess.Board, str]:
    """One game between players of these ratings."""
    board = chess.Board()
    line = rng.choices([moves.split() for _, moves in LINES], [weight for weight, _ in LINES])[0]
    mood = Mood()
    result = None
    while result is None:
        ply = board.ply()
        if ply < len(line) and (ply < 6 or rng.random() > LEAVE):
            board.push_san(line[ply])
            continue
        line = []
        infos = engine.analyse(board, chess.engine.Limit(nodes=NODES), multipv=CHOICE, game=game)
        move, score = choose(infos, white if board.turn else black, rng)
        score = score if board.turn else -score
        board.push(move)
        result = result_of(board, score, mood)
    return board, result


def write(
    board: chess.Board,
    result: str,
    white: str,
    black: str,
    day: datetime.date,
    number: int,
    rng: random.Random,
) -> str:
    game = chess.pgn.Game.from_board(board)
    headers = {
        "Event": f"{rng.choice(EVENTS)} {day.year}",
        "Site": "Tidewick",
        "Date": day.strftime("%Y.%m.%d"),
        "Round": str(1 + number % 9),
        "White": white,
        "Black": black,
        "Result": result,
        "WhiteElo": str(PLAYERS[white] + rng.randint(-30, 30)),
        "BlackElo": str(PLAYERS[black] + rng.randint(-30, 30)),
        "Annotator": NOTE,
    }
    game.headers.clear()
    for name, value in headers.items():
        game.headers[name] = value
    return game.accept(chess.pgn.StringExporter(columns=100)) + "\n\n"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--games", type=int, default=480)
    options.add_argument("--seed", type=int, default=7)
    options.add_argument("--engine", default="stockfish")
    chosen = options.parse_args()
    rng = random.Random(chosen.seed)
    days = sorted(rng.randrange(DAYS) for _ in range(chosen.games))
    texts = []
    with chess.engine.SimpleEngine.popen_uci(chosen.engine) as engine:
        engine.configure({"Threads": 1, "Hash": 16})
        for number, offset in enumerate(days):
            white, black = rng.sample(sorted(PLAYERS), 2)
            board, result = play(engine, PLAYERS[white], PLAYERS[black], rng, number)
            day = FIRST_DAY + datetime.timedelta(days=offset)
            texts.append(write(board, result, white, black, day, number, rng))
            print(
                f"\r{number + 1}/{chosen.games} {white} - {black} {result} ({board.fullmove_number})",
                end="  ",
                flush=True,
            )
    print()
    partial = OUT.with_suffix(".part")
    partial.write_text("".join(texts), encoding="utf-8")
    partial.replace(OUT)


if __name__ == "__main__":
    main()

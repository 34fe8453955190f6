"""A UCI engine that follows a script: well-behaved, or broken in one named way.

Run as a program with a mode and a log file; every line that it is sent goes to the log. Modes:

``fine`` answers each question with its legal moves in alphabetical order, scored 40, 30, 20 … for the side to move.
``crash`` ends at each question; ``crash-once`` only at the first; ``poisoned`` only at positions with a white queen.
``hang`` never answers a question; ``mute`` not even ``uci``; ``dies`` ends at once. ``tires`` answers one question, and
those on which its speed is measured (200,000 nodes).
``slow`` takes 0.2 s; ``loud`` talks nonsense beside its answers; ``nonsense`` answers with nonsense.
``no-score`` gives a move without a score; ``illegal`` gives an illegal line; ``bound`` ends with a bound.
``mate`` scores every move as mate in 5; ``stubborn`` doesn't quit.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import chess


def say(text: str) -> None:
    print(text, flush=True)


def answer(mode: str, board: chess.Board, lines: int) -> None:
    moves = sorted(move.uci() for move in board.legal_moves)
    if mode == "slow":
        time.sleep(0.2)
    if mode == "loud":
        print("something went wrong, but never mind", file=sys.stderr, flush=True)
        sys.stdout.buffer.write(b"\xff\xfe not UTF-8\n")
        say("info score cp many pv none depth x")
        say("well, well")
    if mode == "nonsense":
        say("info depth 1 score cp 10 pv z9z9")
        say("bestmove z9z9")
        return
    if mode == "illegal":
        moves = ["a1a8", *moves]
    if mode != "no-score":
        for number, move in enumerate(moves[:lines], 1):
            score = "mate 5" if mode == "mate" else f"cp {50 - 10 * number}"
            say(f"info depth 7 multipv {number} score {score} wdl 300 500 200 nodes 99 pv {move}")
    if mode == "bound":
        say(f"info depth 8 multipv 1 score cp 900 lowerbound pv {moves[0]}")
    say(f"bestmove {moves[-1]}")


def main(mode: str, log: Path) -> None:
    if mode == "dies":
        sys.exit(3)
    board, lines = chess.Board(), 1
    for line in sys.stdin:
        words = line.split()
        with log.open("a") as file:
            file.write(line)
        if not words or mode == "mute":
            continue
        if words[0] == "uci":
            say("id name Scripted 1.0")
            for option in ("Threads type spin default 4 min 1 max 8", "Hash type spin default 16 min 1 max 1024"):
                say(f"option name {option}")
            say("option name MultiPV type spin default 1 min 1 max 9")
            say("option name UCI_ShowWDL type check default false")
            say("uciok")
        elif words[0] == "isready":
            say("readyok")
        elif words[:3] == ["setoption", "name", "MultiPV"]:
            lines = int(words[-1])
        elif words[0] == "position":
            board = chess.Board(" ".join(words[2:8])) if words[1] == "fen" else chess.Board()
        elif words[0] == "go":
            poisoned = mode == "poisoned" and bool(board.pieces(chess.QUEEN, chess.WHITE))
            first = log.read_text().count("go nodes") == 1
            if mode == "crash" or poisoned or (mode == "crash-once" and first):
                os._exit(1)
            counted = [line for line in log.read_text().splitlines() if line.startswith("go") and "200000" not in line]
            if mode != "hang" and not (mode == "tires" and len(counted) > 1):
                answer(mode, board, lines)
        elif words[0] == "quit" and mode != "stubborn":
            return
    while mode == "stubborn":
        time.sleep(1)


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))

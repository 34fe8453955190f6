"""Fit the reader's sense of moves: how likely each legal move is where no game tells.

    python bench/fit_sense.py [--number N] [--write] GAMES.pgn[.zst]

A conditional logit over the legal moves of positions sampled from real games: what is seen of a move
(``Glance``) sums to its log-weight. Fitted by maximum a posteriori with a Gaussian prior
around zero, on four games of five, and judged by the mean log-probability of the move played on the fifth.
``--write`` puts the weights into ``src/linewright/reading/search/move_prior.json``.
"""

from __future__ import annotations

import argparse
import io
import json
import random
from collections.abc import Iterator
from pathlib import Path

import chess
import chess.pgn
import numpy as np
import zstandard
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from linewright.reading.search import move_prior as sense
from linewright.reading.search.positions import Atlas, Position

#: Positions taken from each game, between these plies: lessons leave the games' paths there.
PER_GAME, FIRST_PLY, LAST_PLY = 6, 8, 44
#: One game in so many is taken: the collection is sorted by event.
EVERY = 17
#: Standard deviation of the prior, in nats.
PRIOR = 1.5


def positions(path: Path, games: int, rng: random.Random) -> Iterator[tuple[int, Position, str]]:
    """(game, position, move played) of sampled positions."""
    with path.open("rb") as raw:
        stream = zstandard.ZstdDecompressor().stream_reader(raw) if path.suffix == ".zst" else raw
        text = io.TextIOWrapper(stream, "utf-8", errors="replace")
        for number in range(games):
            for _ in range(EVERY - 1):
                chess.pgn.skip_game(text)
            game = chess.pgn.read_game(text)
            if game is None:
                return
            moves = list(game.mainline_moves())
            plies = range(FIRST_PLY, min(LAST_PLY, len(moves)))
            wanted = set(rng.sample(plies, min(PER_GAME, len(plies))))
            position = Atlas(None).start(game.board())
            for ply, move in enumerate(moves):
                uci = move.uci()
                if ply in wanted:
                    yield number, position, uci
                legal = next((m for m in position.legal if m.uci == uci), None)
                if legal is None:
                    break
                position = position.after(legal)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("games", type=Path)
    parser.add_argument("--number", type=int, default=4000)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    names: dict[str, int] = {}
    rows: list[int] = []
    columns: list[int] = []
    starts, chosen, judged = [], [], []
    old: list[float] = []
    row = 0
    for game, position, uci in positions(args.games, args.number, random.Random(1)):
        starts.append(row)
        judged.append(game % 5 == 0)
        old.append(float(np.log(position.sense[uci])))
        glance = sense.Glance(position.board, position.last)
        for legal in position.legal:
            if legal.uci == uci:
                chosen.append(row)
            for name in glance.seen(legal):
                rows.append(row)
                columns.append(names.setdefault(name, len(names)))
            row += 1
    table = csr_matrix((np.ones(len(rows)), (rows, columns)), shape=(row, len(names)))
    group = np.repeat(np.arange(len(starts)), np.diff([*starts, row]))
    held = np.array(judged)
    first, picked = np.array(starts), np.array(chosen)

    def log_chances(weights: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        score = table @ weights
        top = np.maximum.reduceat(score, first)
        total = top + np.log(np.add.reduceat(np.exp(score - top[group]), first))
        return score - total[group], total

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        logs, _ = log_chances(weights)
        train = ~held
        weight = np.exp(logs) * train[group]
        gradient = table.T @ weight - np.asarray(table[picked[train]].sum(axis=0)).ravel()
        return (
            float(-logs[picked[train]].sum() + (weights**2).sum() / (2 * PRIOR**2)),
            gradient + weights / PRIOR**2,
        )

    done = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B", options={"maxiter": 400})
    logs, _ = log_chances(done.x)
    print(f"{len(starts)} positions, {row} moves, {len(names)} weights")
    print(
        f"held out: {logs[picked[held]].mean():.3f} nats a move, before {np.array(old)[held].mean():.3f}; "
        f"fitted on: {logs[picked[~held]].mean():.3f}"
    )
    ranks = [int((logs[a:b] > logs[p]).sum()) for a, b, p in zip(first, [*first[1:], row], picked, strict=True)]
    print(
        f"held out: first {np.mean(np.array(ranks)[held] == 0):.3f}, in five {np.mean(np.array(ranks)[held] < 5):.3f}"
    )
    fitted = {name: round(float(done.x[i]), 2) for name, i in sorted(names.items())}
    for name, value in fitted.items():
        if " to " not in name:
            print(f"{name:34} {value:6.2f}")
    if args.write:
        sense.FILE.write_text(json.dumps(fitted, indent=0, sort_keys=True) + "\n", "utf-8")


if __name__ == "__main__":
    main()

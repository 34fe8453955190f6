"""How well and how fast recordings are heard: words, chess words, moves, seconds.

    python bench/bench_hear.py --model DIR [--base FILE] [--keep DIR] [--variants A;B] RECORDING …

RECORDING is NAME.VOICE.ogg … with what was said, NAME.txt, beside it, and NAME.ref.json for the moves. Words are
compared in order with what was said, lower case, "e 4" as "e4"; chess words are pieces, squares, takes, castles,
check. F is the mean of precision and recall (harmonic). Moves are read with the base by ``linewright read`` and
counted as in bench_reading.py. Seconds are processor seconds for a minute of sound, all threads together, as a
ratio to the first variant in the same run. ``--keep`` leaves each variant's NAME.VOICE.words.json and .vtt there.
"""

from __future__ import annotations

import argparse
import difflib
import json
import re
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from bench_reading import aligned, place
from linewright.games.api import GamesBase
from linewright.hear.caption_cutting import cut
from linewright.hear.caption_files import webvtt, words_json
from linewright.hear.heard_words import HeardStretch, HeardWord, hear
from linewright.hear.priming import MANNER, about, prompt
from linewright.hear.recording import Sound, load_sound
from linewright.hear.whisper import LANGUAGE, Settings, Whisper
from linewright.reading.reader import read_talk
from linewright.talk.load import TalkFormat, load_text

#: What a trainer would say that the talks are about: the open ones and those in bench/talks.
ABOUT = {
    "benoni": "Modern Benoni",
    "berlin": "Berlin",
    "dutch": "Dutch",
    "gruenfeld": "Grünfeld",
    "kings-indian": "King's Indian",
    "london": "London",
    "najdorf": "Najdorf",
    "panov": "Caro-Kann",
    "scandinavian": "Scandinavian",
    "scotch": "Scotch",
    "slav": "Slav",
    "winawer": "Winawer",
}

#: A list of the trade's words instead of a told line.
LIST = "knight, bishop, rook, queen, king, pawn, takes, castles, check, mate, e4, d5, c6, f3, b5, g7, a4, h6"

DIGITS = {word: str(n) for n, word in enumerate("one two three four five six seven eight".split(), start=1)}
TRADE = frozenset("knight bishop rook queen king pawn takes take castles castle check".split())


def spoken(text: str) -> list[str]:
    """Words to compare: without case and signs, a file and its rank as one square."""
    words = re.sub(r"[^a-z0-9 ]", " ", text.lower().replace("'", "").replace("’", "")).split()
    out: list[str] = []
    for word in words:
        rank = DIGITS.get(word, word)
        if out and re.fullmatch("[a-h]", out[-1]) and re.fullmatch("[1-8]", rank):
            out[-1] += rank
        else:
            out.append(word)
    return out


def is_chess(word: str) -> bool:
    return word in TRADE or re.fullmatch("[a-h][1-8]", word) is not None


@dataclass(frozen=True)
class Score:
    """Counts over one or more recordings; ``hit`` of ``true`` and ``said`` words, chess words, moves."""

    words: tuple[int, int, int] = (0, 0, 0)
    chess: tuple[int, int, int] = (0, 0, 0)
    moves: tuple[int, int, int] = (0, 0, 0)
    busy: float = 0.0
    wall: float = 0.0
    sound: float = 0.0

    def __add__(self, other: Score) -> Score:
        def both(a: tuple[int, int, int], b: tuple[int, int, int]) -> tuple[int, int, int]:
            return (a[0] + b[0], a[1] + b[1], a[2] + b[2])

        return Score(
            both(self.words, other.words),
            both(self.chess, other.chess),
            both(self.moves, other.moves),
            self.busy + other.busy,
            self.wall + other.wall,
            self.sound + other.sound,
        )


def f(counts: tuple[int, int, int]) -> float:
    hit, true, said = counts
    return 2 * hit / (true + said) if true + said else float("nan")


def compare(true: Sequence[str], heard: Sequence[str]) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    """Counts of all words and of chess words."""
    blocks = difflib.SequenceMatcher(None, true, heard, autojunk=False).get_matching_blocks()
    same = [true[b.a + i] for b in blocks for i in range(b.size)]
    return (
        (len(same), len(true), len(heard)),
        (sum(map(is_chess, same)), sum(map(is_chess, true)), sum(map(is_chess, heard))),
    )


class Following(Whisper):
    """Hears stretch after stretch, each told the words before it; the prompt only before the first."""

    def stretches(self, sound: Sound, prompt: str) -> Iterator[HeardStretch]:
        model: Any = self._model.model
        segments, _ = model.transcribe(
            sound.samples, language=LANGUAGE, word_timestamps=True, initial_prompt=prompt or None, beam_size=5
        )
        for s in segments:
            yield HeardStretch(tuple(HeardWord(w.word, w.start, w.end, w.probability) for w in s.words), s.end)


Variant = tuple[Callable[[Path], Whisper], Callable[[str, GamesBase | None], str]]


def whisper(**settings: Any) -> Callable[[Path], Whisper]:
    return lambda folder: Whisper(folder, settings=replace(Settings(), **settings))


def told(name: str, base: GamesBase | None) -> str:
    return prompt(about(ABOUT[name], base) if name in ABOUT else None)


VARIANTS: dict[str, Variant] = {
    "unprimed": (whisper(), lambda *_: ""),
    "list": (whisper(), lambda *_: LIST),
    "manner": (whisper(), lambda *_: MANNER),
    "about": (whisper(), told),
    "about, no base": (whisper(), lambda name, base: told(name, None)),
    "about, beam 10": (whisper(beam=10), told),
    "about, batch 1": (whisper(batch=1), told),
    "about, batch 4": (whisper(batch=4), told),
    "about, float32": (whisper(compute="float32"), told),
    "following": (Following, lambda *_: MANNER),
    "following, unprimed": (Following, lambda *_: ""),
}


def measure(path: Path, recogniser: Whisper, text: str, base: GamesBase | None, keep: Path | None) -> Score:
    name = path.name.split(".")[0]
    sound = load_sound(path)
    busy, wall = time.process_time(), time.monotonic()
    words = hear(sound, recogniser, text)
    busy, wall = time.process_time() - busy, time.monotonic() - wall
    if keep:
        keep.mkdir(parents=True, exist_ok=True)
        (keep / f"{path.stem}.words.json").write_text(words_json(words))
        (keep / f"{path.stem}.vtt").write_text(webvtt(cut(words)))
    truth = spoken((path.parent / f"{name}.txt").read_text())
    all_words, chess_words = compare(truth, spoken(" ".join(w.text for w in words)))
    ref = path.parent / f"{name}.ref.json"
    moves = read_moves(words, json.loads(ref.read_text()), base) if base and ref.exists() else (0, 0, 0)
    return Score(all_words, chess_words, moves, busy, wall, sound.seconds)


def read_moves(words: Sequence[HeardWord], ref: dict[str, Any], base: GamesBase) -> tuple[int, int, int]:
    walk = read_talk(load_text(words_json(words), TalkFormat.RECOGNISER), base)
    true = [(place(m["before"]), m["uci"]) for m in ref["moves"]]
    said = [(place(m.before), m.uci) for m in walk.moves]
    return len(aligned(true, said)), len(true), len(said)


def show(title: str, score: Score, first: Score) -> None:
    busy, wall = (60 * seconds / score.sound for seconds in (score.busy, score.wall))
    pace = score.busy / score.sound * first.sound / first.busy
    print(
        f"{title:34} words {f(score.words):.3f}  chess {f(score.chess):.3f}  moves {f(score.moves):.3f}  "
        f"{busy:5.1f} s a minute (x {pace:.2f})  {wall:5.1f} by the clock",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("recordings", nargs="+", type=Path)
    parser.add_argument("--model", type=Path, required=True)
    parser.add_argument("--base", type=Path)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--variants", default="unprimed;manner;about", help=f"parted by ; of {'; '.join(VARIANTS)}")
    args = parser.parse_args()
    base = GamesBase.open(args.base) if args.base else None
    first: Score | None = None
    for variant in map(str.strip, args.variants.split(";")):
        make, words_before = VARIANTS[variant]
        recogniser = make(args.model)
        total = Score()
        for path in args.recordings:
            keep = args.keep / variant.replace(", ", "-").replace(" ", "-") if args.keep else None
            score = measure(path, recogniser, words_before(path.name.split(".")[0], base), base, keep)
            show(f"{variant} {path.stem}", score, first or score)
            total += score
        first = first or total
        show(f"{variant} ALL", total, first)


if __name__ == "__main__":
    main()

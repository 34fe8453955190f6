"""Align what was said with what was heard, sound by sound, and count what became of each chess word.

    python bench/soundalikes/align.py [--show] [COUNTS.json]

Reads the open talks (``../shared/talks``), our seen talks (``bench/talks/seen``) and the spoken texts
(``heard.json.gz``, see ``hear.py``); never the unseen talks. Needs espeak-ng for the sounds of words; the counts
are kept in git, so that ``make.py`` can be run without it.

Both sides are cut into *units*: a square gives a letter and a digit, "97" gives ``90`` and ``7`` (it is said
"ninety seven"), every other word is one unit. The sounds of both are aligned at least cost; wherever a unit ends
on both sides at once, a pair is cut off: ``knight d`` was heard as ``90``.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from functools import cache
from gzip import decompress
from pathlib import Path
from typing import Any

from linewright.language.tokens import straightened, take_apart
from linewright.reading.words.units import atoms, talked, units
from linewright.reading.words.vocabulary import DIGITS, LETTERS

CLASSES = units().classes
UNITS = frozenset(CLASSES)


def bare(word: str) -> str:
    """A word without case and punctuation."""
    return take_apart(straightened(word)).core.lower()


HERE = Path(__file__).resolve().parent
TALKS = {"open": HERE.parents[2] / "shared" / "talks", "seen": HERE.parent / "talks" / "seen"}
#: Units that must agree in a row before the two sides are taken to be in step.
ANCHOR = 4
#: Units on each side that one pair may hold; longer ones are places where the recogniser lost the thread.
LONGEST = 4
#: Costs of the alignment, in points: how unlike two sounds are.
DROP_CONSONANT, DROP_VOWEL, DROP_SCHWA = 0.8, 0.6, 0.3
UNLIKE_CONSONANTS, LIKE_CONSONANTS, UNLIKE_VOWELS, LIKE_VOWELS, VOWEL_FOR_CONSONANT = 1.0, 0.4, 0.5, 0.3, 1.6
FAMILIES = [
    set(f.split())
    for f in (
        "p b", "t d", "k g", "f v T D", "s z S Z", "tS dZ tS;", "m n N", "r l w j", "t tS", "d dZ", "s T f", "b v",
        "i: I i I2", "eI E e", "aI a I", "O: O 0 o@ A: oU", "u: U", "V @ 3: a 0", "@ @2 I# I2 @L 3",
    )
]  # fmt: skip
#: Pieces as notation has them.
NOTED = frozenset("nrqk")
#: Runs of units, by class, that recognisers write in one: "rookie", "before", "d8" for "d takes".
PARTS = re.compile("PL|PLD|LD|LX")
#: Units that are words of ordinary talk too.
TALK = DIGITS | {"a"}
#: Small words that say nothing about a move; taken off the ends of what was meant.
SMALL = frozenset("to on the a an his her and back in of at so with by".split())
#: Letters as they are said; n, r, q and k as the pieces: a recogniser that writes "Nf3" has heard the name.
SPOKEN = {
    "a": "eI", "b": "b_i:", "c": "s_i:", "d": "d_i:", "e": "i:", "f": "E_f", "g": "dZ_i:", "h": "eI_tS", "x": "E_k_s",
    "n": "n_aI_t", "r": "r_U_k", "q": "k_w_i:_n", "k": "k_I_N",
}  # fmt: skip


@dataclass
class Tally:
    """What was counted in one source.

    :param meant: how often each run of up to three chess units was said.
    :param pairs: how often (meant, heard) was cut off.
    :param words: how often each word was said that is no chess unit.
    :param trust: (probability of a letter or digit heard, heard rightly).
    """

    meant: Counter[str] = field(default_factory=Counter)
    pairs: Counter[tuple[str, str]] = field(default_factory=Counter)
    words: Counter[str] = field(default_factory=Counter)
    trust: list[tuple[float, bool]] = field(default_factory=list)


@cache
def sounds(word: str) -> tuple[str, ...]:
    """The sounds of a word, as espeak-ng's mnemonics without stress."""
    if word in SPOKEN:
        return tuple(SPOKEN[word].split("_"))
    said = subprocess.run(
        ["espeak-ng", "-q", "-v", "en-us", "-x", "--sep=_", word], capture_output=True, text=True, check=True
    ).stdout
    plain = re.sub(r"[',%=|!]", "", said).replace("\n", "_").replace(" ", "_")
    return tuple(s for s in plain.split("_") if s)


def vowel(sound: str) -> bool:
    return sound[0] in "aeiouAEIOUV03@"


@cache
def unlike(one: str, two: str) -> float:
    if one == two:
        return 0.0
    if vowel(one) != vowel(two):
        return VOWEL_FOR_CONSONANT
    like = any(one in f and two in f for f in FAMILIES)
    if vowel(one):
        return LIKE_VOWELS if like else UNLIKE_VOWELS
    return LIKE_CONSONANTS if like else UNLIKE_CONSONANTS


def dropped(sound: str) -> float:
    return DROP_SCHWA if sound.startswith("@") else DROP_VOWEL if vowel(sound) else DROP_CONSONANT


def path(one: Sequence[str], two: Sequence[str]) -> list[tuple[int, int]]:
    """The nodes (i, j) of the cheapest alignment of two runs of sounds."""
    drop1, drop2 = [dropped(s) for s in one], [dropped(s) for s in two]
    rows = [[0.0]]
    for d in drop2:
        rows[0].append(rows[0][-1] + d)
    for i, x in enumerate(one):
        above, row = rows[-1], [rows[-1][0] + drop1[i]]
        for j, y in enumerate(two):
            row.append(min(above[j] + unlike(x, y), above[j + 1] + drop1[i], row[j] + drop2[j]))
        rows.append(row)
    i, j = len(one), len(two)
    out = [(i, j)]
    while i or j:
        if i and j and abs(rows[i][j] - rows[i - 1][j - 1] - unlike(one[i - 1], two[j - 1])) < 1e-9:
            i, j = i - 1, j - 1
        elif i and abs(rows[i][j] - rows[i - 1][j] - drop1[i - 1]) < 1e-9:
            i -= 1
        else:
            j -= 1
        out.append((i, j))
    return out[::-1]


def spell(units: Sequence[str]) -> tuple[list[str], dict[int, int]]:
    """The sounds of units, and at which sound each unit begins (the end too)."""
    out: list[str] = []
    edges = {0: 0}
    for index, unit in enumerate(units, 1):
        out.extend(sounds(unit) or ("@",))
        edges[len(out)] = index
    return out, edges


def pairs(meant: Sequence[str], heard: Sequence[str]) -> Iterator[tuple[int, int, int, int]]:
    """Cut two runs of units into pairs: (first, last) meant, (first, last) heard."""
    blocks = [b for b in SequenceMatcher(None, meant, heard, autojunk=False).get_matching_blocks() if b.size >= ANCHOR]
    i = j = 0
    for at, to, size in [*((b.a, b.b, b.size) for b in blocks), (len(meant), len(heard), 0)]:
        for a, b, c, d in cut(meant[i:at], heard[j:to]):
            yield i + a, i + b, j + c, j + d
        for k in range(size):
            yield at + k, at + k + 1, to + k, to + k + 1
        i, j = at + size, to + size


def cut(meant: Sequence[str], heard: Sequence[str]) -> Iterator[tuple[int, int, int, int]]:
    one, edges1 = spell(meant)
    two, edges2 = spell(heard)
    last = (0, 0)
    for i, j in path(one, two)[1:]:
        if i in edges1 and j in edges2:
            here = edges1[i], edges2[j]
            yield last[0], here[0], last[1], here[1]
            last = here


def units_of(text: str) -> list[str]:
    """The units of a text as written by a person."""
    out: list[str] = []
    for word in re.split(r"[\s\-–—/]+", text):
        out.extend(atoms(bare(word)))
    return out


def count(tally: Tally, text: str, heard: Iterable[tuple[str, float]]) -> list[str]:
    """Count one text's pairs; gives the odd ones, for looking at."""
    meant = units_of(text)
    said: list[str] = []
    trust: list[float] = []
    for word, p in heard:
        for part in re.split(r"[\s\-–—/]+", word):
            found = atoms(bare(part))
            said.extend(found)
            trust.extend([p] * len(found))
    chess = [u if u in UNITS else "" for u in meant]
    tally.words.update(w for w in map(talked, map(bare, re.split(r"[\s\-–—/]+", text))) if w in TALK or w not in UNITS)
    for size in (1, 2, 3):
        for k in range(len(chess) - size + 1):
            if all(chess[k : k + size]):
                tally.meant[" ".join(chess[k : k + size])] += 1
    odd = []
    for a, b, c, d in joined(meant, said, pairs(meant, said)):
        one, two = trimmed(meant[a:b]), said[c:d]
        if len(one) > LONGEST or len(two) > LONGEST:
            continue
        right = list(one) == two
        for k in range(c, d):
            if said[k] in LETTERS or said[k] in DIGITS:
                tally.trust.append((trust[k], right))
        if not one or not all(u in UNITS for u in one):
            continue
        tally.pairs[" ".join(one), " ".join(two)] += 1
        if not right:
            odd.append(f"{' '.join(meant[max(0, a - 2) : b + 2])} | {' '.join(one)} -> {' '.join(two)}")
    return odd


def joined(
    meant: Sequence[str], said: Sequence[str], found: Iterable[tuple[int, int, int, int]]
) -> Iterator[tuple[int, int, int, int]]:
    """The pairs, with the file put to its piece where the two were not heard apart.

    It was swallowed ("knight 6" for "knight f6"), or piece and file were written as one notation ("Rk1" for
    "rook e1").
    """
    held: tuple[int, int, int, int] | None = None
    for a, b, c, d in found:
        if held is not None and b - a == 1 and meant[a] in LETTERS and meant[b : b + 1] and meant[b] in DIGITS:
            swallowed = c == d
            noted = said[held[2]] in NOTED and d - c == 1 and said[c] != meant[a]
            if swallowed or noted:
                yield held[0], b, held[2], d
                held = None
                continue
        if held is not None:
            yield held
        held = (a, b, c, d) if b - a == 1 and d - c == 1 and CLASSES.get(meant[a]) == "P" else None
        if held is None:
            yield a, b, c, d
    if held is not None:
        yield held


def trimmed(units: Sequence[str]) -> Sequence[str]:
    """What was meant, without small words at its ends."""
    first, last = 0, len(units)
    while first < last and units[first] in SMALL and not (last - first == 1 and units[first] == "a"):
        first += 1
    while last > first and units[last - 1] in SMALL and units[last - 1] != "a":
        last -= 1
    return units[first:last]


def spoken() -> Iterator[tuple[str, str, list[tuple[str, float]]]]:
    """(source, text, heard words) of everything there is."""
    for kind, folder in TALKS.items():
        for file in sorted(folder.glob("*.words.json")):
            name, voice = file.name.split(".")[:2]
            words = json.loads(file.read_text("utf-8"))["words"]
            text = (folder / f"{name}.txt").read_text("utf-8")
            yield f"{kind} {voice} {name}", text, [(w["word"], w["p"]) for w in words]
    file = HERE / "heard.json.gz"
    if file.exists():
        for number, item in enumerate(json.loads(decompress(file.read_bytes()))):
            yield f"texts {item['voice'].split()[0]} {number}", item["text"], [(w, p) for w, p in item["heard"]]


def as_json(tally: Tally) -> dict[str, Any]:
    trust: Counter[tuple[float, bool]] = Counter((round(p, 2), right) for p, right in tally.trust)
    table: dict[str, dict[str, int]] = {}
    for (one, two), n in sorted(tally.pairs.items()):
        table.setdefault(one, {})[two] = n
    runs = {one for one, _ in tally.pairs} | UNITS
    return {
        "meant": {one: n for one, n in sorted(tally.meant.items()) if one in runs or PARTS.fullmatch(classes(one))},
        "pairs": table,
        "words": dict(sorted(tally.words.items())),
        "trust": sorted([p, right, n] for (p, right), n in trust.items()),
    }


def classes(run: str) -> str:
    return "".join(CLASSES[u] for u in run.split())


def main(args: list[str]) -> int:
    show = "--show" in args
    args = [a for a in args if a != "--show"]
    tallies: dict[str, Tally] = {}
    for source, text, heard in spoken():
        odd = count(tallies.setdefault(source, Tally()), text, heard)
        if show:
            print(f"== {source}", *odd, sep="\n  ")
    out = Path(args[0]) if args else HERE / "counts.json"
    out.write_text(json.dumps({k: as_json(t) for k, t in sorted(tallies.items())}, indent=0) + "\n", "utf-8")
    print(f"{sum(t.pairs.total() for t in tallies.values())} pairs from {len(tallies)} sources: {out}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

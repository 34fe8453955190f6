"""The vocabulary of spoken and written moves: what each word, or run of words, may mean on a board."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import chess

from linewright.reading.tokens import Token

PIECES = {
    "knight": "N", "knights": "N", "bishop": "B", "bishops": "B", "rook": "R", "rooks": "R",
    "queen": "Q", "king": "K", "pawn": "P", "pawns": "P", "horse": "N", "horsey": "N",
}  # fmt: skip
_PLURAL = {"knights", "bishops", "rooks", "pawns"}
_TAKES = {
    "takes", "captures", "recaptures", "retakes", "x", "grabs", "chops", "snaps", "swaps", "exchanges", "snatches",
    "eats", "munches", "gobbles", "collects", "removes", "pinches", "nabs", "gobble", "munch", "chop", "snap", "eat",
    "trades", "kills", "bites",
}  # fmt: skip
_TAKE = {
    "take",
    "capture",
    "recapture",
    "retake",
    "grab",
    "taking",
    "capturing",
    "recapturing",
    "snatch",
    "trade",
}
#: The past tense tells of a capture that has been played: it names a position, it doesn't play a move.
_TOOK = {"took", "captured", "recaptured", "taken"}
_CASTLES = {"castles", "castling"}
_CASTLED = {"castled"}
_TUCKS = {"tuck", "tucks", "tucked", "hide", "hides", "safety", "safe"}
_SIDES = {
    "kingside": "K", "short": "K", "queenside": "Q", "long": "Q", "queen's-side": "Q",
}  # fmt: skip
_LINKS = {
    "to", "into", "onto", "at", "out", "over", "up", "down", "across", "straight", "right", "here", "away", "in",
    "home", "all", "way", "off", "round", "around", "forward",
}  # fmt: skip
#: Words that a description of a move doesn't run over: "the knight would like to see e5" is none.
BARRIERS = frozenset(
    "and or but then not no never isn't doesn't don't didn't can't cannot won't wouldn't couldn't want wants would "
    "could can will might may must should if that which who because when where while after before from of for "
    "against with without is are was were be been has have had does do did than as so like likes love loves want "
    "nearly always usually often pinned attacks attacking hits hitting hit defends eyeing looking guarding keeps "
    "keep stop stops wants belongs belong bearing staring pointing aiming eyes hangs lives sitting sits stands "
    "standing stood lies".split()
)
_ON = {"on"}
_VERBS = {
    "goes", "go", "comes", "come", "moves", "move", "jumps", "hops", "drops", "retreats", "lands", "steps", "slides",
    "swings", "develops", "returns", "heads", "runs", "leaps", "advances", "pushes", "push", "sits", "settles",
    "nudges",
}  # fmt: skip
_PUTS = {
    "put", "puts", "place", "places", "play", "plays", "plant", "plants", "bring", "brings", "drop", "drops", "develop",
    "develops", "stick", "sticks", "plonk", "plonks", "move", "moves", "retreat", "retreats", "throw", "throws",
    "swing", "swings", "whizz", "send", "sends", "jump", "jumps", "post", "posts", "leap", "leaps", "land", "lands",
}  # fmt: skip
_DETS = {
    "the", "a", "an", "his", "her", "my", "our", "your", "their", "own", "another", "one", "simply", "just", "now",
    "white's", "black's", "king's", "queen's", "also", "then", "first", "again", "immediately", "quickly",
}  # fmt: skip
_OTHER = {"other", "second"}
_BACK = {"back", "again"}
_FILL = {"um", "uh", "er", "erm", "uhm", "ah", "mm", "hmm", "like", "well"}
_CHECK = {"check", "chess"}
_MATE = {"mate", "checkmate"}
_PROMOTES = {"promotes", "promoting", "queens", "equals", "becomes"}
_FIGURINES = {
    "♔": "K", "♕": "Q", "♖": "R", "♗": "B", "♘": "N", "♙": "",
    "♚": "K", "♛": "Q", "♜": "R", "♝": "B", "♞": "N", "♟": "",
}  # fmt: skip

#: Standard algebraic notation, FIDE Laws of Chess, Appendix C, and the forms the PGN standard (1994, section
#: 8.2.3) allows readers to accept: zeros for castling, long notation with a hyphen, promotion with or without "=".
SAN = re.compile(
    r"^(?P<piece>[KQRBNP])?(?P<file>[a-h])?(?P<rank>[1-8])?(?P<sep>[-–x×:])?[KQRBN]?(?P<to>[a-h][1-8])"
    r"(?:=?(?P<promotion>[QRBNqrbn]))?(?P<check>[+#†‡]*)[!?]*$"
)
CASTLING = re.compile(r"^[O0o]-[O0o](?P<long>-[O0o])?(?P<check>[+#]*)[!?]*$")


@dataclass(frozen=True, slots=True)
class Edge:
    """One meaning of the tokens up to ``end``.

    :param end: index after the last token.
    :param kind: ``piece square file rank takes took castles castled side check mate promotes link on verb puts
        det other back with fill san castling``.
    :param value: piece letter, square name, file letter, written move …
    :param cost: negative log-probability of the tokens given this meaning, in nats (0 = said and written alike).
    """

    end: int
    kind: str
    value: str
    cost: float = 0.0


@cache
def _soundalikes() -> dict[str, Any]:
    """The table of sound-alikes; costs in nats."""
    text = (files("linewright.reading") / "soundalikes.json").read_text("utf-8")
    table: dict[str, Any] = json.loads(text)
    return table


def lattice(tokens: Sequence[Token], heard: bool) -> list[list[Edge]]:
    """All meanings of all runs of tokens: ``lattice[i]`` holds the edges that begin at token ``i``.

    :param heard: the words come from a recogniser, so sound-alikes and misheard letters are possible.
    """
    return [_edges(tokens, index, heard) for index in range(len(tokens))]


def _edges(tokens: Sequence[Token], index: int, heard: bool) -> list[Edge]:
    found: dict[tuple[int, str, str], Edge] = {}

    def add(end: int, kind: str, value: str, cost: float) -> None:
        old = found.get((end, kind, value))
        if old is None or cost < old.cost:
            found[end, kind, value] = Edge(end, kind, value, cost)

    for end, words, raw, cost in _readings(tokens, index, heard):
        for kind, value, more in _meanings(words, raw, heard):
            add(end, kind, value, cost + more)
    for edge in _spelled_squares(tokens, index, heard):
        add(edge.end, edge.kind, edge.value, edge.cost)
    if heard:
        for edge in list(found.values()):
            for other in _misheard(edge):
                add(other.end, other.kind, other.value, other.cost)
    return list(found.values())


def _readings(tokens: Sequence[Token], index: int, heard: bool) -> list[tuple[int, tuple[str, ...], str, float]]:
    """The tokens as they stand and, when heard, what they may have been: (end, words, raw, cost)."""
    token = tokens[index]
    out: list[tuple[int, tuple[str, ...], str, float]] = [(index + 1, (token.text,), token.raw, 0.0)]
    if not heard:
        return out
    table = _soundalikes()["heard"]
    for length in (1, 2, 3):
        run = tokens[index : index + length]
        if len(run) < length or any(t.stop for t in run[:-1]):
            break
        for meant, cost in table.get(" ".join(t.text for t in run), ()):
            out.append((index + length, tuple(meant.split()), meant, cost))
    return out


def _meanings(words: tuple[str, ...], raw: str, heard: bool) -> list[tuple[str, str, float]]:
    """(kind, value, cost) of one word, or of a square spelled as two."""
    if len(words) == 2:
        one, two = words
        if one in "abcdefgh" and two in "12345678":
            return [("square", one + two, 0.0)]
        return [("pieceand", PIECES.get(one, "") + two, 0.0)] if one in PIECES else []
    word = words[0]
    out: list[tuple[str, str, float]] = []
    for kind, names, value in _WORD_KINDS:
        if word in names:
            out.append((kind, value, 0.0))
    if word in PIECES:
        out.append(("piece", PIECES[word], 1.0 if word in _PLURAL else 0.0))
    if word in _SIDES:
        out.append(("side", _SIDES[word], 0.0))
    if len(word) == 1 and word in "abcdefgh":
        out.append(("file", word, 2.0 if word == "a" and raw == "a" else 0.0))
    if len(word) == 1 and word in "12345678":
        out.append(("rank", word, 0.0))
    out.extend(_written(raw, heard))
    return out


def _written(raw: str, heard: bool) -> list[tuple[str, str, float]]:
    """Meanings of a written move: a square stays a square, everything else is a whole move."""
    text = "".join(_FIGURINES.get(c, c) for c in raw)
    if CASTLING.match(text):
        return [("castling", "Q" if CASTLING.match(text)["long"] else "K", 0.0)]  # type: ignore[index]
    lower = text.lower()
    if re.fullmatch(r"[a-h][1-8]", lower):
        if text == raw or raw[0] not in _FIGURINES:
            return [("square", lower, 0.0)]
        return [("san", lower, 0.0)]
    out: list[tuple[str, str, float]] = []
    match = SAN.match(text)
    if match and (not heard or match["sep"]):
        out.append(("san", text, 0.0))
    elif match:  # captions write "BD7" both for a bishop and for the knight on the b-file
        out.append(("san", text, 1.5))
    pair = re.fullmatch(r"([a-h])([a-h][1-8])", lower)
    if pair and (heard or not match or not match["piece"]):
        out.append(("filesquare", lower, 0.0))
    long = re.fullmatch(r"([a-h])x([a-h][1-8])", lower)
    if heard and long and not match:
        out.append(("san", lower, 0.5))
    return out


_WORD_KINDS: tuple[tuple[str, frozenset[str], str], ...] = (
    ("takes", frozenset(_TAKES), "takes"),
    ("takes", frozenset(_TAKE), "take"),
    ("took", frozenset(_TOOK), ""),
    ("castles", frozenset(_CASTLES | {"castle"}), ""),
    ("castled", frozenset(_CASTLED), ""),
    ("link", frozenset(_LINKS), ""),
    ("on", frozenset(_ON), ""),
    ("verb", frozenset(_VERBS), ""),
    ("puts", frozenset(_PUTS), ""),
    ("det", frozenset(_DETS), ""),
    ("other", frozenset(_OTHER), ""),
    ("back", frozenset(_BACK), ""),
    ("with", frozenset({"with"}), ""),
    ("fill", frozenset(_FILL), ""),
    ("check", frozenset(_CHECK), ""),
    ("mate", frozenset(_MATE), ""),
    ("promotes", frozenset(_PROMOTES), ""),
)


def _spelled_squares(tokens: Sequence[Token], index: int, heard: bool) -> list[Edge]:
    """Squares and sides said in two words: "e four", "king side", "e 4"; heard homophones cost more."""
    if index + 1 >= len(tokens) or tokens[index].stop:
        return []
    one, two = tokens[index], tokens[index + 1]
    table = _soundalikes()
    pair = (one.text, two.text)
    if pair[1] in ("side", "wing") and pair[0] in ("king", "queen", "king's", "queen's"):
        return [Edge(index + 2, "side", "K" if pair[0].startswith("k") else "Q")]
    out: list[Edge] = []
    letters: list[tuple[str, float]] = []
    if len(one.text) == 1 and one.text in "abcdefgh":
        letters.append((one.text, 0.5 if one.raw == "a" else 0.0))
    if heard:
        for meant, cost in table["heard"].get(one.text, ()):
            if len(meant) == 1 and meant in "abcdefgh":
                letters.append((meant, float(cost)))
    digit = table["digits"].get(two.text)
    plain = two.text in table["plain_digits"]
    if two.text in "12345678" and len(two.text) == 1:
        digit, plain = int(two.text), True
    if digit is None or (not plain and not heard):
        return []
    for letter, cost in letters:
        price = cost + (0.0 if plain else float(table["homophone_cost"])) + (0.5 if one.pause else 0.0)
        out.append(Edge(index + 2, "square", f"{letter}{digit}", price))
    return out


def _misheard(edge: Edge) -> list[Edge]:
    """Other squares that a heard square may have been: letters that rhyme."""
    if edge.kind not in ("square", "file", "filesquare"):
        return []
    table = _soundalikes()["files"]
    out = []
    letter = edge.value[-2] if edge.kind != "file" else edge.value
    for meant, cost in table.get(letter, {}).items():
        value = meant if edge.kind == "file" else edge.value[:-2] + meant + edge.value[-1]
        out.append(Edge(edge.end, edge.kind, value, edge.cost + float(cost)))
    return out


def square_index(name: str) -> int:
    """``"e4"`` -> 28, as in the ``chess`` library."""
    return chess.parse_square(name)

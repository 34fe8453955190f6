"""The vocabulary of spoken and written moves: what each word, or run of words, may mean on a board."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from linewright.reading.soundalikes import DIGITS, LETTERS, PAUSE, meanings, table
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
_DIGITS = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8"}
#: Nats for "to" written as a figure within a word.
TO_AS_TWO = 0.7
#: Nats for a small "a" as a file: it is an article far more often.
ARTICLE = 0.5
#: Nats, in captions, for "Bd7": it may be a bishop or the knight on the b-file; other letters name no file.
FILE_OR_PIECE = 1.5
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
    :param kind: ``piece square file rank filesquare takes took castles castled side check mate promotes link on
        verb puts det other back with fill san castling`` and, heard in one, ``pieceto piecefile filetakes``.
    :param value: piece letter, square name, file letter, written move, ``Nbd7`` …
    :param cost: negative log-probability of the tokens given this meaning, in nats (0 = said and written alike).
    """

    end: int
    kind: str
    value: str
    cost: float = 0.0


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

    token = tokens[index]
    for kind, value, cost in _meanings(token.text, token.raw, heard):
        add(index + 1, kind, value, cost)
    for edge in _spelled(tokens, index):
        add(edge.end, edge.kind, edge.value, edge.cost)
    if heard:
        for meaning in meanings(tokens, index, table()):
            add(meaning.end, meaning.kind, meaning.value, meaning.cost)
    return list(found.values())


def _meanings(word: str, raw: str, heard: bool) -> list[tuple[str, str, float]]:
    """(kind, value, cost) of one word as it stands."""
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
    if match:
        unclear = match["piece"] == "B" or not (match["piece"] or match["rank"])
        doubtful = heard and unclear and not match["sep"] and text == raw
        out.append(("san", text, FILE_OR_PIECE if doubtful else 0.0))
    to = re.fullmatch(r"([a-h]?)2([a-h][1-8])", lower) if heard else None
    if to:  # "b2d4" for "b to d4", "2f6" for "to f6"
        out.append(("filesquare" if to[1] else "square", to[1] + to[2], TO_AS_TWO))
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


def _spelled(tokens: Sequence[Token], index: int) -> list[Edge]:
    """Squares and sides said in two words: "e four", "king side", "e 4"."""
    if index + 1 >= len(tokens) or tokens[index].stop:
        return []
    one, two = tokens[index], tokens[index + 1]
    if two.text in ("side", "wing") and one.text in ("king", "queen", "king's", "queen's"):
        return [Edge(index + 2, "side", "K" if one.text.startswith("k") else "Q")]
    digit = _DIGITS.get(two.text, two.text)
    if one.text in LETTERS and digit in DIGITS:
        cost = (ARTICLE if one.raw == "a" else 0.0) + (PAUSE if one.pause else 0.0)
        return [Edge(index + 2, "square", one.text + digit, cost)]
    return []

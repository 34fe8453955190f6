"""The vocabulary of spoken and written moves: what each word, or run of words, may mean on a board."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linewright.reading.phrases.written import CASTLING, SAN, files_alone, writes_small, written
from linewright.reading.words.rhymes import BOARD, RHYMING
from linewright.reading.words.soundalikes import DIGITS, LETTERS, PAUSE, expected, is_plain, meanings, table
from linewright.reading.words.tokens import Token

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
_CHECK = {"check"}
_DIGITS = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8"}
#: Nats for a small "a" as a file: it is an article far more often.
ARTICLE = 0.5
ARTICLE_ALONE = 2.0
#: Nats, in a typed text, for a square with a letter that no board has: a slip of the hand or a pasted caption.
NO_BOARD_TYPED = 2.5
#: Nats for a piece shortened to its letter before a square ("b g5"), and for a figure too many ("d41").
LETTER_FOR_PIECE = 1.0
FIGURE_TOO_MANY = 1.5
_NO_BOARD = re.compile(r"([ptvzsx])([1-8])")
#: Words that are "knight" more often than not where a file and a square follow: "night b d7".
NIGHTS = {"night": "N", "nights": "N", "knife": "N"}
_PIECE_LETTERS = {"n": "N", "b": "B", "r": "R", "q": "Q", "k": "K"}
_NOTED = re.compile(r"[a-h][1-8][+#]?|[nbrqk]?[a-h]?x?[a-h][1-8][+#]?")
_MATE = {"mate", "checkmate"}
_PROMOTES = {"promotes", "promoting", "queens", "equals", "becomes"}

__all__ = ["BARRIERS", "CASTLING", "SAN", "Edge", "lattice"]


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
    small = writes_small(tokens, heard)
    return [_edges(tokens, index, heard, small) for index in range(len(tokens))]


def _edges(tokens: Sequence[Token], index: int, heard: bool, small: bool) -> list[Edge]:
    found: dict[tuple[int, str, str], Edge] = {}

    def add(end: int, kind: str, value: str, cost: float) -> None:
        old = found.get((end, kind, value))
        if old is None or cost < old.cost:
            found[end, kind, value] = Edge(end, kind, value, cost)

    token = tokens[index]
    for kind, value, cost in (*_meanings(token.text, token.raw), *written(token.raw, heard, small)):
        add(index + 1, kind, value, cost)
    for edge in (*_spelled(tokens, index), *_in_context(tokens, index, heard)):
        add(edge.end, edge.kind, edge.value, edge.cost)
    if heard:
        for meaning in meanings(tokens, index, table(), expected(tokens, index)):
            if meaning.kind != "check" or token.text != "chess" or _after_move(tokens, index):
                add(meaning.end, meaning.kind, meaning.value, meaning.cost)
    return list(found.values())


def _meanings(word: str, raw: str) -> list[tuple[str, str, float]]:
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
        out.append(("file", word, ARTICLE_ALONE if word == "a" and raw == "a" else 0.0))
    if len(word) == 1 and word in "12345678":
        out.append(("rank", word, 0.0))
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


def _in_context(tokens: Sequence[Token], index: int, heard: bool) -> Iterator[Edge]:
    """What a word means only because of the words beside it."""
    token = tokens[index]
    before = tokens[index - 1] if index and not tokens[index - 1].stop else None
    after = tokens[index + 1] if index + 1 < len(tokens) and not token.stop else None
    if token.text == "chess" and _after_move(tokens, index):
        yield Edge(index + 1, "check", "")
    if token.text == "a" and before and before.text in PIECES and after and _is_square(after.text):
        yield Edge(index + 1, "file", "a")
    if token.text in ("long", "short") and after and after.text in ("castles", "castling") and not token.pause:
        yield Edge(index + 2, "castling", _SIDES[token.text])
    alone = before is None or before.text not in PIECES | NIGHTS
    if alone and token.text in _PIECE_LETTERS and after and _is_square(after.text) and not token.pause:
        yield Edge(index + 1, "piece", _PIECE_LETTERS[token.text], LETTER_FOR_PIECE)
    if after and after.word == token.word and _is_square(token.text) and _is_square(after.text):
        yield Edge(index + 2, "san", token.text + after.text)  # written in one: "e4e5" may be one move or two
        if heard:
            yield Edge(index + 2, "square", token.text, FIGURE_TOO_MANY)
    if heard:
        more = re.fullmatch(r"([a-h][1-8])[1-8]", token.text)
        if more:
            yield Edge(index + 1, "square", more[1], FIGURE_TOO_MANY)
        return
    for kind, value, cost in files_alone(tokens, index):
        yield Edge(index + 1, kind, value, cost)
    odd = _NO_BOARD.fullmatch(token.text)
    if odd and any(t is not None and _speaks_of_moves(t) for t in (before, after)):
        for group in RHYMING:
            if odd[1] in group:
                yield from (Edge(index + 1, "square", f + odd[2], NO_BOARD_TYPED) for f in group if f in BOARD)


def _is_square(text: str) -> bool:
    return len(text) == 2 and text[0] in LETTERS and text[1] in DIGITS


def _speaks_of_moves(token: Token) -> bool:
    """The word leads to a square or is a move's itself: "to p5", "knight p5", "d4 p5"."""
    return is_plain(token) or token.text in _PUTS or token.text in _VERBS or token.text in ("to", "on")


def _after_move(tokens: Sequence[Token], index: int) -> bool:
    """A move's square, or "castles", stands just before: "chess" after it is a misheard or a foreign "check"."""
    at = index - 1
    while at > 0 and tokens[at].text in ("with", "and", "that's", "a"):
        at -= 1
    if at < 0 or tokens[at].stop:
        return False
    text = tokens[at].text
    return bool(_NOTED.fullmatch(text)) or text in _DIGITS or text in DIGITS or text in ("takes", "castles")


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

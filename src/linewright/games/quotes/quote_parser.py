"""A game as it is described: what was said, apart from what was played."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

import chess

from linewright.games.query.game_filter import Result
from linewright.language.tokens import KEPT, take_apart
from linewright.language.wordings import word_set

#: A move in algebraic notation, sound or not (FIDE Laws, appendix C; marks and annotation signs are passed over).
_SAN: Final = re.compile(
    r"(?P<piece>[KQRBN])?(?P<file>[a-h])?(?P<rank>[1-8])?(?P<takes>[x:])?(?P<to>[a-h][1-8])(?:=?[QRBN])?"
)
_UCI: Final = re.compile(r"(?P<from>[a-h][1-8])(?P<to>[a-h][1-8])[qrbn]?")
_CASTLES: Final = re.compile(r"[O0]-[O0](?P<long>-[O0])?")
_NUMBER: Final = re.compile(r"(\d{1,3})(\.{1,3}|…)")

_PIECES: Final = {"pawn": 1, "knight": 2, "bishop": 3, "rook": 4, "queen": 5, "king": 6}
_SPOKEN: Final = re.compile(
    r"\b(?P<piece>pawn|knight|bishop|rook|queen|king)\s+"
    r"(?:(?P<takes>takes|captures)(?:\s+on)?\s+|(?:to\s+|on\s+)?)(?P<to>[a-h][1-8])\b"
    r"|\bcastles?(?:\s+(?P<side>kingside|queenside|short|long))?\b",
    re.IGNORECASE,
)
_YEAR: Final = re.compile(r"\b(1[5-9]\d\d|20\d\d)\b")
_RESULT: Final = re.compile(r"(?<![\w/])(1-0|0-1|1/2-1/2|½-½)(?![\w/])")
_WON: Final = re.compile(r"\b(white|black)\s+(?:won|wins)\b", re.IGNORECASE)
_DRAWN: Final = re.compile(r"\b(?:drawn|drew|(?:a|agreed)\s+draw)\b", re.IGNORECASE)
_RESIGNED: Final = re.compile(r"\b(resigned|resigns|gave up)\b", re.IGNORECASE)
_NAME_PART: Final = r"(?:van|von|der|den|de|di|la|el|al|Mc|[A-ZÀ-Þ])[\w.'’-]*"
#: A name as written: capitalised words, with the small ones that belong to surnames. Nothing in it can be read in two
#: ways, for a long line of capitals would be tried in all of them.
_NAME: Final = rf"{_NAME_PART}(?:(?:\s*,\s*|\s+){_NAME_PART}){{0,3}}\s*(?:,\s*)?"
_BETWEEN: Final = r"(?:\b(?:against|versus|vs\.?|v\.?|and|beat|beats|lost to)\s+|[–—]\s*|(?<=\w)-(?=[A-Z]))"
_PAIR: Final = re.compile(rf"(?P<one>{_NAME}){_BETWEEN}(?P<other>{_NAME})")
_EVENT: Final = re.compile(r"\b(?:in|at)\s+(?:the\s+)?(?P<event>(?:[A-ZÀ-Þ][\w'’-]*\s*|aan\s+|of\s+|del\s+){1,5})")
_SOMEONE: Final = re.compile(r"(?<![\w.])(?P<one>[A-ZÀ-Þ][a-zà-þ'’-]{2,})")


@dataclass(frozen=True, slots=True)
class DescribedMove:
    """One move as described; it need not be legal anywhere.

    :param words: as described, without the number, e.g. ``Rd7`` or ``rook takes d7``.
    :param kind: 1-6 pawn to king; 0 where only squares were given.
    :param target: square 0-63; of castling the king's target on White's first rank.
    :param takes: it is called a capture; None where the description doesn't say.
    :param ply: half-moves before it, by the number given; None where none was.
    :param file: of the origin (0-7), where given; so ``rank``.
    """

    words: str
    kind: int
    target: int
    takes: bool | None = None
    ply: int | None = None
    file: int | None = None
    rank: int | None = None
    castling: bool = False


@dataclass(frozen=True, slots=True)
class DescribedGame:
    """A half-remembered game; what isn't given is empty or None.

    :param players: at most two, White first as far as the description goes; names may be misheard and misspelled.
    :param result: as PGN writes it; ``ending`` the words that say how or that it ended ("resigned").
    :param moves: in the order given; some wrong, missing or swapped.
    :param position: the one on the board when the description began: the moves follow it.
    """

    players: tuple[str, ...] = ()
    year: int | None = None
    event: str | None = None
    result: Result | None = None
    ending: str | None = None
    moves: tuple[DescribedMove, ...] = ()
    position: chess.Board | None = field(default=None, compare=False)


def written_move(text: str, ply: int | None = None) -> DescribedMove | None:
    """A move as written (``Rd7``, ``exd5``, ``O-O``, ``e2e4``), legal or not; None where the text is no move."""
    bare = take_apart(text).core.rstrip(KEPT)
    if castles := _CASTLES.fullmatch(bare):
        return DescribedMove(text, chess.KING, chess.C1 if castles["long"] else chess.G1, False, ply, castling=True)
    if uci := _UCI.fullmatch(bare):
        origin = chess.parse_square(uci["from"])
        target = chess.parse_square(uci["to"])
        return DescribedMove(text, 0, target, None, ply, chess.square_file(origin), chess.square_rank(origin))
    if not (san := _SAN.fullmatch(bare)):
        return None
    return DescribedMove(
        words=text,
        kind=chess.PIECE_SYMBOLS.index(san["piece"].lower()) if san["piece"] else chess.PAWN,
        target=chess.parse_square(san["to"]),
        takes=san["takes"] is not None,
        ply=ply,
        file="abcdefgh".index(san["file"]) if san["file"] else None,
        rank=int(san["rank"]) - 1 if san["rank"] else None,
    )


def parse_description(text: str, position: chess.Board | None = None) -> DescribedGame:
    """Read a description such as ``Marlow against Tessen, 2016, 9.Nd4 Bd7 10.f3 ... resigned``.

    Moves in notation or as spoken ("knight d4", "castles"); move numbers are taken as given. Two names stand around
    "against" (versus, a dash, beat), an event behind "in" or "at".
    """
    year = _YEAR.search(text)
    result, ending = _ending(text)
    rest = _RESULT.sub(" ", text)
    moves = tuple(_moves(rest))
    event = _EVENT.search(text)
    prose = _EVENT.sub(" ", rest)
    return DescribedGame(
        players=_players(prose),
        year=int(year[0]) if year else None,
        event=event["event"].strip() if event else None,
        result=result,
        ending=ending,
        moves=moves,
        position=position,
    )


def _ending(text: str) -> tuple[Result | None, str | None]:
    resigned = _RESIGNED.search(text)
    written = _RESULT.search(text)
    won, drawn = _WON.search(text), _DRAWN.search(text)
    results: dict[str, Result] = {"1-0": "1-0", "0-1": "0-1", "1/2-1/2": "1/2-1/2", "½-½": "1/2-1/2"}
    result: Result | None = None
    if written:
        result = results[written[1]]
    elif won:
        result = "1-0" if won[1].lower() == "white" else "0-1"
    elif drawn:
        result = "1/2-1/2"
    said = resigned or written or won or drawn
    return result, said[0] if said else None


def _players(prose: str) -> tuple[str, ...]:
    if pair := _PAIR.search(prose):
        found = [pair[group].strip(" ,.") for group in ("one", "other")]
    else:
        found = [m["one"] for m in _SOMEONE.finditer(prose) if m["one"].removesuffix("'s").removesuffix("’s")]
        found = [name.removesuffix("'s").removesuffix("’s") for name in found]
    return tuple(name for name in found if name and name not in word_set("claims/quoting", "no_name"))[:2]


def _moves(text: str) -> Iterator[DescribedMove]:
    """Moves in notation and spoken ones, in the order of the text; a number counts on until the next one."""
    ply: int | None = None
    for spot, words, spoken in sorted(_pieces(text)):
        del spot
        if spoken is None and (number := _NUMBER.match(words)):
            ply = 2 * (int(number[1]) - 1) + (len(number[2]) > 1 or number[2] == "…")
            words = words[number.end() :]
            if not words:
                continue
        move = spoken_move(words, ply) if spoken else written_move(words, ply)
        if move is not None:
            yield move
            ply = None if ply is None else ply + 1
        elif not take_apart(words).core and words.startswith((".", "…")) and len(words) > 1:
            ply = None  # "...": something was left out


def _pieces(text: str) -> Iterator[tuple[int, str, bool | None]]:
    spoken = list(_SPOKEN.finditer(text))
    for match in spoken:
        yield match.start(), match[0], True
    for match in re.finditer(r"\S+", text):
        if not any(s.start() <= match.start() < s.end() for s in spoken):
            yield match.start(), match[0], None


def spoken_move(words: str, ply: int | None = None) -> DescribedMove | None:
    """A move as said: "knight d4", "queen takes e5", "castles queenside"; None where the words are none."""
    match = _SPOKEN.fullmatch(words.strip())
    if match is None:
        return None
    if not match["piece"]:
        long = (match["side"] or "").lower() in ("queenside", "long")
        return DescribedMove(words, chess.KING, chess.C1 if long else chess.G1, None, ply, castling=True)
    takes = True if match["takes"] else None
    return DescribedMove(words, _PIECES[match["piece"].lower()], chess.parse_square(match["to"]), takes, ply)

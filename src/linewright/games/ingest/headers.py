"""A game's tag pairs: read, decoded and tidied."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final
from unicodedata import combining, normalize

from linewright.talk.decode import unsteered

#: One tag pair on one line; lenient about quotation marks inside the value.
_TAG: Final = re.compile(r'\[\s*([A-Za-z0-9_-]+)\s+"(.*?)"\s*(?:\]|$)', re.MULTILINE)
_ESCAPE: Final = re.compile(r"\\([\"\\])")
_TO_ESCAPE: Final = re.compile(r'["\\]')
_YEAR: Final = re.compile(r"\s*(\d{4})\b")

#: White's half-points by result (PGN standard 8.1.1.7).
HALF_POINTS: Final = {"1-0": 2, "1/2-1/2": 1, "0-1": 0}

#: Other ways in which results are found written (common practice), after :data:`_RESULT_SIGNS`.
_SPELLED_RESULTS: Final = {
    "1/2": "1/2-1/2", "0.5-0.5": "1/2-1/2", "=-=": "1/2-1/2", "=": "1/2-1/2",
    "1-0F": "1-0", "0-1F": "0-1", "+--": "1-0", "--+": "0-1",
}  # fmt: skip
_RESULT_SIGNS: Final = str.maketrans({":": "-", "–": "-", "−": "-", "½": "1/2", " ": None, "f": "F"})

_RATING: Final = re.compile(r"([0-9]{3,4})(?:\.0+)?[Pp?]?")
_DATE_PARTS: Final = re.compile(r"[./\s-]+")
_FOUR: Final = re.compile(r"[0-9]{4}")

#: Ratings outside are typing errors or placeholders (common practice: federations list from 1000 or 1400 up,
#: engines reach some 3900).
LOWEST_RATING, HIGHEST_RATING = 100, 4000

#: The first year taken as a year: the oldest recorded game of the modern rules (Valencia, about 1475).
FIRST_YEAR: Final = 1475


@dataclass(frozen=True, slots=True)
class Tags:
    """What the base keeps of a game's tags.

    :param half_points: White's, 0-2; None where the result is unknown.
    :param time_control: as the PGN standard's section 9.6.1 writes it, empty where unknown.
    :param others: all further tag pairs, one a line, as PGN writes them.
    :param apart: why the game is no ordinary one: ``("set-up" or "variant", the words of the tag)``.
    """

    white: str
    black: str
    white_rating: int | None
    black_rating: int | None
    date: str
    year: int | None
    half_points: int | None
    event: str
    site: str
    round: str
    eco: str
    time_control: str
    others: str
    apart: tuple[str, str] | None


#: Tags with a place of their own in :class:`Tags`, and the setting-up ones, which say nothing of an ordinary game.
_KEPT: Final = frozenset(
    "Event Site Date Round White Black Result WhiteElo BlackElo ECO TimeControl FEN SetUp Variant".split()
)


def tag_lines(pairs: dict[str, str]) -> str:
    """Tag pairs as PGN writes them, one a line (PGN standard, section 8.1)."""
    return "\n".join('[{} "{}"]'.format(name, _TO_ESCAPE.sub(r"\\\g<0>", value)) for name, value in pairs.items())


def decode(data: bytes) -> str:
    """Tags are UTF-8 or Latin-1 (the PGN standard's own); a text that is sound UTF-8 is taken as such."""
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def read_tags(text: str) -> Tags:
    """Read the tag pairs of one game; what is missing or ``?`` comes out empty, never as an error."""
    pairs = dict(_TAG.findall(unsteered(text)))
    if "\\" in text:
        pairs = {name: _ESCAPE.sub(r"\1", value) for name, value in pairs.items()}
    date = clean_date(pairs.get("Date", ""))
    return Tags(
        white=known(pairs.get("White", "")),
        black=known(pairs.get("Black", "")),
        white_rating=rating(pairs.get("WhiteElo", "")),
        black_rating=rating(pairs.get("BlackElo", "")),
        date=date,
        year=year(date),
        half_points=half_points(pairs.get("Result", "")),
        event=known(pairs.get("Event", "")),
        site=known(pairs.get("Site", "")),
        round=known(pairs.get("Round", "")),
        eco=known(pairs.get("ECO", "")),
        time_control=known(pairs.get("TimeControl", "")),
        others=tag_lines({name: value for name, value in pairs.items() if name not in _KEPT}) if pairs else "",
        apart=_apart(pairs),
    )


#: The start position as a FEN tag may name it; such a game is an ordinary one.
_START_PLACEMENT: Final = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq -"


def _apart(pairs: dict[str, str]) -> tuple[str, str] | None:
    if not ("Variant" in pairs or "FEN" in pairs or "SetUp" in pairs):
        return None
    variant = pairs.get("Variant", "").strip()
    if variant.lower() not in ("", "standard", "normal", "chess"):
        return "variant", f'Variant "{variant}"'
    fen = " ".join(pairs.get("FEN", "").split())
    if fen and not fen.startswith(_START_PLACEMENT):
        return "set-up", f'FEN "{fen}"'
    if not fen and pairs.get("SetUp", "").strip() == "1":
        return "set-up", 'SetUp "1" without a FEN'
    return None


@lru_cache(maxsize=1 << 16)
def known(value: str) -> str:
    """A text without spare spaces; empty where it only says that it is unknown."""
    value = " ".join(value.split())
    return "" if value in ("?", "-") else value


@lru_cache(maxsize=1 << 13)
def rating(value: str) -> int | None:
    """A rating as federations write it, also marked as provisional (``1500P``); None for what can't be one."""
    match = _RATING.fullmatch(value.strip())
    number = int(match[1]) if match else 0
    return number if LOWEST_RATING <= number <= HIGHEST_RATING else None


def half_points(result: str) -> int | None:
    """White's half-points by a result tag, also by one that isn't quite the standard's; None where unknown."""
    plain = result.strip().translate(_RESULT_SIGNS)
    return HALF_POINTS.get(_SPELLED_RESULTS.get(plain, plain))


@lru_cache(maxsize=1 << 14)
def clean_date(text: str) -> str:
    """A date as the PGN standard (8.1.1.3) writes it, ``YYYY.MM.DD`` with ``?`` for what is unknown.

    Other separators, missing zeros, missing parts and the day first are put right where there is only one way
    to understand them; otherwise only the year is kept. What is no date is unknown.
    """
    parts = [part.strip() for part in _DATE_PARTS.split(text.strip())]
    if len(parts) == 3 and len(parts[2]) == 4 and len(parts[0]) <= 2:  # the year last
        first, second = _number(parts[0], 31), _number(parts[1], 31)
        # 3/4/2020 is the 3rd of April to some and the 4th of March to others; 3.4.2020 is only the first.
        if first is None or second is None or ("/" in text and first <= 12 and second <= 12 and first != second):
            first = second = None
        elif second > 12:
            first, second = second, first
        parts = [parts[2], str(second or "??"), str(first or "??")]
    if not _FOUR.fullmatch(parts[0]):
        return "????.??.??"
    month = _number(parts[1], 12) if len(parts) > 1 else None
    day = _number(parts[2], 31) if len(parts) > 2 and month else None
    return f"{parts[0]}.{f'{month:02}' if month else '??'}.{f'{day:02}' if day else '??'}"


def _number(text: str, most: int) -> int | None:
    number = int(text) if text.isascii() and text.isdigit() and len(text) <= 2 else 0
    return number if 1 <= number <= most else None


@lru_cache(maxsize=1 << 14)
def year(date: str) -> int | None:
    """The year of a PGN date (``YYYY.MM.DD``, unknown parts ``??``)."""
    match = _YEAR.match(date)
    number = int(match[1]) if match and match[1].isascii() else 0
    return number if FIRST_YEAR <= number <= 2999 else None


@lru_cache(maxsize=1 << 16)
def plain_name(name: str) -> str:
    """A name without accents, capitals, full stops and spare spaces, for finding duplicates."""
    letters = "".join(c for c in normalize("NFKD", name) if not combining(c)).casefold()
    return " ".join(letters.replace(".", " ").replace(",", " , ").split())

"""Tokens: a talk's words taken apart for reading, with the punctuation around them kept as flags."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from linewright.talk.model import Talk

#: Written punctuation that ends a sentence; a comma, colon or dash only pauses.
_STOPS = set(".?!;…")
_PAUSES = set(',:–—-)("“”')

#: Said while thinking; they mean nothing.
FILLERS = frozenset("um uh er erm uhm ah mm hmm eh".split())
#: Words that are said twice in earnest: "takes, takes", "castles, castles", "back, back".
REPEATED = frozenset(
    "takes take captures capture castles castle back check munch chop snap grabs exchange exchanges trade trades swap "
    "swaps recaptures no yes very it b c d".split()
)

_EDGE = "\"'“”‘’«»()[]{}<>,.;:?!…*_`~–—-"
_NUMBER = re.compile(r"^(\d{1,3})\s*(\.{1,3}|…|\.…)(?=.)(?![\d])")
_NUMBER_ONLY = re.compile(r"^(\d{1,3})(\.{1,3}|…)$")
#: Written moves keep their hyphens and signs: castling, long notation, figurines.
_WRITTEN = re.compile(
    r"^(?:[O0o][-–−‑][O0o](?:[-–−‑][O0o])?|[KQRBNP♔-♟]?[a-h][1-8][-–x×:]?[KQRBN♔-♟]?[a-h][1-8](?:=?[QRBNqrbn♔-♟])?)"
    r"[+#†‡]*[!?]*$"
)
#: Words that captions run together: a piece with its square ("rookd1", "nightsee3"), a letter with its figure ("sea4",
#: "ethree"), two pawns' moves ("e4e5", "d45"). Ordinary words that look so ("done", "height") have "one" or "eight".
_FIGURE = r"[1-8]|two|three|four|five|six|seven"
_LETTER = r"see|sea|bee|be|dee|he|gee|tea|pea|pee|tee"
_GLUED_PIECE = re.compile(
    rf"(knight|night|bishop|rook|queen|king|pawn)(takes)?((?:[a-h]|[ptvzsx](?=[1-8])|{_LETTER})(?:{_FIGURE}|eight|one)|{_LETTER})?",
    re.IGNORECASE,
)
_GLUED_SQUARE = re.compile(rf"([a-h]|{_LETTER})({_FIGURE})", re.IGNORECASE)
_BISHOP = re.compile(r"be[1-8]", re.IGNORECASE)
_GLUED_MOVES = re.compile(r"([a-h][3-6])([a-h][3-6])|([a-h])(4)([56])", re.IGNORECASE)
_NAG = {"!": 1, "?": 2, "!!": 3, "??": 4, "!?": 5, "?!": 6}
_SIGN = re.compile(r"[!?]{1,2}")


@dataclass(frozen=True, slots=True)
class Token:
    """A word, or a part of one, as the reader looks at it.

    :param text: lower case, bare of punctuation.
    :param raw: bare of punctuation, case kept (``Bd7`` is not ``bd7``).
    :param word: index of its word in the talk.
    :param stop: a sentence ends after it.
    :param pause: a comma, colon or dash stands after it.
    :param number: move number and side written with it: ``(4, False)`` for ``4...``, else None.
    :param nag: number of the annotation sign written with it (``!`` 1 … ``?!`` 6), else None.
    :param heading: level of its heading, 0 outside headings.
    :param paragraph: index of its paragraph.
    """

    text: str
    raw: str
    word: int
    stop: bool = False
    pause: bool = False
    number: tuple[int, bool] | None = None
    nag: int | None = None
    heading: int = 0
    paragraph: int = 0
    confidence: float | None = None


def tokens(talk: Talk) -> tuple[Token, ...]:
    """Every token of the talk, in order; a word may give several (``half-open``) or none (a lone dash)."""
    out: list[Token] = []
    pending: tuple[int, bool] | None = None
    for index, word in enumerate(talk.words):
        text = word.text.replace("’", "'").replace("‘", "'")
        alone = _NUMBER_ONLY.match(text.strip("()[],"))
        if alone:
            pending = (int(alone[1]), alone[2] == ".")
            continue
        ends_heading = word.heading != 0 and (
            index + 1 == len(talk.words) or talk.words[index + 1].heading != word.heading
        )
        ends_paragraph = index + 1 < len(talk.words) and talk.words[index + 1].paragraph != word.paragraph
        parts, number, nag, stop, pause = _split(text)
        for place, part in enumerate(parts):
            last = place == len(parts) - 1
            out.append(
                Token(
                    part.lower(),
                    part,
                    index,
                    last and (stop or ends_heading or ends_paragraph),
                    last and pause,
                    (number or pending) if place == 0 else None,
                    nag if last else None,
                    word.heading,
                    word.paragraph,
                    word.confidence,
                )
            )
            pending = None
        if not parts and out and (stop or pause):
            out[-1] = replace(out[-1], stop=out[-1].stop or stop, pause=out[-1].pause or pause)
    return tuple(_without_stutters(out))


def _without_stutters(tokens: list[Token]) -> list[Token]:
    """Tokens without fillers and false starts: "um", "bishop, bishop c4", "knight e, e2"."""
    kept: list[Token] = []
    for token in tokens:
        if token.text in FILLERS:
            if kept:  # a sentence may end with a filler; the speaker only pauses before one within it
                last = kept[-1]
                kept[-1] = replace(last, stop=last.stop or token.stop, pause=last.pause and token.stop)
            continue
        if kept and _stutters(kept[-1], token):
            kept.pop()
        kept.append(token)
    return kept


def _stutters(one: Token, two: Token) -> bool:
    """The second token begins again what the first began."""
    if one.stop or not one.text or one.number is not None:
        return False
    square = len(two.text) == 2 and two.text[1].isdigit()
    if one.pause and square and one.text == two.text[0]:
        return True
    return one.text == two.text and one.text.isalpha() and one.text not in REPEATED


def _split(text: str) -> tuple[list[str], tuple[int, bool] | None, int | None, bool, bool]:
    """Parts of a word, the move number before it, its annotation sign, and whether it stops or pauses."""
    body = text.lstrip("\"'“”‘«»()[]{}<*_`~")
    number = None
    match = _NUMBER.match(body)
    if match:
        number = (int(match[1]), match[2] == ".")
        body = body[match.end() :].lstrip(".… ")
    core = body.rstrip(_EDGE)
    tail = body[len(core) :]
    core = core.lstrip(_EDGE)
    nag = None
    sign = _SIGN.match(tail)
    if sign and re.search(r"[a-h][1-8]|O$|0$", core):
        nag = _NAG.get(sign[0])
        tail = tail[sign.end() :]
    stop = bool(set(tail) & _STOPS)
    pause = bool(set(tail) & _PAUSES) or (text != "" and set(text) <= _PAUSES)
    if not core:
        return [], number, nag, stop, pause
    glued = _unglue(core)
    if glued:
        return glued, number, nag, stop, pause
    if _WRITTEN.match(core):
        return [core], number, nag, stop, pause
    parts = [p for p in re.split(r"[-–—/]+|\.{2,}|…", core) if p.strip(_EDGE)]
    return [p.strip(_EDGE.replace("'", "")) for p in parts], number, nag, stop, pause


def _unglue(word: str) -> list[str]:
    """The parts of a word that captions have run together, [] for every other word.

    >>> _unglue("rookd1"), _unglue("nightsee3"), _unglue("ethree"), _unglue("d45"), _unglue("e4c5"), _unglue("e4")
    (['rook', 'd1'], ['night', 'see', '3'], ['e', 'three'], ['d4', 'd5'], ['e4', 'c5'], [])
    """
    piece = _GLUED_PIECE.fullmatch(word)
    if piece and (piece[2] or piece[3]):
        return [p for p in (piece[1], piece[2]) if p] + (_unglue(piece[3]) or [piece[3]] if piece[3] else [])
    square = _GLUED_SQUARE.fullmatch(word)
    if square and len(word) > 2 and not _BISHOP.fullmatch(word):
        return [square[1], square[2]]
    moves = _GLUED_MOVES.fullmatch(word)
    if moves:
        return [moves[1], moves[2]] if moves[1] else [moves[3] + moves[4], moves[3] + moves[5]]
    return []

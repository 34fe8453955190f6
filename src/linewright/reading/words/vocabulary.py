"""The vocabulary of spoken moves: what each word may mean on a board, in one language."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from linewright.language.numbers import figures
from linewright.language.tables import ENGLISH, Language

LETTERS = frozenset("abcdefgh")
DIGITS = frozenset("12345678")
#: Kinds of words that a move's description is made of, as ``moves.toml`` lists them; ``takes`` and ``take`` are both
#: captures, which the value tells apart.
KINDS = "takes take took castles castled link on verb puts det other back with fill check mate promotes".split()
#: Nats for a plural where one piece moves, and for a small letter that is an article far more often than a file.
PLURAL = 1.0
ARTICLE = 0.5
ARTICLE_ALONE = 2.0


@dataclass(frozen=True, eq=False)
class BoardVocabulary:
    """What words mean on a board.

    :param kinds: for each word the kinds of lattice edges that it may be, with their values, in the order of ``KINDS``.
    :param pieces: letter by name, plurals too; ``plurals`` these alone.
    :param letters: letter of a piece by the one said for it: "b g5".
    :param wings: castling's side by its word, ``wing_words`` by the first of two, ``wing_nouns`` the second, and
        ``wing_adjectives`` before "castles".
    :param figures: ``"4"`` by "four".
    :param barriers: words that a move's description doesn't run over.
    :param article: letters of files that are small words too.
    :param misheard_pieces: words that are pieces more often than not where a file and a square follow: "night b d7".
    :param for_check: words misheard or borrowed for "check" right after a move.
    :param before_check: small words between the two.
    :param castles: castling said as a move of its own, in the third person or as a noun.
    :param to_square: small words just before a square that a move goes to.
    :param ends_move: words that a move without a square ends with.
    """

    kinds: dict[str, tuple[tuple[str, str], ...]]
    pieces: dict[str, str]
    plurals: frozenset[str]
    letters: dict[str, str]
    wings: dict[str, str]
    wing_words: dict[str, str]
    wing_nouns: frozenset[str]
    wing_adjectives: dict[str, str]
    figures: dict[str, str]
    barriers: frozenset[str]
    article: frozenset[str]
    misheard_pieces: frozenset[str]
    for_check: frozenset[str]
    before_check: frozenset[str]
    castles: frozenset[str]
    to_square: frozenset[str]
    ends_move: frozenset[str]

    def is_kind(self, word: str, *kinds: str) -> bool:
        """The word may be of one of these kinds."""
        return any(kind in kinds for kind, _ in self.kinds.get(word, ()))

    def meanings(self, word: str, raw: str) -> list[tuple[str, str, float]]:
        """(kind, value, nats) of one word as it stands."""
        out = [(kind, value, 0.0) for kind, value in self.kinds.get(word, ())]
        if word in self.pieces:
            out.append(("piece", self.pieces[word], PLURAL if word in self.plurals else 0.0))
        if word in self.wings:
            out.append(("side", self.wings[word], 0.0))
        if word in LETTERS:
            out.append(("file", word, ARTICLE_ALONE if word in self.article and raw == word else 0.0))
        if word in DIGITS:
            out.append(("rank", word, 0.0))
        return out


@cache
def vocabulary(language: Language = ENGLISH) -> BoardVocabulary:
    """The vocabulary of a language."""
    moves, pieces, sides = language.table("moves"), language.table("pieces"), language.table("sides")
    misheard = language.table("sound_alikes")
    kinds: dict[str, tuple[tuple[str, str], ...]] = {}
    for kind in KINDS:
        for word in moves.listed(kind):
            meant = ("takes", kind) if kind in ("takes", "take") else (kind, "")
            if meant not in kinds.get(word, ()):
                kinds[word] = (*kinds.get(word, ()), meant)
    plurals = pieces.sorted_out("plurals")
    return BoardVocabulary(
        kinds,
        pieces.sorted_out("names") | plurals,
        frozenset(plurals),
        pieces.sorted_out("letters"),
        sides.sorted_out("wings"),
        sides.sorted_out("wing_words"),
        sides.words("wing_nouns"),
        sides.sorted_out("wing_adjectives"),
        {word: figure for word, figure in figures(language).items() if figure in DIGITS},
        moves.words("barriers"),
        moves.words("article"),
        misheard.words("pieces_before_square"),
        misheard.words("for_check"),
        moves.words("before_check"),
        moves.words("castles") - moves.words("castle"),
        moves.words("to_square"),
        moves.words("ends_move"),
    )


#: A square, alone or with what a written move has around it; what a spoken "check" may come after.
NOTED = re.compile(r"[a-h][1-8][+#]?|[nbrqk]?[a-h]?x?[a-h][1-8][+#]?")


def is_square(text: str) -> bool:
    """The word is a square as it stands."""
    return len(text) == 2 and text[0] in LETTERS and text[1] in DIGITS

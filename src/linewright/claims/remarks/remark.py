"""Remarks: words that plainly speak of what a board or a base can tell, in a way that no other finder reads.

A trainer has more ways to say that a king is unsafe than any list has. Where a clause states something and holds the
trade's words for one kind, or likely claims something (``remark_classifier.py``), it is taken as a claim and left
undecided, with what the position shows of that kind beside it: never called true or false. Other finders go first; a
remark is only what they leave.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Final

import chess

from linewright.board.feature import Topic
from linewright.board.summary import show
from linewright.claims.claim_kind import AnyKind, ClaimKind, Facts, Found
from linewright.claims.kinds.moves.transposition import catalogued
from linewright.claims.kinds.pawns.open_closed_files import describe_files
from linewright.claims.kinds.pieces import material_count, pieces_out
from linewright.claims.remarks.remark_classifier import NAME, TAKEN, classify, spaced, vocabulary
from linewright.claims.rulings import Ruling, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.evidence import Count, Ordinal, Percent, Row, plain, together, why
from linewright.language.wordings import word_set
from linewright.lesson.finding import Kind

#: A clause shorter than this claims nothing by itself ("and open", "the king").
LEAST_WORDS = 3
#: Two parts of a sentence are taken together up to this length.
MOST_WORDS = 20
#: So many features of a position are shown beside a remark.
MOST_SHOWN = 4


def remarks(sentence: Sentence, scene: Scene) -> Iterator[tuple[AnyKind, Found[None]]]:
    """The remarks of a sentence, of all kinds at once: each stretch is looked at once."""
    if sentence.asked:
        return
    done: dict[Kind, int] = {}
    for clause in stretches(sentence, scene):
        kind = _spoken_of(sentence, clause, scene.language)
        if kind is None or clause[0] < done.get(kind, 0):
            continue
        said_as = mood(scene, sentence, clause, clause)
        if said_as.unreal:
            continue
        done[kind] = clause[1]
        yield _BY_KIND[kind], Found(None, *clause, scene.step_at(sentence.tokens[clause[0]].first), said_as)


def _find(kind: Kind) -> Callable[[Sentence, Scene], Iterator[Found[None]]]:
    """The finder of one kind of remark."""
    return lambda sentence, scene: (found for one, found in remarks(sentence, scene) if one.kind is kind)


def _spoken_of(sentence: Sentence, clause: tuple[int, int], language: str) -> Kind | None:
    """The kind that a clause plainly speaks of by the trade's words, the likeliest of several; else the one that it
    likely does."""
    words = tuple(token.text for token in sentence.tokens[slice(*clause)])
    return _kind(words, clause[0] == 0, clause[1] == len(sentence.tokens), language)


@lru_cache(maxsize=4096)
def _kind(words: tuple[str, ...], starts: bool, ends: bool, language: str) -> Kind | None:
    text, known = spaced(words), vocabulary(language)
    plainly = known.plainly(text)
    if not plainly and known.holds("nothing", text):
        return None
    found = classify(words, starts, ends, language)
    if plainly:
        return next((kind for kind in found.kinds if kind in plainly), plainly[0])
    if found.odds <= TAKEN:
        return None
    kind = found.kinds[0]
    return None if kind is Kind.QUOTE and not known.holds("of a game", text) else kind


def stretches(sentence: Sentence, scene: Scene) -> Iterator[tuple[int, int]]:
    """The stretches of a sentence that may be a remark, as half-open ranges of tokens: its parts without the moves they
    play, each alone and then with the next one where that goes on ("look at the h file, no pawn on it")."""
    parts, goes_on = sentence.parts, word_set(NAME, "goes_on", scene.language)
    for n, part in enumerate(parts):
        joined = [part]
        if n + 1 < len(parts) and parts[n + 1][1] - part[0] <= MOST_WORDS:
            joined += [(part[0], parts[n + 1][1])] if sentence.tokens[parts[n + 1][0]].text in goes_on else []
        for stretch in joined:
            clause = _without_moves(scene, sentence, scene.clause(sentence, stretch))
            if clause[1] - clause[0] >= LEAST_WORDS:
                yield clause


def _without_moves(scene: Scene, sentence: Sentence, clause: tuple[int, int]) -> tuple[int, int]:
    """The longest stretch of a clause in which no move is said."""
    cuts, start = [], clause[0]
    for n in range(clause[0], clause[1] + 1):
        if n == clause[1] or scene.names_move(sentence.tokens[n].first):
            cuts.append((start, n))
            start = n + 1
    return max(cuts, key=lambda cut: cut[1] - cut[0])


def _features_of(*topics: Topic) -> Callable[[None, Facts], Ruling | None]:
    """Undecided, with the weightiest features of the topics; nothing where the position shows none: then the words
    more likely speak of something else than of what isn't there."""

    def decide(_: None, facts: Facts) -> Ruling | None:
        features = [f for f in show(facts.board).all if f.topic in topics]
        features.sort(key=lambda feature: -feature.weight)
        return undecided(together(plain(f.words) for f in features[:MOST_SHOWN])) if features else None

    return decide


def _files(_: None, facts: Facts) -> Ruling:
    return undecided(describe_files(facts.board))


def _development(_: None, facts: Facts) -> Ruling:
    return undecided(pieces_out.describe_pieces_out(facts.board))


def _material(_: None, facts: Facts) -> Ruling:
    return undecided(material_count.describe_balance(facts.board, chess.WHITE))


def _assessment(_: None, facts: Facts) -> Ruling:
    verdict = facts.assessed
    if verdict is None or verdict.best is None:
        return undecided(why("engine.none"))
    return undecided(cite_verdict(verdict, facts.after))


def _frequency(_: None, facts: Facts) -> Ruling | None:
    replies = facts.replies
    if replies is None:
        return undecided(facts.why_none)
    if not replies.total:
        return undecided(why("frequency.no_games"))
    shown = (why("remarks.reply", move=r.san, share=Percent(r.share)) for r in replies.replies[:MOST_SHOWN])
    total = Count(replies.total, "game")
    return undecided(why("remarks.replies", total=total, where=facts.where, replies=Row(tuple(shown), by=", ")))


def _transposition(_: None, facts: Facts) -> Ruling | None:
    if facts.elsewhere:
        return undecided(why("remarks.same", line=facts.elsewhere[0]))
    names = catalogued(facts.board)
    return undecided(why("remarks.catalogued", name=names[0])) if names else None


def _repetition(_: None, facts: Facts) -> Ruling:
    return undecided(why("remarks.repetition", nth=Ordinal(facts.times)))


def _quote(_: None, facts: Facts) -> None:
    """Nothing can be shown of a game that can't be made out."""


def _remark(
    kind: Kind,
    decide: Callable[[None, Facts], Ruling | None],
    asks_base: bool = False,
    asks_engine: bool = False,
) -> AnyKind:
    return ClaimKind(kind, _find(kind), decide, asks_base, asks_engine, remark=True)


#: One kind of remark for each kind of claim, tried after all others.
REMARKS: Final[tuple[AnyKind, ...]] = (
    _remark(Kind.STRUCTURE, _features_of(Topic.PAWNS, Topic.STRUCTURE, Topic.SQUARES)),
    _remark(Kind.FILES, _files),
    _remark(Kind.DEVELOPMENT, _development),
    _remark(Kind.KING, _features_of(Topic.KING, Topic.DEVELOPMENT)),
    _remark(Kind.CENTRE, _features_of(Topic.CENTRE)),
    _remark(Kind.MATERIAL, _material),
    _remark(Kind.TACTIC, _features_of(Topic.TACTICS, Topic.THREATS)),
    _remark(Kind.ASSESSMENT, _assessment, asks_engine=True),
    _remark(Kind.FREQUENCY, _frequency, asks_base=True),
    _remark(Kind.TRANSPOSITION, _transposition),
    _remark(Kind.REPETITION, _repetition),
    _remark(Kind.QUOTE, _quote),
)
_BY_KIND: Final = {remark.kind: remark for remark in REMARKS}

"""Finding phrases: runs of words that describe a move; whether the move is legal is not judged here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.lattice_walk import LatticeWalk, WalkState
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.plain_kept import keep_plain
from linewright.reading.phrases.plain_words import PlainWords
from linewright.reading.words.tokens import Token
from linewright.reading.words.vocabulary import vocabulary
from linewright.reading.words.written import CASTLING, SAN

#: All in nats. "e5 knight f3" is two moves rather than a knight from e5; "the e5 knight" is one; a comma after the
#: square makes two moves of it all the more.
ORIGIN_UNSAID = 3.5
ORIGIN_PAUSE = 1.5
#: Squares that cost more than this are no origins, unless after "the": misheard ones would double the readings for
#: nothing.
ORIGIN_MISHEARD = 1.0
#: Heard words whose best phrase costs more than this are ordinary talk and begin no phrase: "he takes" is seldom
#: "e takes", and as a phrase it would keep "takes" from being read.
FAR_FETCHED = 3.5
#: A small word before the piece ("the knight f3"), and how many tokens these may take.
DETERMINER = 0.05
MOST_DETERMINERS = 3
#: Castling by "goes long", which a rook does too, and by "tucks the king away".
GOES_LONG = 0.5
TUCKED = 0.3
#: A piece's move with the piece left out ("back to d8").
PIECE_LEFT_OUT = 0.5
#: A pawn chosen by its file alone ("the b pawn"), and one that takes named by its square ("d5 takes e4").
PAWN_CHOSEN = 1.5
TAKES_FROM = 0.7
#: A rank between piece and square ("rook 1 to e2"), which may be a figure too many.
RANK_SAID = 0.5
#: A file before a square as the pawn's that takes ("bd4"): mostly it is a piece's origin or a stammer.
FILE_TAKES = 1.0
#: What is taken said without its square ("takes the knight"): it may speak of another capture.
VICTIM = 0.2
#: "With the knight" as the whole of a move, and "check".
WITH_ALONE = 2.0
CHECK_ALONE = 2.5

__all__ = ["Phrase", "PhraseFinder"]


class PhraseFinder(LatticeWalk):
    """Finds the phrases that begin at each token of a talk."""

    def __init__(self, tokens: Sequence[Token], heard: bool, language: Language = ENGLISH) -> None:
        super().__init__(tokens, heard, language)
        self.plain = PlainWords(tokens, self.lattice, heard, language)
        self.wing_adjectives = vocabulary(language).wing_adjectives

    def all(self) -> list[list[Phrase]]:
        """``result[i]``: the distinct phrases that begin at token ``i``, longest first."""
        named = [self.at(i) for i in range(len(self.tokens))]
        return [self._with_plain(index, named) for index in range(len(self.tokens))]

    def _with_plain(self, index: int, named: Sequence[list[Phrase]]) -> list[Phrase]:
        """The phrases that begin at a token, those in plain words among them."""
        best: dict[tuple[object, ...], Phrase] = {}
        for phrase in keep_plain(list(self.plain.at(index)), named, self.tokens, self.language):
            key = (phrase.last, phrase.deed, phrase.piece, phrase.from_file, phrase.to, phrase.past)
            if key not in best or phrase.cost < best[key].cost:
                best[key] = phrase
        if not best:
            return named[index]
        return sorted([*named[index], *best.values()], key=lambda p: (-p.last, p.cost))

    def at(self, index: int) -> list[Phrase]:
        best: dict[tuple[object, ...], Phrase] = {}
        for phrase in self._matches(index):
            token = self.tokens[index]
            done = replace(phrase, number=token.number, nag=self.tokens[phrase.last - 1].nag)
            key = (
                done.last, done.piece, done.to, done.from_file, done.from_rank, done.takes, done.victim,
                done.castles, done.promotion, done.check, done.past, done.kind == "agent",
            )  # fmt: skip
            if key not in best or done.cost < best[key].cost:
                best[key] = done
        if self.heard and min((p.cost for p in best.values()), default=0.0) > FAR_FETCHED:
            return []
        return sorted(best.values(), key=lambda p: (-p.last, p.cost))

    def _matches(self, index: int) -> Iterator[Phrase]:
        start = WalkState(index, Phrase(index, index, ""))
        yield from self._written(start)
        yield from self._castling(start)
        yield from self._piece(start)
        yield from self._square(start)
        yield from self._moved_to(start)
        yield from self._takes(start)
        yield from self._check_alone(start)

    # -- patterns ---------------------------------------------------------------------------------------

    def _written(self, start: WalkState) -> Iterator[Phrase]:
        """``Nf3``, ``cxd5``, ``Ng1-f3``, ``e8=Q``, ``O-O``."""
        for edge, _ in self.edges(start, "san", "castling"):
            state = self.step(start, edge, 0.0, kind="san", written=True)
            raw = self.tokens[edge.end - 1].raw
            if edge.kind == "castling":
                match = CASTLING.match(raw)
                check = bool(match and match["check"])
                yield from self.checks(replace(state, phrase=replace(state.phrase, castles=edge.value, check=check)))
                continue
            san = SAN.match(edge.value)
            if san is None:
                continue
            signs = san["check"] or ""
            phrase = replace(
                state.phrase,
                piece=san["piece"] or "P",
                to=san["to"],
                from_file=san["file"] or "",
                from_rank=san["rank"] or "",
                takes=(san["sep"] or "") in ("x", "×", ":") and bool(san["sep"]),
                promotion=(san["promotion"] or "").upper(),
                check=bool(signs),
                mate="#" in signs or "‡" in signs,
            )
            if san["file"] and san["rank"] and not san["piece"]:
                phrase = replace(phrase, piece="")  # e2-e4, g1f3: long notation may leave the piece out
            yield from self.checks(replace(state, phrase=phrase))

    def _castling(self, start: WalkState) -> Iterator[Phrase]:
        """ "castles", "castles kingside", "castles long", "goes long"."""
        for edge, _ in self.edges(start, "castles", "castled"):
            past = edge.kind == "castled"
            state = self.step(start, edge, 0.0, kind="castles", castles="?", past=past)
            yield from self.checks(state)
            for gap in self.gaps(state, "link", "on", "det", "fill"):
                for side, pause in self.edges(gap, "side"):
                    yield from self.checks(self.step(gap, side, pause, castles=side.value, on=False))
        yield from self._tucked(start)
        if self.tokens[start.at].text in self.words.goes:
            verb = self.word(start, GOES_LONG, kind="castles")
            for side, pause in self.edges(verb, "side"):
                if self.tokens[verb.at].text in self.wing_adjectives:
                    yield from self.checks(self.step(verb, side, pause, castles=side.value))

    def _tucked(self, start: WalkState) -> Iterator[Phrase]:
        """ "tucks the king in", "tuck the king away on the queenside"."""
        if self.tokens[start.at].text not in self.words.tucks:
            return
        verb = self.word(start, TUCKED, kind="castles")
        for det in self.gaps(verb, "det"):
            for edge, pause in self.edges(det, "piece"):
                if edge.value != "K":
                    continue
                king = self.step(det, edge, pause, castles="?")
                for away in self.gaps(king, "link", "on", "det"):
                    yield replace(away.phrase, on=False)
                    for side, more in self.edges(away, "side"):
                        yield self.step(away, side, more, castles=side.value, on=False).phrase

    def _moved_to(self, start: WalkState) -> Iterator[Phrase]:
        """A piece's move with the piece left out: "back to d8", "over to b3"."""
        if self.tokens[start.at].text not in self.words.sends:
            return
        for place in self.gaps(start, "link", "back", "on"):
            if place.at == start.at or self.tokens[place.at - 1].text not in self.words.sends_to:
                continue
            for edge, pause in self.edges(place, "square"):
                step = self.step(place, edge, pause + PIECE_LEFT_OUT, kind="to", to=edge.value, on=False)
                yield from self.checks(step)

    def _origins(self, start: WalkState) -> Iterator[WalkState]:
        """Before the piece: "the f knight", "the d5 knight", "the other knight", "a rook"."""
        yield start
        if start.at == start.phrase.first and self.tokens[start.at].text in self.words.no_beginning:
            return
        for det, pause in self.edges(start, "det", "other", "puts"):
            said: dict[str, object] = {}
            if det.kind == "other":
                said["other"] = True
            if det.kind == "puts":
                said["put"] = True
            state = self.step(start, det, DETERMINER + pause, **said)
            if state.at - start.phrase.first <= MOST_DETERMINERS:
                named = self.tokens[state.at - 1].text in self.words.articles
                yield from self._origins(replace(state, determined=named))
        for edge, pause in self.edges(start, "file"):
            yield self.step(start, edge, pause, from_file=edge.value)
        for edge, pause in self.edges(start, "square"):
            if edge.cost > ORIGIN_MISHEARD and not start.determined:
                continue
            cost = pause + (0.0 if start.determined else ORIGIN_UNSAID)
            cost += ORIGIN_PAUSE if self.tokens[start.at].pause else 0.0
            yield self.step(start, edge, cost, from_file=edge.value[0], from_rank=edge.value[1])

    def _piece(self, start: WalkState) -> Iterator[Phrase]:
        """A piece, perhaps its origin, perhaps "takes", and a square: "knight b d7", "queen takes h7, check"."""
        for origin in self._origins(start):
            for edge, pause in self.edges(origin, "piece"):
                state = self.step(origin, edge, pause, kind="piece", piece=edge.value)
                yield from self._after_piece(state)
            for edge, pause in self.edges(origin, "pieceto"):  # heard in one: "97" for "knight d7"
                piece, square = edge.value[0], edge.value[-2:]
                state = self.step(origin, edge, pause, kind="piece", piece=piece, to=square)
                if edge.value[1:-2]:
                    state = replace(state, phrase=replace(state.phrase, from_file=edge.value[1]))
                yield from self._promotions(state)
            for edge, pause in self.edges(origin, "piecefile"):
                if not origin.phrase.from_file:
                    state = self.step(origin, edge, pause, kind="piece", piece=edge.value[0], from_file=edge.value[1])
                    yield from self._to_square(state, gap=("link", "fill"))

    def _after_piece(self, state: WalkState) -> Iterator[Phrase]:
        phrase = state.phrase
        if phrase.piece == "P" and phrase.from_file:
            yield replace(phrase, kind="agent", takes=True, cost=phrase.cost + PAWN_CHOSEN)
        for near in self.gaps(state, "fill"):
            for edge, pause in self.edges(near, "takes", "took"):
                taking = self.step(near, edge, pause, takes=True, past=edge.kind == "took")
                yield from self._victims(taking)
            yield from self._to_square(near, gap=("link", "verb", "det", "fill", "back", "on", "any"))
            for edge, pause in self.edges(near, "file"):
                if not phrase.from_file:
                    filed = self.step(near, edge, pause, from_file=edge.value)
                    yield from self._to_square(filed, gap=("link", "fill"))
                    for take, more in self.edges(filed, "takes"):
                        yield from self._victims(self.step(filed, take, more, takes=True))
            for edge, pause in self.edges(near, "rank"):
                ranked = self.step(near, edge, pause + RANK_SAID, from_rank=edge.value)
                yield from self._to_square(ranked, gap=("link", "fill"))

    def _to_square(self, state: WalkState, gap: tuple[str, ...]) -> Iterator[Phrase]:
        for place in self.gaps(state, *gap):
            if place.unknown and self.tokens[place.at - 1].text not in self.words.reaches:
                continue
            for edge, pause in self.edges(place, "square"):
                yield from self._promotions(self.step(place, edge, pause, to=edge.value))
            for edge, pause in self.edges(place, "filesquare"):
                if not place.phrase.from_file:
                    step = self.step(place, edge, pause, to=edge.value[1:], from_file=edge.value[0])
                    yield from self.checks(step)

    def _promotions(self, state: WalkState) -> Iterator[Phrase]:
        yield from self.checks(state)
        if state.phrase.piece in ("", "P") and state.phrase.to[1:] in ("1", "8"):
            if self.text(state.at) in self.words.queens:
                yield from self.checks(self.word(state, 0.0, promotion="Q"))
            for gap in self.gaps(state, "promotes", "link", "det", "fill"):
                for edge, pause in self.edges(gap, "piece"):
                    if edge.value in "QRBN":
                        yield from self.checks(self.step(gap, edge, pause, promotion=edge.value))

    def _square(self, start: WalkState) -> Iterator[Phrase]:
        """A bare square: a pawn's move or, at a price, a piece's whose name is left out."""
        for edge, _ in self.edges(start, "square"):
            state = self.step(start, edge, 0.0, kind="square", to=edge.value)
            yield from self._promotions(state)
            for take, pause in self.edges(state, "takes"):
                pawn = self.step(state, take, pause + TAKES_FROM, takes=True, piece="", to="",
                                  from_file=edge.value[0], from_rank=edge.value[1])  # fmt: skip
                for phrase in self._victims(pawn):
                    if phrase.to:
                        yield phrase
        for edge, _ in self.edges(start, "filesquare"):
            if not self.heard:
                continue
            said = {"kind": "square", "from_file": edge.value[0], "to": edge.value[1:]}
            yield from self.checks(self.step(start, edge, FILE_TAKES, piece="P", takes=True, **said))
            yield from self.checks(self.step(start, edge, 0.0, **said))

    def _takes(self, start: WalkState) -> Iterator[Phrase]:
        """ "takes", "takes on d5", "e takes d5", "takes back with the c pawn"."""
        for edge, _ in self.edges(start, "takes", "took"):
            if edge.value == "take" and self.tokens[start.at].text in self.words.no_capture:
                continue
            state = self.step(start, edge, 0.0, kind="takes", takes=True, past=edge.kind == "took")
            yield from self._victims(state)
        for edge, _ in self.edges(start, "file"):
            filed = self.step(start, edge, 0.0, kind="takes", piece="P", from_file=edge.value)
            for take, pause in self.edges(filed, "takes", "took"):
                taking = self.step(filed, take, pause, takes=True, past=take.kind == "took")
                yield from self._victims(taking)
        for edge, _ in self.edges(start, "filetakes"):  # heard in one: "d8" for "d takes"
            yield from self._victims(
                self.step(start, edge, 0.0, kind="takes", piece="P", from_file=edge.value, takes=True)
            )
        if self.tokens[start.at].text in self.words.with_:
            yield from self._agents(self.word(start, WITH_ALONE, kind="agent", takes=True))

    def _victims(self, state: WalkState) -> Iterator[Phrase]:
        """After "takes": nothing, "back", "on d5", "d5", "the knight", "with the c pawn"."""
        yield from self.checks(state)
        yield from self._with(state)
        for place in self.gaps(state, "back", "on", "det", "fill", "link"):
            plain = replace(place, phrase=replace(place.phrase, on=False))
            if place.at != state.at and self.tokens[place.at - 1].text in self.words.back:
                yield from self.checks(plain)
                yield from self._with(plain)
            for edge, pause in self.edges(place, "square"):
                step = self.step(plain, edge, pause, to=edge.value)
                yield from self._promotions(step)
                yield from self._with(step)
            if self.tokens[place.at - 1].text in self.words.victims:
                for edge, pause in self.edges(place, "piece"):
                    if edge.value != "K":
                        step = self.step(plain, edge, pause + VICTIM, victim=edge.value)
                        yield from self.checks(step)
                        yield from self._with(step)
                        yield from self._victim_square(step)

    def _victim_square(self, state: WalkState) -> Iterator[Phrase]:
        """ "takes the pawn on d5", "takes knight d5"."""
        for place in self.gaps(state, "on"):
            for edge, pause in self.edges(place, "square"):
                step = self.step(place, edge, pause, to=edge.value, on=False)
                yield from self.checks(step)

    def _with(self, state: WalkState) -> Iterator[Phrase]:
        """ "… with the c pawn", "… with the knight"."""
        if state.phrase.piece and state.phrase.from_file:
            return
        for gap in self.gaps(state, "back", "fill"):
            for edge, pause in self.edges(gap, "with"):
                yield from self._agents(self.step(gap, edge, pause))

    def _agents(self, state: WalkState) -> Iterator[Phrase]:
        for det in self.gaps(state, "det", "fill", "other"):
            for edge, pause in self.edges(det, "piece"):
                yield from self.checks(self.step(det, edge, pause, piece=edge.value))
            for edge, pause in self.edges(det, "file", "square"):
                rank = edge.value[1:] if edge.kind == "square" else ""
                filed = self.step(det, edge, pause, from_file=edge.value[0], from_rank=rank)
                for piece, more in self.edges(filed, "piece"):
                    yield from self.checks(self.step(filed, piece, more, piece=piece.value))

    def _check_alone(self, start: WalkState) -> Iterator[Phrase]:
        """ "check" as the whole of a move: "knight a5, check, knight c6"."""
        for edge, _ in self.edges(start, "check", "mate"):
            mate = edge.kind == "mate"
            yield self.step(start, edge, CHECK_ALONE, kind="check", check=True, mate=mate).phrase

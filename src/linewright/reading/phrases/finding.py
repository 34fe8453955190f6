"""Finding phrases: runs of words that describe a move; whether the move is legal is not judged here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from linewright.reading.phrases.phrase import Phrase, chief
from linewright.reading.phrases.plain_words import PlainWords, keep_plain
from linewright.reading.words.tokens import Token
from linewright.reading.words.vocabulary import BARRIERS, CASTLING, SAN, Edge, lattice

#: A phrase may run over a comma ("queen a4, check") or, in captions, over a stray one ("knight, f6").
#: Costs in nats; a recogniser's commas say little, a typist's say much.
PAUSE_INSIDE = {True: 0.7, False: 2.5}
#: Each further word between a piece and its square ("the knight drops back to d2").
GAP_WORD = 0.15
MAX_GAP = 5
#: "e5 knight f3" is two moves rather than a knight from e5; "the e5 knight" is one.
ORIGIN_UNSAID = 3.5
#: Squares that cost more than this, in nats, are no origins, unless after "the": misheard ones would double the
#: readings for nothing.
ORIGIN_MISHEARD = 1.0
#: Heard words whose best phrase costs more than this, in nats, are ordinary talk and begin no phrase: "he takes" is
#: seldom "e takes", and as a phrase it would keep "takes" from being read.
FAR_FETCHED = 3.5
#: A word of no known meaning between a piece and its square ("the queen toddles back to c7").
ANY_WORD = 0.6
MAX_ANY = 2
#: Words that make a square after them the place a piece stands on: "the e5 knight". A verb never does: "plays e5,
#: knight takes" is two moves.
ARTICLES = frozenset("the his her my our your their that this white's black's other own".split())
#: Small words that a move's words don't begin with.
_NO_BEGINNING = frozenset("then now also again just simply first immediately quickly".split())
#: Verbs of resting: a knight that sits on a square isn't moved there.
_RESTS = frozenset("sits settles".split())
#: Words just before a square that let a description with words of no known meaning reach it.
_REACHES = frozenset("to on into onto at in over".split())

__all__ = ["Phrase", "PhraseFinder", "chief"]


@dataclass(frozen=True, slots=True)
class _State:
    """How far a pattern has matched."""

    at: int
    phrase: Phrase
    gap: int = 0
    unknown: int = 0
    flags: frozenset[str] = field(default_factory=frozenset)


class PhraseFinder:
    """Finds the phrases that begin at each token of a talk."""

    def __init__(self, tokens: Sequence[Token], heard: bool) -> None:
        self.tokens = tokens
        self.heard = heard
        self.lattice = lattice(tokens, heard)
        self.plain = PlainWords(tokens, self.lattice, heard)

    def all(self) -> list[list[Phrase]]:
        """``result[i]``: the distinct phrases that begin at token ``i``, longest first."""
        named = [self.at(i) for i in range(len(self.tokens))]
        return [self._with_plain(index, named) for index in range(len(self.tokens))]

    def _with_plain(self, index: int, named: Sequence[list[Phrase]]) -> list[Phrase]:
        """The phrases that begin at a token, those in plain words among them."""
        best: dict[tuple[object, ...], Phrase] = {}
        for phrase in keep_plain(list(self.plain.at(index)), named, self.tokens):
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
        start = _State(index, Phrase(index, index, ""))
        yield from self._written(start)
        yield from self._castling(start)
        yield from self._piece(start)
        yield from self._square(start)
        yield from self._moved_to(start)
        yield from self._takes(start)
        yield from self._check_alone(start)

    # -- steps over the lattice -------------------------------------------------------------------------

    def _edges(self, state: _State, *kinds: str) -> Iterator[tuple[Edge, float]]:
        """Edges of these kinds at the state's token, each with the cost of the punctuation before it."""
        if state.at >= len(self.tokens):
            return
        pause = 0.0
        if state.at > state.phrase.first:
            before = self.tokens[state.at - 1]
            if before.stop or self.tokens[state.at].heading != before.heading:
                return
            pause = PAUSE_INSIDE[self.heard] if before.pause else 0.0
        for edge in self.lattice[state.at]:
            if edge.kind in kinds:
                yield edge, pause

    def _step(self, state: _State, edge: Edge, cost: float, **said: object) -> _State:
        phrase = replace(
            state.phrase,
            last=edge.end,
            cost=state.phrase.cost + edge.cost + cost,
            **said,  # type: ignore[arg-type]
        )
        return _State(edge.end, phrase, state.gap, state.unknown, state.flags)

    def _gaps(self, state: _State, *kinds: str) -> Iterator[_State]:
        """The state itself and after skipping small words of these kinds."""
        yield state
        if state.gap >= MAX_GAP:
            return
        for edge, pause in self._edges(state, *kinds):
            cost = (0.02 if edge.kind == "fill" else GAP_WORD) + pause
            said: dict[str, object] = {}
            if edge.kind == "on":
                said["on"] = True
            if edge.kind == "other":
                said["other"] = True
            if edge.kind == "verb" and self.tokens[state.at].text not in _RESTS:
                said["put"] = True
            step = self._step(state, edge, cost, **said)
            yield from self._gaps(replace(step, gap=state.gap + 1), *kinds)
        if "any" in kinds:
            yield from self._over_unknown(state, kinds)

    def _over_unknown(self, state: _State, kinds: tuple[str, ...]) -> Iterator[_State]:
        """The state after one word that no pattern knows; only a few of them may be run over."""
        if state.unknown >= MAX_ANY or state.at >= len(self.tokens):
            return
        token, before = self.tokens[state.at], self.tokens[state.at - 1]
        plain = token.text.isalpha() and len(token.text) > 1 and token.text not in BARRIERS
        if before.stop or before.pause or not plain or self._meant(state.at):
            return
        step = self._step(state, Edge(state.at + 1, "any", ""), ANY_WORD)
        yield from self._gaps(replace(step, gap=state.gap + 1, unknown=state.unknown + 1), *kinds)

    def _meant(self, index: int) -> bool:
        """The word has a meaning of its own in a move's description."""
        return any(
            e.kind in ("piece", "takes", "took", "castles", "check", "mate", "file") and e.cost < 1.0
            for e in self.lattice[index]
        )

    def _checks(self, state: _State) -> Iterator[Phrase]:
        """The phrase as it is and with "check" or "mate" after it."""
        yield state.phrase
        if state.at and state.at < len(self.tokens):
            before = self.tokens[state.at - 1]
            if before.stop and not self.heard:
                return
            for skip in self._fillers(state.at):
                for edge in self.lattice[skip] if skip < len(self.tokens) else ():
                    if edge.kind in ("check", "mate"):
                        yield replace(
                            state.phrase,
                            last=edge.end,
                            check=True,
                            mate=edge.kind == "mate",
                            cost=state.phrase.cost + (0.3 if before.stop else 0.0),
                        )

    def _fillers(self, at: int) -> Iterator[int]:
        """``at`` and the places after "with", "and that's", "um" before a check."""
        yield at
        skipped = at
        while skipped < len(self.tokens) and skipped < at + 2:
            if self.tokens[skipped].text not in ("with", "and", "that's", "um", "uh", "is", "it's"):
                return
            skipped += 1
            yield skipped

    # -- patterns ---------------------------------------------------------------------------------------

    def _written(self, start: _State) -> Iterator[Phrase]:
        """``Nf3``, ``cxd5``, ``Ng1-f3``, ``e8=Q``, ``O-O``."""
        for edge, _ in self._edges(start, "san", "castling"):
            state = self._step(start, edge, 0.0, kind="san", written=True)
            raw = self.tokens[edge.end - 1].raw
            if edge.kind == "castling":
                match = CASTLING.match(raw)
                check = bool(match and match["check"])
                yield from self._checks(replace(state, phrase=replace(state.phrase, castles=edge.value, check=check)))
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
            yield from self._checks(replace(state, phrase=phrase))

    def _castling(self, start: _State) -> Iterator[Phrase]:
        """ "castles", "castles kingside", "castles long", "goes long"."""
        for edge, _ in self._edges(start, "castles", "castled"):
            past = edge.kind == "castled"
            state = self._step(start, edge, 0.0, kind="castles", castles="?", past=past)
            yield from self._checks(state)
            for gap in self._gaps(state, "link", "on", "det", "fill"):
                for side, pause in self._edges(gap, "side"):
                    yield from self._checks(self._step(gap, side, pause, castles=side.value, on=False))
        yield from self._tucked(start)
        if self.tokens[start.at].text in ("goes", "go"):
            verb = self._step(start, Edge(start.at + 1, "verb", ""), 0.5, kind="castles")
            for side, pause in self._edges(verb, "side"):
                if self.tokens[verb.at].text in ("long", "short"):
                    yield from self._checks(self._step(verb, side, pause, castles=side.value))

    def _tucked(self, start: _State) -> Iterator[Phrase]:
        """ "tucks the king in", "tuck the king away on the queenside"."""
        if self.tokens[start.at].text not in ("tuck", "tucks"):
            return
        verb = self._step(start, Edge(start.at + 1, "verb", ""), 0.3, kind="castles")
        for det in self._gaps(verb, "det"):
            for edge, pause in self._edges(det, "piece"):
                if edge.value != "K":
                    continue
                king = self._step(det, edge, pause, castles="?")
                for away in self._gaps(king, "link", "on", "det"):
                    yield replace(away.phrase, on=False)
                    for side, more in self._edges(away, "side"):
                        yield self._step(away, side, more, castles=side.value, on=False).phrase

    def _moved_to(self, start: _State) -> Iterator[Phrase]:
        """A piece's move with the piece left out: "back to d8", "over to b3"."""
        if self.tokens[start.at].text not in _REACHES | {"back", "over", "out", "home", "down", "across"}:
            return
        for place in self._gaps(start, "link", "back", "on"):
            if place.at == start.at or self.tokens[place.at - 1].text not in ("to", "into"):
                continue
            for edge, pause in self._edges(place, "square"):
                step = self._step(place, edge, pause + 0.5, kind="to", to=edge.value, on=False)
                yield from self._checks(step)

    def _origins(self, start: _State) -> Iterator[_State]:
        """Before the piece: "the f knight", "the d5 knight", "the other knight", "a rook"."""
        yield start
        if start.at == start.phrase.first and self.tokens[start.at].text in _NO_BEGINNING:
            return
        for det, pause in self._edges(start, "det", "other", "puts"):
            said: dict[str, object] = {}
            if det.kind == "other":
                said["other"] = True
            if det.kind == "puts":
                said["put"] = True
            state = self._step(start, det, 0.05 + pause, **said)
            if state.at - start.phrase.first <= 3:
                named = self.tokens[state.at - 1].text in ARTICLES
                yield from self._origins(replace(state, flags=frozenset({"det"} if named else ())))
        for edge, pause in self._edges(start, "file"):
            yield self._step(start, edge, pause, from_file=edge.value)
        for edge, pause in self._edges(start, "square"):
            if edge.cost > ORIGIN_MISHEARD and "det" not in start.flags:
                continue
            cost = (
                pause + (0.0 if "det" in start.flags else ORIGIN_UNSAID) + (1.5 if self.tokens[start.at].pause else 0.0)
            )
            yield self._step(start, edge, cost, from_file=edge.value[0], from_rank=edge.value[1])

    def _piece(self, start: _State) -> Iterator[Phrase]:
        """A piece, perhaps its origin, perhaps "takes", and a square: "knight b d7", "queen takes h7, check"."""
        for origin in self._origins(start):
            for edge, pause in self._edges(origin, "piece"):
                state = self._step(origin, edge, pause, kind="piece", piece=edge.value)
                yield from self._after_piece(state)
            for edge, pause in self._edges(origin, "pieceto"):  # heard in one: "97" for "knight d7"
                piece, square = edge.value[0], edge.value[-2:]
                state = self._step(origin, edge, pause, kind="piece", piece=piece, to=square)
                if edge.value[1:-2]:
                    state = replace(state, phrase=replace(state.phrase, from_file=edge.value[1]))
                yield from self._promotions(state)
            for edge, pause in self._edges(origin, "piecefile"):
                if not origin.phrase.from_file:
                    state = self._step(origin, edge, pause, kind="piece", piece=edge.value[0], from_file=edge.value[1])
                    yield from self._to_square(state, gap=("link", "fill"))

    def _after_piece(self, state: _State) -> Iterator[Phrase]:
        phrase = state.phrase
        if phrase.piece == "P" and phrase.from_file:
            yield replace(phrase, kind="agent", takes=True, cost=phrase.cost + 1.5)
        for near in self._gaps(state, "fill"):
            for edge, pause in self._edges(near, "takes", "took"):
                taking = self._step(near, edge, pause, takes=True, past=edge.kind == "took")
                yield from self._victims(taking)
            yield from self._to_square(near, gap=("link", "verb", "det", "fill", "back", "on", "any"))
            for edge, pause in self._edges(near, "file"):
                if not phrase.from_file:
                    filed = self._step(near, edge, pause, from_file=edge.value)
                    yield from self._to_square(filed, gap=("link", "fill"))
                    for take, more in self._edges(filed, "takes"):
                        yield from self._victims(self._step(filed, take, more, takes=True))
            for edge, pause in self._edges(near, "rank"):
                ranked = self._step(near, edge, pause + 0.5, from_rank=edge.value)
                yield from self._to_square(ranked, gap=("link", "fill"))

    def _to_square(self, state: _State, gap: tuple[str, ...]) -> Iterator[Phrase]:
        for place in self._gaps(state, *gap):
            if place.unknown and self.tokens[place.at - 1].text not in _REACHES:
                continue
            for edge, pause in self._edges(place, "square"):
                yield from self._promotions(self._step(place, edge, pause, to=edge.value))
            for edge, pause in self._edges(place, "filesquare"):
                if not place.phrase.from_file:
                    step = self._step(place, edge, pause, to=edge.value[1:], from_file=edge.value[0])
                    yield from self._checks(step)

    def _promotions(self, state: _State) -> Iterator[Phrase]:
        yield from self._checks(state)
        if state.phrase.piece in ("", "P") and state.phrase.to[1:] in ("1", "8"):
            if state.at < len(self.tokens) and self.tokens[state.at].text == "queens":
                queens = self._step(state, Edge(state.at + 1, "promotes", ""), 0.0, promotion="Q")
                yield from self._checks(queens)
            for gap in self._gaps(state, "promotes", "link", "det", "fill"):
                for edge, pause in self._edges(gap, "piece"):
                    if edge.value in "QRBN":
                        yield from self._checks(self._step(gap, edge, pause, promotion=edge.value))

    def _square(self, start: _State) -> Iterator[Phrase]:
        """A bare square: a pawn's move or, at a price, a piece's whose name is left out."""
        for edge, _ in self._edges(start, "square"):
            state = self._step(start, edge, 0.0, kind="square", to=edge.value)
            yield from self._promotions(state)
            for take, pause in self._edges(state, "takes"):
                pawn = self._step(state, take, pause + 0.7, takes=True, piece="", to="",
                                  from_file=edge.value[0], from_rank=edge.value[1])  # fmt: skip
                for phrase in self._victims(pawn):
                    if phrase.to:
                        yield phrase
        for edge, _ in self._edges(start, "filesquare"):
            if not self.heard:
                continue
            said = {"kind": "square", "from_file": edge.value[0], "to": edge.value[1:]}
            yield from self._checks(self._step(start, edge, 1.0, piece="P", takes=True, **said))
            yield from self._checks(self._step(start, edge, 0.0, **said))

    def _takes(self, start: _State) -> Iterator[Phrase]:
        """ "takes", "takes on d5", "e takes d5", "takes back with the c pawn"."""
        for edge, _ in self._edges(start, "takes", "took"):
            if edge.value == "take" and self.tokens[start.at].text.endswith("ing"):
                continue
            state = self._step(start, edge, 0.0, kind="takes", takes=True, past=edge.kind == "took")
            yield from self._victims(state)
        for edge, _ in self._edges(start, "file"):
            filed = self._step(start, edge, 0.0, kind="takes", piece="P", from_file=edge.value)
            for take, pause in self._edges(filed, "takes", "took"):
                taking = self._step(filed, take, pause, takes=True, past=take.kind == "took")
                yield from self._victims(taking)
        for edge, _ in self._edges(start, "filetakes"):  # heard in one: "d8" for "d takes"
            yield from self._victims(
                self._step(start, edge, 0.0, kind="takes", piece="P", from_file=edge.value, takes=True)
            )
        if self.tokens[start.at].text == "with":
            agent = self._step(start, Edge(start.at + 1, "with", ""), 2.0, kind="agent", takes=True)
            yield from self._agents(agent)

    def _victims(self, state: _State) -> Iterator[Phrase]:
        """After "takes": nothing, "back", "on d5", "d5", "the knight", "with the c pawn"."""
        yield from self._checks(state)
        yield from self._with(state)
        for place in self._gaps(state, "back", "on", "det", "fill", "link"):
            plain = replace(place, phrase=replace(place.phrase, on=False))
            if place.at != state.at and self.tokens[place.at - 1].text in ("back", "again"):
                yield from self._checks(plain)
                yield from self._with(plain)
            for edge, pause in self._edges(place, "square"):
                step = self._step(plain, edge, pause, to=edge.value)
                yield from self._promotions(step)
                yield from self._with(step)
            if self.tokens[place.at - 1].text in ("the", "his", "her", "my", "that", "takes", "our"):
                for edge, pause in self._edges(place, "piece"):
                    if edge.value != "K":
                        step = self._step(plain, edge, pause + 0.2, victim=edge.value)
                        yield from self._checks(step)
                        yield from self._with(step)
                        yield from self._victim_square(step)

    def _victim_square(self, state: _State) -> Iterator[Phrase]:
        """ "takes the pawn on d5", "takes knight d5"."""
        for place in self._gaps(state, "on"):
            for edge, pause in self._edges(place, "square"):
                step = self._step(place, edge, pause, to=edge.value, on=False)
                yield from self._checks(step)

    def _with(self, state: _State) -> Iterator[Phrase]:
        """ "… with the c pawn", "… with the knight"."""
        if state.phrase.piece and state.phrase.from_file:
            return
        for gap in self._gaps(state, "back", "fill"):
            for edge, pause in self._edges(gap, "with"):
                yield from self._agents(self._step(gap, edge, pause))

    def _agents(self, state: _State) -> Iterator[Phrase]:
        for det in self._gaps(state, "det", "fill", "other"):
            for edge, pause in self._edges(det, "piece"):
                yield from self._checks(self._step(det, edge, pause, piece=edge.value))
            for edge, pause in self._edges(det, "file", "square"):
                rank = edge.value[1:] if edge.kind == "square" else ""
                filed = self._step(det, edge, pause, from_file=edge.value[0], from_rank=rank)
                for piece, more in self._edges(filed, "piece"):
                    yield from self._checks(self._step(filed, piece, more, piece=piece.value))

    def _check_alone(self, start: _State) -> Iterator[Phrase]:
        """ "check" as the whole of a move: "knight a5, check, knight c6"."""
        for edge, _ in self._edges(start, "check", "mate"):
            mate = edge.kind == "mate"
            yield self._step(start, edge, 2.5, kind="check", check=True, mate=mate).phrase

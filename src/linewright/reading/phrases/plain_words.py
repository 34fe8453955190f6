"""Moves described in plain words, without their square: "the bishop comes out", "Black accepts", "he hits the knight".

What can be said stands in ``plain_words.txt`` of each language; see ``plain_rows``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.move_effects import Deed
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.plain_rows import PlainRow, plain_rows, plain_vocabulary
from linewright.reading.words.lattice import Edge
from linewright.reading.words.tokens import Token, words_between

#: Nats for an adverb before the verb, for an adjective of no known meaning before a piece, for a piece only called
#: "it".
ADVERB = 0.1
ADJECTIVE = 0.2
PRONOUN = 0.5
#: Nats for a square that follows as an afterthought.
APPOSED = 0.3
#: Nats for a comma inside, typed or heard.
COMMA = {False: 2.5, True: 0.7}
#: Meanings of words that cost more than this, in nats, are too far-fetched to begin a plain description.
SURELY = 1.0
#: Tokens after a piece in which its verb is looked for, and after "with" in which a square is.
WORDS_TO_VERB = 4
AGENT_REACH = 3
#: Nats for the first of two castlings said together, and the words that they take.
BOTH_CASTLE = 0.5
BOTH = 3

#: Kinds of deeds that take something.
_TAKING = frozenset(("takes", "takes back", "to the centre", "from the centre", "in passing", "swaps", "accepts"))


@dataclass(frozen=True, slots=True)
class _Match:
    """How far a row has matched; what it has heard of mover and target.

    :param brought: the piece that moves is an object: "brings the bishop out".
    """

    at: int
    cost: float = 0.0
    past: bool = False
    pronoun: bool = False
    brought: bool = False
    piece: str = ""
    from_file: str = ""
    from_rank: str = ""
    files: str = ""
    shade: str = ""
    target: str = ""
    square: str = ""
    it: bool = False
    to: str = ""
    onto: str = ""
    target_file: str = ""


class PlainWords:
    """Finds the moves that are described in plain words.

    :param tokens: the talk's; ``lattice`` their meanings; ``heard`` they come from a recogniser.
    """

    def __init__(
        self, tokens: Sequence[Token], lattice: Sequence[Sequence[Edge]], heard: bool, language: Language = ENGLISH
    ) -> None:
        self.tokens = tokens
        self.lattice = lattice
        self.heard = heard
        self.rows = plain_rows(language)
        self.known = plain_vocabulary(language)

    def at(self, index: int) -> Iterator[Phrase]:
        """The plain descriptions that begin at a token."""
        yield from self._both(index)
        for row in self.rows.by_word.get(self.tokens[index].text, ()):
            if row.pattern[0] != "S" or self._subject(index, self.known.subjects):
                yield from self._walked(row, index, _Match(index), 0)
        if not self._may_be_piece(index):
            return
        for piece in self._mover(_Match(index), "M", index):
            after_piece = self.rows.after_piece
            rows = [r for n in range(WORDS_TO_VERB) for r in after_piece.get(self._text(piece.at + n), ())]
            for row in dict.fromkeys([*rows, *after_piece.get("", ())]):
                head = row.pattern[0]
                if (head == "N" and piece.pronoun) or (head == "B" and (piece.pronoun or not self._begins(index))):
                    continue
                yield from self._walked(row, index, piece, 1)

    def _walked(self, row: PlainRow, index: int, match: _Match, items: int) -> Iterator[Phrase]:
        """The descriptions by a row, of which so many items are matched."""
        pattern = row.pattern[row.pattern[0] in ("S", "B") :]
        for done in self._walk(pattern[items:], replace(match, cost=match.cost + row.cost), index):
            yield from self._phrases(row, index, done)

    def _may_be_piece(self, index: int) -> bool:
        if index >= len(self.tokens):
            return False
        text, known = self.tokens[index].text, self.known
        if text in known.pronouns or text in known.which or text in known.pawns or text in known.shades:
            return True
        return any(e.kind in ("piece", "file", "square") and e.cost <= SURELY for e in self.lattice[index])

    def _phrases(self, row: PlainRow, first: int, match: _Match) -> Iterator[Phrase]:
        for agent in self._agents(row, match):
            yield self._phrase(row, first, agent)
            if row.kind not in ("castles", "onto file") and not agent.to:
                for named in self._apposition(agent, first):
                    yield self._phrase(row, first, named)

    def _agents(self, row: PlainRow, match: _Match) -> Iterator[_Match]:
        """The match as it is and with the piece that did it after: "kicks it with the h pawn"."""
        yield match
        if match.piece or row.kind == "castles" or self.tokens[match.at - 1].stop:
            return
        if self._text(match.at) not in self.known.with_:
            return
        if match.at + 1 < len(self.tokens):
            yield from self._noun(replace(match, at=match.at + 1, cost=match.cost + ADVERB), True)

    def _apposition(self, match: _Match, first: int) -> Iterator[_Match]:
        """The square named after all: "the knight goes to the side, h5"."""
        near = self._paused(match, first)
        if near is not None:
            yield from self._square(replace(near, cost=near.cost + APPOSED), "to")

    def _phrase(self, row: PlainRow, first: int, match: _Match) -> Phrase:
        manner = "it" if match.pronoun else "side" if not match.piece else "brought" if match.brought else "mover"
        if row.pattern[0] == "B":
            manner = "bare"
        said = Phrase(first, match.at, "plain " + manner, cost=match.cost, past=match.past)
        if row.kind == "castles":
            return replace(said, castles="?")
        deed = Deed(
            row.kind, match.target, match.square, match.it, match.files, match.shade, match.onto, match.target_file
        )
        return replace(
            said,
            piece=match.piece,
            from_file=match.from_file,
            from_rank=match.from_rank,
            to=match.to,
            takes=row.kind in _TAKING,
            check=row.kind == "checks",
            deed=deed,
        )

    def _both(self, index: int) -> Iterator[Phrase]:
        """The first of two like moves: "both sides castle"; the words after it are the second."""
        known, said = self.known, words_between(self.tokens, index, index + BOTH)
        for who, castling in ((known.both, known.both_castle), (known.everybody, known.everybody_castles)):
            match = who.match(said)
            last = index + len(match[0].split()) if match else index
            whole = match is not None and said[match.end() : match.end() + 1] in ("", " ")
            if whole and self._text(last) in castling:
                yield Phrase(
                    index, last, "plain side", castles="?", cost=BOTH_CASTLE, past=self._text(last) in known.castled
                )

    # -- patterns ---------------------------------------------------------------------------------------

    def _walk(self, pattern: Sequence[str], match: _Match, first: int) -> Iterator[_Match]:
        if not pattern:
            yield match
            return
        item, rest = pattern[0], pattern[1:]
        if item == "E":
            if self._ends(match.at):
                yield from self._walk(rest, match, first)
            return
        if item.endswith("?"):
            yield from self._walk(rest, match, first)
        step: Callable[[_Match, str, int], Iterator[_Match]]
        if item in ("M", "N"):
            step = self._mover
        elif item == "T":
            step = self._target
        elif item == "Q":
            step = self._place
        elif item == "F":
            step = self._file
        else:
            step = self._verb if item.startswith("~") else self._word
        here = self._paused(match, first)
        if here is not None and here.cost > match.cost and not self.heard and step != self._word:
            return  # "knight takes, …", but "the c pawn, one step"
        if here is not None:
            for after in step(here, item, first):
                yield from self._walk(rest, after, first)

    def _paused(self, match: _Match, first: int) -> _Match | None:
        """The match with the cost of a comma before its next token; None at the end of a sentence."""
        if match.at >= len(self.tokens):
            return None
        if match.at == first:
            return match
        before = self.tokens[match.at - 1]
        if before.stop or before.heading != self.tokens[match.at].heading:
            return None
        return replace(match, cost=match.cost + COMMA[self.heard]) if before.pause else match

    def _begins(self, index: int) -> bool:
        """A clause begins at a token, or before the determiners in front of it."""
        while index and self.tokens[index - 1].text in self.known.determiners and not self.tokens[index - 1].stop:
            index -= 1
        before = self.tokens[index - 1] if index else None
        return before is None or before.stop or before.pause or before.text in self.known.clause_joins

    def _ends(self, index: int) -> bool:
        """A clause ends before a token."""
        if index >= len(self.tokens):
            return True
        before = self.tokens[index - 1]
        return before.stop or before.pause or self.tokens[index].text in self.known.clause_joins

    def _word(self, match: _Match, item: str, first: int) -> Iterator[_Match]:
        if self.tokens[match.at].text in self.rows.words[item]:
            yield replace(match, at=match.at + 1)

    def _verb(self, match: _Match, item: str, first: int) -> Iterator[_Match]:
        at, cost = match.at, match.cost
        text = self.tokens[at].text
        if at > first and self._is_adverb(text) and at + 1 < len(self.tokens):
            at, cost, text = at + 1, cost + ADVERB, self.tokens[at + 1].text
        must = next((n for n in (1, 2) if at > first and words_between(self.tokens, at, at + n) in self.known.must), 0)
        at, text = at + must, self._text(at + must)  # what must be played is played
        tense = self.rows.verbs[item].get(text, "")
        if not tense or any(t.stop or t.pause for t in self.tokens[match.at : at]):
            return
        if must:
            tense = "base" if "base" in tense else "-"
        elif tense == "base" and (match.piece or match.pronoun or not self._subject(at, self.known.plain_form)):
            return
        elif tense == "past or base":
            tense = "base" if self._subject(at, self.known.plain_form) else "past"
        if tense == "-":
            return
        yield replace(match, at=at + 1, cost=cost, past=tense == "past")

    def _subject(self, at: int, names: frozenset[str]) -> bool:
        """Somebody who moves is named just before a token, but for an adverb."""
        before = at - 1
        while before >= 0 and before >= at - 2 and not self.tokens[before].stop:
            token = self.tokens[before]
            if token.text in names:
                return True
            if token.pause or not self._is_adverb(token.text):
                return names is self.known.subjects and self._names_somebody(before)
            before -= 1
        return False

    def _is_adverb(self, text: str) -> bool:
        return text in self.known.adverbs or text.endswith(self.known.adverb_endings)

    def _names_somebody(self, at: int) -> bool:
        """A capital letter within a sentence, as names have: "and Petrova accepts"."""
        token = self.tokens[at]
        inside = at > 0 and not self.tokens[at - 1].stop
        return inside and not token.pause and len(token.raw) > 2 and token.raw.istitle() and not token.number

    def _mover(self, match: _Match, item: str, first: int) -> Iterator[_Match]:
        said = match.at > first
        if self.tokens[match.at].text in self.known.pronouns:
            if item == "M":
                yield replace(match, at=match.at + 1, cost=match.cost + PRONOUN, pronoun=True)
            if not said:
                return
        for after in self._noun(match, said):
            yield replace(after, brought=said)

    def _noun(self, match: _Match, determined: bool) -> Iterator[_Match]:
        """A piece with what tells which one: "the other bishop", "the h pawn", "his dark squared bishop"."""
        at, cost = match.at, match.cost
        if determined:
            at, cost = self._determined(at, cost)
        elif self.tokens[at].text in self.known.which:
            at += 1
        if at >= len(self.tokens):
            return
        match = replace(match, at=at, cost=cost)
        text, following, known = self.tokens[at].text, self._text(at + 1), self.known
        if text in known.pawns and following in known.pawn:
            yield replace(match, at=at + 2, piece="P", files=known.pawns[text])
        if (text, following) in known.side_pieces:
            yield replace(match, at=at + 2, piece=known.pieces[following], files=known.side_pieces[text, following])
        if text in known.shades and following in known.squared and self._text(at + 2) in known.bishop:
            yield replace(match, at=at + 3, piece="B", shade=known.shades[text])
        for edge in self.lattice[at]:
            if edge.cost > SURELY or self._broken(at, edge.end):
                continue
            if edge.kind == "piece":
                yield replace(match, at=edge.end, cost=cost + edge.cost, piece=edge.value)
            elif edge.kind in ("file", "square") and edge.end < len(self.tokens):
                yield from self._from_there(replace(match, cost=cost + edge.cost), edge)

    def _from_there(self, match: _Match, edge: Edge) -> Iterator[_Match]:
        for piece in self.lattice[edge.end]:
            if piece.kind == "piece" and piece.cost <= SURELY and not self._broken(match.at, piece.end):
                yield replace(
                    match, at=piece.end, piece=piece.value, from_file=edge.value[0], from_rank=edge.value[1:]
                )  # fmt: skip

    def _determined(self, at: int, cost: float) -> tuple[int, float]:
        """The place after determiners and a few adjectives before a piece."""
        said = at
        while at < len(self.tokens) and self.tokens[at].text in self.known.determiners and not self.tokens[at].pause:
            at += 1
        for adjectives in range(3 if at > said else 0):
            if at + adjectives >= len(self.tokens):
                break
            word = self.tokens[at + adjectives]
            if self._may_be_piece(at + adjectives):
                return at + adjectives, cost + ADJECTIVE * adjectives
            if word.stop or word.pause or not word.text.isalpha() or word.text in self.known.barriers:
                break
        return at, cost

    def _target(self, match: _Match, item: str, first: int) -> Iterator[_Match]:
        if self.tokens[match.at].text in self.known.it and not self._may_be_piece(match.at + 1):
            yield replace(match, at=match.at + 1, it=True)
            return
        for near in (match, replace(match, at=match.at + 1)):
            if near.at > match.at and self.tokens[match.at].text not in self.known.places:
                break
            yield from self._square(near, "square")
        bare = replace(match, piece="", from_file="", from_rank="", files="", shade="")
        if self.tokens[match.at].text not in self.known.determiners:
            return  # "knight takes bishop takes" is two moves
        for noun in self._noun(bare, True):
            if noun.files or noun.shade or noun.from_rank:
                continue  # seldom said of a target, and then not needed
            aim = replace(match, at=noun.at, cost=noun.cost, target=noun.piece, target_file=noun.from_file)
            yield aim
            if noun.at < len(self.tokens) and not (self.tokens[noun.at - 1].stop or self.tokens[noun.at - 1].pause):
                on = self.tokens[noun.at].text in self.known.places
                yield from self._square(replace(aim, at=noun.at + on), "square")

    def _file(self, match: _Match, item: str, first: int) -> Iterator[_Match]:
        at = match.at + (self._text(match.at) in self.known.file_articles)
        for words in self.known.open_files:
            count = len(words.split())
            if words_between(self.tokens, at, at + count) == words:
                yield replace(match, at=at + count, onto="open")
        for edge in self.lattice[at] if at < len(self.tokens) else ():
            if edge.kind == "file" and self._text(edge.end) in self.known.file:
                yield replace(match, at=edge.end + 1, cost=match.cost + edge.cost, onto=edge.value)

    def _place(self, match: _Match, item: str, first: int) -> Iterator[_Match]:
        yield from self._square(match, "to")

    def _square(self, match: _Match, name: str) -> Iterator[_Match]:
        if match.at >= len(self.tokens):
            return
        for edge in self.lattice[match.at]:
            if edge.kind == "square" and edge.cost <= SURELY and not self._broken(match.at, edge.end):
                if name == "to":
                    yield replace(match, at=edge.end, cost=match.cost + edge.cost, to=edge.value)
                else:
                    yield replace(match, at=edge.end, cost=match.cost + edge.cost, square=edge.value)

    def _broken(self, first: int, last: int) -> bool:
        """A sentence or clause ends inside a run of tokens."""
        return any(self.tokens[i].stop or self.tokens[i].pause for i in range(first, last - 1))

    def _text(self, at: int) -> str:
        return self.tokens[at].text if at < len(self.tokens) else ""

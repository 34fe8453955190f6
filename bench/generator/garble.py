"""What a recogniser makes of squares, pieces and castling: sound-alikes put into the words of moves."""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random

from generator.speaker import Rates
from generator.wordings import Voice

SQUARE = re.compile(r"\b([a-h]) ?([1-8]|one|two|three|four|five|six|seven|eight)\b")
DIGITS = {w: str(i) for i, w in enumerate("zero one two three four five six seven eight".split())}
BOARD_RHYMES = {"b": "dge", "c": "dgb", "d": "bge", "e": "dbg", "g": "db", "a": "h", "h": "a", "f": "f"}
NO_BOARD = "ptvzkjsx"
GLUED = {"rook": "rookie", "bishop": "bishopy", "knight": "nightie", "queen": "queenie"}
Fault = str


class Garbler:
    """Puts sound-alikes into the words of one move at a time."""

    def __init__(self, rng: Random, rates: Rates, voice: Voice, captions: bool) -> None:
        self.rng, self.voice, self.captions, self.rates = rng, voice, captions, rates

    def __call__(self, words: str, force: bool = False) -> tuple[str, list[Fault]]:
        """The words as heard, and the kinds of what was done to them."""
        rng, faults = self.rng, list[Fault]()
        if self.captions:
            words = self._castling(words, faults)
        share = self.rates["garbled" if self.captions else "garbled_typed"]
        if (force or rng.random() < share) and (found := SQUARE.search(words)):
            heard, kind = self.square(found[1], DIGITS.get(found[2], found[2]))
            words = words[: found.start()] + heard + words[found.end() :]
            faults.append(kind)
        if self.captions:
            words = self._pieces(words, faults)
        if rng.random() < self.rates["garbled"] / 4 and self.captions:
            glued = re.sub(r"\b(rook|bishop|knight|queen) ([a-h][1-8])\b", self._glue, words)
            if glued != words:
                faults.append("garble:glued")
            words = glued
        return words, faults

    def square(self, letter: str, digit: str) -> tuple[str, Fault]:
        rng = self.rng
        say = self.voice.say
        ways: list[tuple[float, Callable[[], tuple[str, Fault]]]] = [
            (4, lambda: self._letter(letter, digit)),
            (
                3,
                lambda: (f"{say('letter_' + letter)} {say('rank_' + digit)}", "garble:two_words"),
            ),
            (2, lambda: (f"{letter} {say('rank_' + digit)}", "garble:rank_word")),
            (1.5, lambda: (f"{rng.choice(BOARD_RHYMES[letter])}{digit}", "garble:rhyme_on_board")),
            (0.5, lambda: (digit, "garble:rank_alone")),
            (0.4, lambda: (f"{letter}{digit}{rng.choice('123468')}", "garble:digits")),
        ]
        return rng.choices([w for _, w in ways], [p for p, _ in ways])[0]()

    def _letter(self, letter: str, digit: str) -> tuple[str, Fault]:
        heard = self.voice.say("letter_" + letter)
        if len(heard) == 1:
            return heard + digit, "garble:no_such_letter" if heard in NO_BOARD else "garble:letter"
        return f"{heard} {digit}", "garble:letter_word"

    def _castling(self, words: str, faults: list[Fault]) -> str:
        if re.search(r"\bcastl(es?|ed|ing)\b", words) and self.rng.random() < self.rates["castle_misheard"]:
            faults.append("garble:castling")
            return re.sub(r"\bcastl(es?|ed|ing)\b", lambda m: self.voice.say("heard_castles"), words, count=1)
        return words

    def _pieces(self, words: str, faults: list[Fault]) -> str:
        rng = self.rng

        def heard(found: re.Match[str]) -> str:
            share = self.rates["night" if found[1] == "knight" else "piece_misheard"]
            if rng.random() >= share:
                return found[0]
            kind = "garble:night" if found[1] == "knight" else "garble:piece"
            faults.append(kind)
            return self.voice.say("heard_" + found[1])

        return re.sub(r"\b(knight|bishop|rook|queen|king|pawn|takes)\b", heard, words)

    def _glue(self, found: re.Match[str]) -> str:
        piece, square = found[1], found[2]
        short = {"rook": "r", "bishop": "b", "knight": "n", "queen": "q"}[piece]
        return self.rng.choice((f"{piece}{square}", f"{short}{square}", f"{GLUED[piece]} {square[1]}"))

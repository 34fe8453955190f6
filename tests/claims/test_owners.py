"""Whose a thing is, by the words around it, and which side a lesson is for."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.rulings import ANY, BOTH, UNCLEAR, Side
from linewright.claims.sentence.owners import side_of
from linewright.claims.sentence.talk_scene import Scene
from tests.claims.support import walk_of

WHITE, BLACK = Side.of(chess.WHITE), Side.of(chess.BLACK)

#: Words with the thing itself in brackets, whose it is in a lesson for White.
OWNERS = [
    ("black has an (isolated pawn)", BLACK),
    ("he's got an (isolated pawn)", BLACK),
    ("we are left with an (isolated pawn)", WHITE),
    ("both sides have an (isolated pawn)", BOTH),
    ("both c pawns are (isolated)", ANY),
    ("an (isolated pawn) for black", BLACK),
    ("an (isolated pawn) of our own", WHITE),
    ("white's knight attacks the (isolated pawn)", ANY),
    # up to three words that describe the thing
    ("black has a big bad weak (isolated pawn)", BLACK),
    ("black has a big bad ugly weak (isolated pawn)", ANY),
    # a lesson for White that calls White by its colour: "he" may be either
    (f"white {'well ' * 11} he has an (isolated pawn)", UNCLEAR),
    (f"white {'well ' * 12} he has an (isolated pawn)", BLACK),
    ("white we he has an (isolated pawn)", BLACK),
]


@pytest.mark.parametrize(("words", "side"), OWNERS)
def test_owners_are_found(words: str, side: Side) -> None:
    before, _, rest = words.partition("(")
    first = len(before.split())
    trigger = (first, first + len(rest.partition(")")[0].split()))
    scene = Scene(walk_of(words.replace("(", "").replace(")", ""), "open", "white"))
    (sentence,) = scene.sentences
    assert side_of(scene, sentence, (0, len(sentence.tokens)), trigger) == side


#: Talks, the side that they are for; None where nothing tells.
LESSONS = [
    ("A repertoire for black.", chess.BLACK),
    ("From White's point of view.", chess.WHITE),
    ("We have the black pieces.", chess.BLACK),
    ("We're white. As black you'd be worse.", None),
    # four moves that tell, of which four in five agree
    ("We [e4|e4] he [e5|e5] we [Nf3|knight f3] he [Nc6|knight c6]", chess.WHITE),
    ("We [e4|e4] he [e5|e5] we [Nf3|knight f3]", None),
    ("We [e4|e4] he [e5|e5] we [Nf3|knight f3] we [Nc6|knight c6]", None),
    ("We [e4|e4] he [e5|e5] we [Nf3|knight f3] he [Nc6|knight c6] he [Bb5|bishop b5]", chess.WHITE),
    # "we" within three words of the move
    ("We [e4|e4] he [e5|e5] we [Nf3|knight f3] he then now [Nc6|knight c6]", chess.WHITE),
    ("We [e4|e4] he [e5|e5] we [Nf3|knight f3] he then now well [Nc6|knight c6]", None),
]


@pytest.mark.parametrize(("words", "side"), LESSONS)
def test_the_side_of_a_lesson_is_told_by_its_words(words: str, side: chess.Color | None) -> None:
    assert Scene(walk_of(words)).side == side

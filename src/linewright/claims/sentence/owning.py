"""Words that may stand between an owner, or a "not", and what is owned or denied."""

from __future__ import annotations

#: Words between an owner and what it owns ("black is left with an …").
OWNING = frozenset(
    "a an the has have had having got get gets getting gained left leaves with saddled stuck lumbered landed is are "
    "was "
    "were be been now also still only again already here really quite just rather actually of course end ends ended "
    "ending "
    "up winds wound finishes comes out keeps kept holds stays remains own no not never any some two three four one "
    "both "
    "side sides player players too then even always accepts accepted takes took on suffers owns enjoys boasts "
    "possesses "
    "leave him us them me give "
    "does doesn't don't hasn't haven't isn't aren't longer for all each to that clearly of given gives give handed "
    "hand obtained obtains having there's his her our my their your".split()
)

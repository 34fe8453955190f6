"""Runs of words that describe a move, as said; whether the move is legal is not judged here.

Doors: ``finding.PhraseFinder`` finds them, ``context.Context`` says what the words around them say of them.
"""

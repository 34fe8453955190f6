"""Runs of words that describe a move, as said; whether the move is legal is not judged here."""

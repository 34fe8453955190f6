"""Pawns and what follows from them: structures by name, chains, files, the centre, squares.

The doors are the modules' own functions, each from a board and a side to what is seen.
"""

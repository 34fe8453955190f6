"""What single words of a talk may mean on a board, misheard ones included.

Doors: ``tokens.tokens`` takes a talk apart, ``lattice.lattice`` gives the meanings of its words.
"""

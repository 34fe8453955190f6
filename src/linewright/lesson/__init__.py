"""The walk, its tree of moves, and the marks on the board."""

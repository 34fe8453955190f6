"""The walk: ordered steps over a tree of moves, its lines, its sentences, its marks; findings about it; PGN.

The door is ``walk.Walk``; ``opening`` names positions, ``spoken`` writes and says moves.
"""

"""Pawns and what follows from them: structures by name, chains, files, the centre, squares."""

"""What a position shows: pawn structure, files, development."""

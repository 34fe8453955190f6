"""Claims about moves: repetition, transposition, what is legal."""

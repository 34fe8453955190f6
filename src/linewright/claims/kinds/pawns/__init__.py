"""Claims about pawns, files, the centre and the character of a structure."""

"""Claims about development, lead, material and pieces beyond the pawns."""

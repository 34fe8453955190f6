"""Claims about kings: safety, castling, mates."""

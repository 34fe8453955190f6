"""Claims about games and people: quotes, champions."""

"""Claims about how often moves are played."""

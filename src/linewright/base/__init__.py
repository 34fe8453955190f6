"""The games base: adding games, and asking what is played from a position."""

"""Games that show a pattern on the board: the trade's words, and the scan for them."""

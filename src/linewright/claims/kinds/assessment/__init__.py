"""Claims about who stands better, and comparisons."""

"""What was said: words with their places and times. Knows nothing of chess."""

"""What everything may use: errors, paths, whole writes, retries, extras. Knows nothing of chess."""

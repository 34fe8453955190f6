"""The film: its shots, its frames and their encoding."""

"""The hand-out, its book setting and its exercises."""

"""What everything may use: errors, paths, whole writes, retries, extras, closing; knows nothing of chess.

Each module is a door of its own.
"""

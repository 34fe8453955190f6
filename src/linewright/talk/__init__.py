"""What was said: words with their places and times, and the loaders for each format.

The door is ``load.load_talk``; nothing here knows chess.
"""

"""Captions as they should read, each correction with its reason.

The door is ``corrected.correct_captions``; each ``*_spelling`` module proposes edits of one kind.
"""

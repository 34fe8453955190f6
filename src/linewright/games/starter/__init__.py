"""The starter table: replies counted beforehand, for where there is no base yet.

The door is ``table.StarterTable``; ``tools/make_starter.py`` makes the table.
"""

"""From a talk to a walk: spoken and written moves read off against the board.

Doors: ``reader.read_talk`` reads a talk once, ``incremental.GrowingReader`` one that is being written.
"""

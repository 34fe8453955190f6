"""What to teach, what a talk covers, what has changed, and where pupils' games left the lesson.

Doors: ``planning``, ``coverage`` and ``repertoire`` for plans; ``news`` and ``pupils`` have folders of their own.
"""

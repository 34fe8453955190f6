"""How a base lies on disk: tables, position keys, the position index, and the work file it is changed in.

Doors: ``index_reader`` for questions, ``building`` for new games, ``work_copy`` for changes.
"""

"""The stages put together: a lesson read, checked, built, drilled, compared; commands, desk and demo call these.

Nothing here prints: remarks go to a ``note`` that is handed in, progress to ``progress.Stages``.
"""

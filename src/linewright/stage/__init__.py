"""What is filmed: a talk's script, the scene on the stage, runs and their times, rehearsal, a recording in step.

Usable without a desk: :mod:`scene` says what each act of :mod:`acts` changes, :mod:`runs` keeps what happened.
"""

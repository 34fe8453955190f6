"""From recordings to captions and timed words.

The door is ``job.transcribe``; only this folder needs the extra ``hear``.
"""

"""What the desk and its pages send each other: a frozen dataclass for each message, the same for both sides.

The door is :mod:`linewright.support.page_messages`; from these ``tools/script_types.py`` generates the scripts' types,
the ``.d.ts`` files in ``web/desk``.
"""

"""What the desk and its pages send each other: a frozen dataclass for each message, the same for both sides.

The door is :mod:`linewright.support.page_messages`; of these ``tools/script_types.py`` makes the scripts' types,
``web/desk/messages.d.ts``.
"""

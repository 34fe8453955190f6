"""The position index: position keys, how entries are stored, written and read."""

"""File names made from titles."""

from __future__ import annotations

import re
import unicodedata

#: Longest file name without suffix, in characters; leaves room below every file system's 255 bytes.
SLUG_LENGTH = 60


def slug_of(title: str) -> str:
    """A title as a file name: lower-case ASCII letters, digits, hyphens; ``lesson`` if none is left."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower().replace("'", "")
    words = re.findall(r"[a-z0-9]+", plain)
    return "-".join(words)[:SLUG_LENGTH].strip("-") or "lesson"

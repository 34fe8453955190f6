"""The secrets in pupils' links: unguessable, and never kept.

A secret is random over its whole length, so one round of SHA-256 keeps it as safe as a slow hash would: there is no
shorter list of candidates to try (NIST SP 800-63B, section 5.1.2.2, asks for salt and slowness below 112 bits
only; from memory).
"""

from __future__ import annotations

import hashlib
import re
import secrets

#: Bytes of a secret: 192 bits; the least that the house allows is 128.
LENGTH = 24
_FORM = re.compile(r"[A-Za-z0-9_-]{32}")


def new_token() -> str:
    """A new secret, 32 characters that may stand in an address."""
    return secrets.token_urlsafe(LENGTH)


def hashed(token: str) -> bytes | None:
    """What is kept of a secret, 32 bytes; None for what can't be one."""
    if not _FORM.fullmatch(token):
        return None
    return hashlib.sha256(token.encode()).digest()

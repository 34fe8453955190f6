"""Small helpers to write vocabularies as lists of phrases."""

from __future__ import annotations


def either(*phrases: str) -> str:
    """A regex group that matches one of the phrases (each a regex of its own, without groups that count)."""
    return f"(?:{'|'.join(phrases)})"


def listed(words: str) -> str:
    """A regex group of plain words, given as one string with spaces between them."""
    return either(*words.split())

"""Which theme counts for a talk or a folder of talks."""

from __future__ import annotations

from pathlib import Path

from linewright.publish.theme import PLAIN, THEME_FILE, Theme, load_theme


def find_theme(talk: Path, own: Path, named: Path | None = None) -> Theme:
    """The theme as named, else the one beside the talk or in the folder of talks, else the user's own, else plain.

    :param talk: a talk, or a folder of them.
    :param own: the user's theme file, which need not exist.
    :raises UnusableInput: when the one that counts can't be used.
    """
    if named is not None:
        return load_theme(named)
    beside = (talk if talk.is_dir() else talk.parent) / THEME_FILE
    return next((load_theme(path) for path in (beside, own) if path.is_file()), PLAIN)

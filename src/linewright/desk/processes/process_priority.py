"""Processes that nobody waits for give way to those that answer pages and read."""

from __future__ import annotations

import os

#: Steps of POSIX niceness that such a process gives way by: a step is a quarter more or less of a busy processor's
#: time (common practice), so that five leave it a quarter of it, and all of an idle one.
STEPS = 5


def give_way() -> None:
    """Let this process's work wait for the desk's; where the system knows no niceness, nothing happens."""
    if hasattr(os, "nice"):
        os.nice(STEPS)

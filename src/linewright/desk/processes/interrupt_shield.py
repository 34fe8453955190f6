"""Starting processes that Ctrl-C in the terminal does not reach: the desk ends them itself."""

from __future__ import annotations

import signal
from multiprocessing import resource_tracker
from multiprocessing.process import BaseProcess


def start_undisturbed(process: BaseProcess) -> None:
    """Start a spawned process with Ctrl-C blocked.

    A terminal sends Ctrl-C to all that the command started. A process that is still importing its modules can't catch
    it yet, and would print a traceback over the desk's own farewell.
    """
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        process.start()
        return
    # Starting the tracker unblocks the signal again (CPython, multiprocessing/resource_tracker.py), so it comes first.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        process.start()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)

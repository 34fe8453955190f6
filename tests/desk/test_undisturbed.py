"""Processes that Ctrl-C in the terminal does not reach."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys

import pytest

from linewright.desk.processes.interrupt_shield import start_undisturbed


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no signal masks")
def test_ctrl_c_does_not_reach_a_process_that_is_still_starting(capfd: pytest.CaptureFixture[str]) -> None:
    process = multiprocessing.get_context("spawn").Process(target=print, args=("done",), kwargs={"flush": True})
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ())
    start_undisturbed(process)
    assert process.pid is not None
    os.kill(process.pid, signal.SIGINT)  # at once: it is importing its modules
    process.join(60)
    out, err = capfd.readouterr()
    assert (process.exitcode, out.strip()) == (0, "done")
    assert "Traceback" not in err
    assert signal.pthread_sigmask(signal.SIG_BLOCK, ()) == before

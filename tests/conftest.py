"""What concerns all tests: warnings in CI, how examples are drawn, and the tests that this machine lacks something for.

A test that needs what isn't there (a browser, an engine, an extra) is skipped with a reason that begins with "needs".
The names of such tests are remembered, so that ``--wanting`` can run just these once it is there.
"""

from __future__ import annotations

import gc
import os

import pytest
from hypothesis import HealthCheck, settings

from tests.support import TALKS, needs_shared

#: How the reason of a test begins that is skipped because this machine lacks something.
NEEDS = "needs "
#: Where pytest's cache keeps the names of these tests.
KEPT = "linewright/wanting"

# No clock decides whether a test passes: machines differ, and are busy. CI draws the same examples each time.
settings.register_profile(
    "linewright",
    settings.get_profile("ci" if os.environ.get("CI") else "default"),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("linewright")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--wanting",
        action="store_true",
        help="run only the tests that were skipped last time for want of something; fail where it is still missing",
    )


def pytest_configure(config: pytest.Config) -> None:
    if os.environ.get("CI"):  # where the versions are locked, and a deprecation is ours to mend
        for category in ("DeprecationWarning", "PendingDeprecationWarning", "FutureWarning"):
            for own in ("linewright", "tests"):
                config.addinivalue_line("filterwarnings", f"error::{category}:{own}")
    config.pluginmanager.register(Wanting(config), "linewright-wanting")


def pytest_collection_finish(session: pytest.Session) -> None:
    """What stays for the whole session, modules and tests, need not be looked through for garbage again and again."""
    gc.collect()
    gc.freeze()


class Wanting:
    """The tests that are skipped for want of something, by their names, each with what it needs."""

    def __init__(self, config: pytest.Config) -> None:
        self.cache = getattr(config, "cache", None)  # which -p no:cacheprovider leaves out
        self.worker = hasattr(config, "workerinput")
        self.found: dict[str, str] = {}
        self.only: set[str] | None = None
        if config.getoption("--wanting"):
            self.only = set(self.cache.get(KEPT, []) if self.cache else [])

    def pytest_collection_modifyitems(self, config: pytest.Config, items: list[pytest.Item]) -> None:
        if self.only is not None:
            # A module that could not be imported is kept by its own name.
            left = [item for item in items if not {item.nodeid, item.nodeid.partition("::")[0]} & self.only]
            items[:] = [item for item in items if item not in left]
            config.hook.pytest_deselected(items=left)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._note(report)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        self._note(report)

    def _note(self, report: pytest.TestReport | pytest.CollectReport) -> None:
        if report.skipped:
            reason = report.longrepr[2] if isinstance(report.longrepr, tuple | list) else str(report.longrepr)
            reason = reason.removeprefix("Skipped: ")
            if reason.startswith(NEEDS):
                self.found[report.nodeid] = reason

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if self.worker or not self.cache:
            return  # the process that gathers all results knows them all
        if self.only is None:
            self.cache.set(KEPT, sorted(self.found))
        elif self._missing() and session.exitstatus in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            session.exitstatus = pytest.ExitCode.TESTS_FAILED
        elif session.exitstatus == pytest.ExitCode.NO_TESTS_COLLECTED:
            session.exitstatus = pytest.ExitCode.OK

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        if self.only is not None:
            for name, reason in sorted(self._missing().items()):
                terminalreporter.write_line(f"STILL WANTING {name}: {reason}", red=True)

    def _missing(self) -> dict[str, str]:
        """What should be here by now; ``../shared`` is not everybody's."""
        shared = TALKS.is_dir()
        return {
            name: reason for name, reason in self.found.items() if shared or reason != needs_shared.kwargs["reason"]
        }

"""Shared by all tests. Where `SPOKENROW_NO_SKIPS` is set, a skipped test fails the run."""

import os

import pytest

_skipped: list[str] = []


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if report.skipped and not hasattr(report, "wasxfail"):
        _skipped.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    if report.skipped:
        _skipped.append(report.nodeid)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    if _skipped and os.environ.get("SPOKENROW_NO_SKIPS"):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if _skipped and os.environ.get("SPOKENROW_NO_SKIPS"):
        terminalreporter.write_line(f"{len(_skipped)} skipped, and none may be here", red=True)

"""Shared by all tests. Where `SPOKENROW_NO_SKIPS` is set, a skipped test fails the run."""

import ctypes.util
import functools
import gc
import os
import shutil
import sys
from pathlib import Path

import hypothesis
import pytest
import textual.app
import textual.pilot
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

from engine.ears import recogniser, symbols, voices
from tests.sound.pulse import INSTALL, Pulse
from tests.tui.settled import settled

# Hundreds of tests start the program, and every worker imports all tests: where nothing compiled
# is kept, each of them compiles the house anew, which is a tenth of the whole run.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# Half a million things come of collecting and stay to the end: looking through them again and
# again for what could go costs each worker three seconds, and finds nothing.
gc.disable()


@pytest.hookimpl(trylast=True)
def pytest_collection_finish(session: pytest.Session) -> None:
    gc.collect()
    gc.freeze()
    gc.enable()


# How long an example takes says how busy the machine is, and nothing of the program.
hypothesis.settings.register_profile("spokenrow", deadline=None)
hypothesis.settings.load_profile("spokenrow")

MAY_SKIP = ("spokenrow[student]", "spokenrow[natural]")
"""PyTorch is gigabytes, the natural voice a hundred megabytes: tested where they are."""
_skipped: list[str] = []
TESTS = Path(__file__).parent


def _note(report: pytest.TestReport | pytest.CollectReport) -> None:
    if (
        report.skipped
        and not hasattr(report, "wasxfail")
        and not any(extra in str(report.longrepr) for extra in MAY_SKIP)
    ):
        _skipped.append(report.nodeid)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    _note(report)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    _note(report)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    if _skipped and os.environ.get("SPOKENROW_NO_SKIPS"):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if _skipped and os.environ.get("SPOKENROW_NO_SKIPS"):
        terminalreporter.write_line(f"{len(_skipped)} skipped, and none may be here", red=True)


FIRST = (
    "whole", "faults", "tui", "sound", "forge", "ears", "pattern", "web", "soak", "keep", "cli",
)  # fmt: skip
"""The rooms whose files take longest: begun last, one of them would keep a single core busy. Those
that wait for sound at its own pace, `whole` and `sound`, are apart: together they would leave one.
"""


def pytest_xdist_auto_num_workers() -> int:
    """Two more than there are cores: a test that waits for a terminal or a sound costs none, and
    the evening by voice waits for minutes. With one more the whole takes a third longer.
    """
    return (os.cpu_count() or 1) + 2


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    def rank(item: pytest.Item) -> int:
        room = item.path.relative_to(TESTS).parts[0]
        return FIRST.index(room) if room in FIRST else len(FIRST)

    items.sort(key=rank)  # stable: a file's tests stay together


@pytest.fixture(scope="session", autouse=True)
def packaged_words_are_read_once():
    """The package of Korean knows a million words: each look at them costs two seconds."""
    packaged = set(voices.packaged())
    kept = functools.cache(symbols.model_words)

    def words(folder):
        return (kept if folder in packaged else symbols.model_words)(folder)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(recogniser, "model_words", words)
        yield


@pytest.fixture(scope="session", autouse=True)
def sheets_are_parsed_once():
    """Each app parses the same style sheets, a tenth of a second: what came of one is kept.

    What decides is the text, where it stands and the variables of the theme, all in the key.
    """
    kept: dict[tuple[object, ...], list[RuleSet]] = {}
    parsed = Stylesheet._parse_rules

    def parse_rules(self, css, **where):
        key = (css, *where.values(), frozenset(self._variables.items()))
        if key not in kept:
            kept[key] = parsed(self, css, **where)
        return kept[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", parse_rules)
        yield


@pytest.fixture(scope="session", autouse=True)
def an_app_is_waited_for_while_it_works():
    """Textual's pilot sleeps 60 ms and more for every key (`settled`)."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(textual.pilot, "wait_for_idle", settled)
        patch.setattr(textual.app, "wait_for_idle", settled)
        yield


@pytest.fixture
def needs_program():
    """Skips with the line that installs it where a program is not there."""

    def need(program, package):
        if shutil.which(program) is None:
            pytest.skip(f"sudo apt-get install -y {package}")

    return need


@pytest.fixture
def pulse(tmp_path):
    """A sound server of the test's own; skips where its programs are missing."""
    programs = all(shutil.which(name) for name in ("pulseaudio", "pactl", "paplay"))
    if not programs or ctypes.util.find_library("portaudio") is None:
        pytest.skip(INSTALL)
    server = Pulse(tmp_path)
    server.start()
    yield server
    server.kill()

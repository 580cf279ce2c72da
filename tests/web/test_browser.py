"""The whole way in headless Chromium: open, type, the row advances, a picture of it."""

import io
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from counter.commandline import main
from counter.tui.pressing import LIFTED
from engine.keep.store import Store
from engine.plan.planning import script_for
from models.event import Advanced, Measured
from tests.tui.hands.test_pasting import LONG, ROWS

pytest.importorskip("textual_serve", reason="pip install 'spokenrow[browser]'")
webdriver = pytest.importorskip("selenium.webdriver", reason="pip install selenium")

Keys = pytest.importorskip("selenium.webdriver.common.keys").Keys

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = [
    pytest.mark.system,
    pytest.mark.skipif(
        not (CHROMIUM and DRIVER), reason="apt-get install chromium chromium-driver"
    ),
]
PATIENCE_S = 40
WORKED = 3
"""Steps that are done before the browser comes."""


def until(what, seconds: float = PATIENCE_S):
    """What `what()` gives as soon as it gives something."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if found := what():
            return found
        time.sleep(0.1)
    pytest.fail("it did not happen in time")


@pytest.fixture
def port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def served(tmp_path: Path, port: int) -> Iterator[str]:
    assert main(["--data", str(tmp_path), "start", "throw", "--name", "mine"]) == 0
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.stdin", io.StringIO(" \n" * WORKED))
        assert main(["--data", str(tmp_path), "plain", "mine"]) == 0
    command = ["--data", str(tmp_path), "serve", "mine", "--port", str(port), "--quiet"]
    server = subprocess.Popen(
        [sys.executable, "-m", "counter", *command, "--no-ears"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert server.stdout is not None
    yield server.stdout.readline().split()[-1]
    server.send_signal(signal.SIGINT)
    assert server.wait(20) == 0


@pytest.fixture
def browser(tmp_path: Path) -> Iterator:
    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for argument in (
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--no-first-run",
        "--disable-background-networking",
        "--window-size=1000,700",
        f"--user-data-dir={tmp_path / 'profile'}",
    ):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    yield driver
    driver.quit()


def advanced(folder: Path) -> list[int]:
    store = Store(folder / "makes.db")
    try:
        return [event.step for event in store.load("mine")[1] if isinstance(event, Advanced)]
    finally:
        store.close()


def has(driver, name: str) -> bool:
    return name in (driver.find_element("tag name", "body").get_attribute("class") or "")


def test_open_type_and_the_row_advances(served: str, browser, tmp_path: Path) -> None:
    browser.get(served)
    until(lambda: has(browser, "-first-byte"))
    assert browser.current_url == served.partition("?")[0]  # the key is gone from the address
    # The terminal has the keys without a click; the app takes them once it has drawn itself.
    until(
        lambda: browser.execute_script(
            "return document.activeElement.className.includes('xterm-helper-textarea')"
        )
    )
    time.sleep(1)
    before = browser.get_screenshot_as_png()
    until(lambda: _done_once(browser, tmp_path))
    until(lambda: browser.get_screenshot_as_png() != before)
    assert advanced(tmp_path)[WORKED:] == [WORKED + 1]
    assert len(browser.get_screenshot_as_png()) > 5_000
    # Nothing was asked of anybody else, and nothing was stopped by the page's own rules.
    asked = browser.execute_script(
        "return performance.getEntriesByType('resource').map(entry => entry.name)"
    )
    assert asked
    assert all(name.startswith((browser.current_url, "data:")) for name in asked)
    assert not [line for line in browser.get_log("browser") if line["level"] == "SEVERE"]
    _hold_the_space_bar(browser, tmp_path)
    _type_six_comma_five(browser, tmp_path)
    _paste_four_hundred_rows(browser, tmp_path)
    _on_a_tablet(browser, tmp_path)
    _reload_and_take_over(browser)


def _done_once(browser, tmp_path: Path) -> bool:
    """Row done, and whether it came to one; the rows before it were so quick that it may ask."""
    for key in (" ", "y"):
        webdriver.ActionChains(browser).send_keys(key).perform()
        end = time.monotonic() + 3  # sooner again it would be a key that is held
        while time.monotonic() < end and len(advanced(tmp_path)) == WORKED:
            time.sleep(0.1)
        if len(advanced(tmp_path)) > WORKED:
            return True
    return False


def _hold_the_space_bar(browser, folder: Path) -> None:
    """As a browser tells it: a key that comes down again and again, and goes up once."""
    done = len(advanced(folder))
    time.sleep(LIFTED + 0.2)
    key = {"key": " ", "code": "Space", "windowsVirtualKeyCode": 32}
    for count in range(40):
        down = {"type": "keyDown", "text": " ", "autoRepeat": count > 0}
        browser.execute_cdp_cmd("Input.dispatchKeyEvent", {**key, **down})
        time.sleep(0.02)
    browser.execute_cdp_cmd("Input.dispatchKeyEvent", {**key, "type": "keyUp"})
    time.sleep(1)
    assert len(advanced(folder)) <= done + 1


def _type_six_comma_five(browser, folder: Path) -> None:
    """It is six and a half, and no 65."""
    typing = webdriver.ActionChains(browser)
    for key in ("n", "m", *"6,5", Keys.ENTER):
        typing.send_keys(key).pause(0.5)
    typing.perform()
    with Store(folder / "makes.db") as store:
        until(lambda: any(isinstance(event, Measured) for event in store.load("mine")[1]))
        assert [e.cm for e in store.load("mine")[1] if isinstance(e, Measured)] == [6.5]


def _paste_four_hundred_rows(browser, folder: Path) -> None:
    """By Ctrl+V, as people paste in a browser; none of them is lost."""
    for key in ("q", "n", Keys.END, Keys.ARROW_UP, Keys.ENTER):
        webdriver.ActionChains(browser).send_keys(key).perform()
        time.sleep(1)
    wanted = ["clipboardReadWrite", "clipboardSanitizedWrite"]
    browser.execute_cdp_cmd("Browser.grantPermissions", {"permissions": wanted})
    browser.execute_async_script(
        "navigator.clipboard.writeText(arguments[0]).then(arguments[1])", LONG
    )
    control = webdriver.ActionChains(browser).key_down(Keys.CONTROL)
    control.send_keys("v").key_up(Keys.CONTROL).perform()

    def begun() -> bool:
        again = webdriver.ActionChains(browser).key_down(Keys.CONTROL)
        again.send_keys("s").key_up(Keys.CONTROL).perform()
        time.sleep(2)
        with Store(folder / "makes.db") as store:
            return "long-strip" in store.names()

    until(begun)
    with Store(folder / "makes.db") as store:
        rows = [s for s in script_for(store.load("long-strip")[0].plan).steps if s.counts_row]
    assert [row.row for row in rows] == list(range(1, ROWS + 1))
    browser.execute_cdp_cmd("Browser.resetPermissions", {})


def _on_a_tablet(browser, folder: Path) -> None:
    """Fingers on a glass: large letters, a tap is a key, no keyboard over the row, and no sleep."""
    size = {"width": 1024, "height": 768, "deviceScaleFactor": 1, "mobile": True}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True})
    browser.refresh()
    until(lambda: has(browser, "-first-byte"))
    done = len(advanced(folder))

    def tapped() -> bool:
        high = "return document.querySelector('.xterm-screen').getBoundingClientRect().height"
        touch = {"touchPoints": [{"x": 30, "y": browser.execute_script(high) - 10}]}
        touches = ({"type": "touchStart", **touch}, {"type": "touchEnd", "touchPoints": []})
        for each in touches:
            browser.execute_cdp_cmd("Input.dispatchTouchEvent", each)
        time.sleep(1)
        return len(advanced(folder)) > done

    until(tapped, 20)
    letters, keyboard, awake = browser.execute_script(
        "return [+document.getElementById('terminal').dataset.fontSize,"
        " document.querySelector('.xterm-helper-textarea').inputMode, awake !== null]"
    )
    assert letters >= 30  # 53 cells of a glass of 1024 dots
    assert (keyboard, awake) == ("none", True)
    _paste_by_finger(browser, folder)
    browser.find_element("id", "keyboard").click()
    assert browser.execute_script("return document.activeElement.inputMode") == "text"
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": False})


def _paste_by_finger(browser, folder: Path) -> None:
    """A glass has no Ctrl+V: what is put into the page's own field goes where the app asks."""
    for key in ("n", "m"):
        webdriver.ActionChains(browser).send_keys(key).perform()
        time.sleep(0.5)
    browser.find_element("id", "paste").click()
    browser.find_element("id", "pasted").send_keys("7,5")
    browser.find_element("css selector", "button[value=put]").click()
    time.sleep(0.5)
    webdriver.ActionChains(browser).send_keys(Keys.ENTER).perform()
    with Store(folder / "makes.db") as store:
        until(lambda: [e for e in store.load("mine")[1] if isinstance(e, Measured)][1:])
        assert [e.cm for e in store.load("mine")[1] if isinstance(e, Measured)] == [6.5, 7.5]


def _reload_and_take_over(browser) -> None:
    """A reload goes on by itself; a second window is offered to take over, and the first told."""
    browser.refresh()
    until(lambda: has(browser, "-first-byte"))
    first = browser.current_window_handle
    home = browser.current_url
    browser.switch_to.new_window("tab")
    browser.get(home)
    offer = browser.find_element("css selector", "#taken a")
    until(offer.is_displayed)
    offer.click()
    until(lambda: has(browser, "-first-byte"))
    assert browser.current_url == home
    second = browser.current_window_handle
    browser.switch_to.window(first)
    until(browser.find_element("id", "taken").is_displayed)
    browser.switch_to.window(second)
    assert not browser.find_element("id", "taken").is_displayed()


def test_a_taken_port_is_one_sentence(port: int, tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port))
        taken.listen()
        run = subprocess.run(
            [
                sys.executable,
                "-m",
                "counter",
                "--data",
                str(tmp_path),
                "serve",
                "--port",
                str(port),
            ],
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
            env={**os.environ, "PYTHONWARNINGS": "default"},
        )
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "--port" in run.stderr

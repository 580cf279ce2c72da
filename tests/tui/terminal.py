"""A terminal for the tests: tmux, in a server of its own."""

import os
import shlex
import subprocess
import sys
import time

INSTALL = "sudo apt-get install -y tmux"
_LONGEST_S = 20.0
_LET_GO_S = 1.3


class Terminal:
    """One pane that runs one command."""

    def __init__(self, folder, width=80, height=24):
        self._tmux = ["tmux", "-S", str(folder / "tmux")]
        self._size = ["-x", str(width), "-y", str(height)]
        self._folder = folder
        self._pressed = ("", 0.0)

    def start(self, *arguments, environment=None):
        """Run spokenrow with these arguments; what it left behind stays to be seen."""
        given = {"XDG_CONFIG_HOME": self._folder, "LC_ALL": "C.UTF-8", **(environment or {})}
        settings = " ".join(f"{key}={shlex.quote(str(value))}" for key, value in given.items())
        command = shlex.join([sys.executable, "-m", "counter", *map(str, arguments)])
        self._run(
            "-f",
            os.devnull,
            "new-session",
            "-d",
            *self._size,
            f"env {settings} {command}; echo left with $?; exec cat",
        )
        return self

    def shell(self):
        """An interactive shell instead, with job control."""
        self._run("-f", os.devnull, "new-session", "-d", *self._size, "bash --norc --noprofile -i")
        return self

    def type(self, line):
        """Type a line and press Enter."""
        self._run("send-keys", "-l", line)
        self.press("Enter")

    def _run(self, *arguments):
        done = subprocess.run(
            [*self._tmux, *arguments], check=True, capture_output=True, text=True, timeout=20
        )
        return done.stdout

    def paste(self, text):
        """Paste a text, in brackets where the program asked the terminal for them."""
        held = self._folder / "pasted"
        held.write_text(text, encoding="utf-8")
        self._run("load-buffer", str(held))
        self._run("paste-buffer", "-p")

    def press(self, key):
        """Press a key, by tmux's name, as a hand does: it is let go before it is pressed again."""
        before, when = self._pressed
        if key == before or {key, before} <= {"Space", "Enter"}:  # both go on
            time.sleep(max(0.0, when + _LET_GO_S - time.monotonic()))
        self._run("send-keys", key)
        self._pressed = (key, time.monotonic())

    def hold(self, key, times, delay=0.4, every=0.03):
        """Hold a key down: once, then after the keyboard's delay again and again."""
        self._run("send-keys", key)
        time.sleep(delay)
        for _ in range(times):
            self._run("send-keys", key)
            time.sleep(every)
        self._pressed = (key, time.monotonic())

    def text(self):
        """What stands on it."""
        return self._run("capture-pane", "-p")

    def wait_for(self, words, gone=False, every=0.05):
        """Wait until the words stand on it (or no longer do); gives the text."""
        end = time.monotonic() + _LONGEST_S
        while time.monotonic() < end:
            text = self.text()
            if (words in text) is not gone:
                return text
            time.sleep(every)
        raise AssertionError(f"{words!r} {'stayed' if gone else 'did not come'}:\n{self.text()}")

    def child(self):
        """The process number of the program in the pane."""
        shell = self._run("display-message", "-p", "#{pane_pid}").strip()
        found = subprocess.run(
            ["ps", "-o", "pid=", "--ppid", shell], capture_output=True, text=True, check=True
        )
        return int(found.stdout.split()[0])

    def flags(self):
        """Whether the alternate screen is on, and the cursor shown, as tmux sees them."""
        return self._run("display-message", "-p", "#{alternate_on} #{cursor_flag}").split()

    def close(self):
        """End the server."""
        subprocess.run([*self._tmux, "kill-server"], capture_output=True, check=False, timeout=20)

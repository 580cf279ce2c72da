"""Stands in for the answers of a system that the tests do not run on.

    python -m tests.faults.elsewhere windows|macos|macos-drive FOLDER

runs the main paths in this process, with what Windows or macOS lacks taken away and what it does
otherwise put in its place, and prints what came of it as JSON. No proof that it runs there: proof
that nothing known to differ there stops it.
"""

import asyncio
import builtins
import errno
import fcntl
import json
import os
import pathlib
import signal
import sqlite3  # noqa: F401  what reads sys.platform when it is loaded is loaded before it changes
import subprocess
import sys
import sysconfig
import types
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy  # noqa: F401
import psutil
import pydantic  # noqa: F401
import pyfiglet  # noqa: F401
import requests  # noqa: F401
import sounddevice  # noqa: F401
import soundfile  # noqa: F401
import soxr  # noqa: F401
import textual.app
import textual.widgets
import vosk  # noqa: F401

TEXT_MODE, O_BINARY, F_FULLFSYNC = 0, 0x8000, 51
done: dict[str, Any] = {"full syncs": 0}


def _without_proc() -> None:
    real = pathlib.Path.read_text

    def read_text(path: Path, *args: Any, **more: Any) -> str:
        if str(path).startswith("/proc/"):
            raise FileNotFoundError(path)
        return real(path, *args, **more)

    pathlib.Path.read_text = read_text  # type: ignore[method-assign]


def windows() -> None:
    """No fcntl, no SIGHUP, no modes, no folders opened; text and binary files differ."""
    sys.platform = "win32"
    os.O_BINARY = O_BINARY
    text: set[int] = set()
    real_open, real_write, real_close = os.open, os.write, os.close

    def open_(path: Any, flags: int, mode: int = 0o777) -> int:
        if Path(path).is_dir():
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        descriptor = real_open(path, flags & ~O_BINARY, mode)
        if not flags & O_BINARY:
            text.add(descriptor)
        return descriptor

    def write(descriptor: int, content: bytes) -> int:
        if descriptor in text:
            real_write(descriptor, bytes(content).replace(b"\n", b"\r\n"))
            return len(content)
        return real_write(descriptor, content)

    def close(descriptor: int) -> None:
        text.discard(descriptor)
        real_close(descriptor)

    os.open, os.write, os.close = open_, write, close  # type: ignore[assignment]

    real_kill = os.kill

    def kill(pid: int, number: int) -> None:
        if sys._getframe(1).f_globals["__name__"].startswith("psutil."):
            return real_kill(pid, number)  # which is Linux's here
        raise AssertionError(f"os.kill({pid}, {number}) ends a program there, whatever the number")

    os.kill = kill
    for name in ("getuid", "killpg", "getpgrp", "fork", "mkfifo"):
        delattr(os, name)
    for name in ("SIGHUP", "SIGKILL"):
        delattr(signal, name)
    signal.Signals = _Names({"SIGTERM": signal.SIGTERM, "SIGINT": signal.SIGINT})  # type: ignore[assignment,misc]

    def no_signals(*_: Any) -> None:
        raise NotImplementedError

    asyncio.unix_events._UnixSelectorEventLoop.add_signal_handler = no_signals  # type: ignore[assignment]

    def locking(descriptor: int, _mode: int, _count: int) -> None:
        _lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

    _lockf = fcntl.lockf
    sys.modules["msvcrt"] = types.SimpleNamespace(locking=locking, LK_NBLCK=2)  # type: ignore[assignment]
    _missing("fcntl", "resource", "termios", "pwd")
    _without_proc()


class _Names(dict[str, int]):
    """Stands for the enumeration of signals, which knows what the system has."""


def macos(drive: bool) -> None:
    """F_FULLFSYNC is there; on a network drive it is refused. No /proc."""
    sys.platform = "darwin"
    fcntl.F_FULLFSYNC = F_FULLFSYNC
    real = fcntl.fcntl

    def control(descriptor: int, request: int, *more: Any) -> Any:
        if request != F_FULLFSYNC:
            return real(descriptor, request, *more)
        done["full syncs"] += 1
        if drive:
            raise OSError(errno.ENOTSUP, "Operation not supported")
        os.fsync(descriptor)
        return 0

    fcntl.fcntl = control
    _without_proc()


def _missing(*names: str) -> None:
    real = builtins.__import__

    def import_(name: str, globals: Any = None, *more: Any) -> Any:
        asker = str((globals or {}).get("__name__", ""))
        if name in names and asker.split(".", maxsplit=1)[0] in {"engine", "counter", "models"}:
            raise ImportError(f"No module named {name!r}")
        return real(name, globals, *more)

    builtins.__import__ = import_  # type: ignore[assignment]


def story(folder: Path) -> dict[str, Any]:
    """A make begun, worked by command and in the app, held by one window, and read again."""
    from counter.commandline import main
    from counter.tui.app import SpokenrowApp
    from engine.keep.journal import copy, owner
    from engine.keep.store import InUse, Store

    made = {"start": main(["--data", str(folder), "start", "throw", "--name", "Größe"])}

    async def work(store: Store) -> None:
        app = SpokenrowApp(store, folder / "settings.json", make="Größe")
        async with app.run_test() as pilot:
            for key in ("space", "b", "u", "q"):
                await pilot.press(key)

    with Store(folder / "makes.db") as store:
        asyncio.run(work(store))
        store.open_for_writing("Größe")
        held = 0
        with Store(folder / "makes.db") as other:
            try:
                other.open_for_writing("Größe")
            except InUse:
                held = 1
        made |= {"held": held, "events": len(store.load("Größe")[1])}
        kept, lines = copy.read(copy.place(folder, "Größe"))
        made["copy is whole"] = copy.whole(kept, lines)
    # A program's number is given again: by its beginning it is known that it is another.
    me = owner.myself()
    made["I run"] = owner.runs(me)
    made["another by my number runs"] = owner.runs(me.model_copy(update={"began": "1.00"}))
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    made["who has ended runs"] = owner.runs(me.model_copy(update={"pid": child.pid, "began": ""}))
    for words in (["log", "Größe"], ["verify", "Größe"], ["export", "Größe"]):
        made[words[0]] = main(["--data", str(folder), *words])
    return made


if __name__ == "__main__":
    sysconfig.get_config_vars()
    assert psutil.pid_exists(os.getpid())
    assert textual.app.App
    begin: dict[str, Callable[[], None]] = {
        "windows": windows,
        "macos": lambda: macos(False),
        "macos-drive": lambda: macos(True),
    }
    begin[sys.argv[1]]()
    print("\n" + json.dumps(done | story(Path(sys.argv[2]))))

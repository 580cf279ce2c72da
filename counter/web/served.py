"""The app that a browser shows: one program with a pipe to it, and its end with all it began.

Textual's web driver says what goes over the pipe: after the line `__GANGLION__`, packets of a
letter (D for what the terminal would get, M for JSON), four bytes of length, and the content.
"""

import asyncio
import contextlib
import json
import os
import signal
import sys
from collections.abc import Awaitable, Callable, Sequence
from typing import NamedTuple, Self

import psutil

_BEGUN = b"__GANGLION__\n"
_KEYS, _META, _SCREEN = b"D", b"M", b"D"
BEGIN_S = 60.0
"""Seconds in which an app has to begin."""
QUIT_S, TERM_S, KILL_S = 4.0, 2.0, 2.0
"""Seconds that an app has after it is asked to end, told to end, and ended: eight together."""
TAKES_S = 5.0
"""Seconds in which an app has to take what is typed."""
LARGEST = 8 * 2**20
"""Bytes of one packet; the largest screen that there may be, painted anew, has a tenth of that."""
_BEFORE = 10
"""Lines that an app may print before it draws."""
_COMPLAINT = 4_000
"""Bytes of standard error that are kept: enough for the last sentence."""


class Size(NamedTuple):
    """Columns and lines of a browser's window."""

    width: int
    height: int

    @classmethod
    def of(cls, width: object, height: object) -> Self:
        """A size as a browser tells it: within bounds, and the usual one where it is none."""
        return cls(_within(width, 20, 500, 80), _within(height, 5, 200, 24))


def _within(told: object, least: int, most: int, usual: int) -> int:
    if isinstance(told, str) and told.isascii() and told.isdecimal() and len(told) < 10:
        told = int(told)
    if isinstance(told, bool) or not isinstance(told, int):
        return usual
    return min(max(told, least), most)


class NotBegun(Exception):
    """The app ended before it showed anything; the text is the last that it said."""


Show = Callable[[bytes], Awaitable[None]]
"""Takes what the app draws."""


class ServedApp:
    """One app. Whoever begins it must end it."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        self._process = process
        self._said = b""
        self._listening = asyncio.create_task(self._keep_complaints())

    @classmethod
    async def begin(cls, command: Sequence[str], size: Size) -> Self:
        """Start it and wait until it draws. Raises NotBegun; cancelled, it leaves nothing."""
        app = cls(
            await asyncio.create_subprocess_exec(
                *command,
                stdin=asyncio.subprocess.PIPE,
                stdout=asyncio.subprocess.PIPE,
                stderr=asyncio.subprocess.PIPE,
                env=_environment(size),
                # A group of its own, so that nothing it started is left when it is ended.
                start_new_session=sys.platform != "win32",
            )
        )
        begun = False
        try:
            async with asyncio.timeout(BEGIN_S):
                for _ in range(_BEFORE):
                    if begun := await app._stdout.readline() == _BEGUN:
                        break
        except (TimeoutError, ValueError):
            pass
        finally:
            if not begun:
                app._signal(_KILL)
                await app.end()
        if not begun:
            raise NotBegun(app._said.decode("utf-8", "replace").strip())
        return app

    @property
    def pid(self) -> int:
        """Its process, which leads its group."""
        return self._process.pid

    @property
    def _stdout(self) -> asyncio.StreamReader:
        assert self._process.stdout is not None
        return self._process.stdout

    async def run(self, show: Show) -> None:
        """Give what it draws to `show` until it ends."""
        with contextlib.suppress(asyncio.IncompleteReadError):
            while True:
                kind, size = await self._stdout.readexactly(1), await self._stdout.readexactly(4)
                length = int.from_bytes(size, "big")
                if length > LARGEST:
                    return
                content = await self._stdout.readexactly(length)
                if kind == _SCREEN:
                    await show(content)
                elif kind == _META and b'"exit"' in content:
                    return

    async def type(self, keys: str) -> bool:
        """Hand on what was typed; False where the app does not take it."""
        return await self._send(_KEYS, keys.encode("utf-8", "replace"))

    async def resize(self, size: Size) -> bool:
        """Tell it the window's size."""
        return await self._tell({"type": "resize", **size._asdict()})

    async def focus(self, there: bool) -> bool:
        """Tell it whether the window has the keys."""
        return await self._tell({"type": "focus" if there else "blur"})

    async def _tell(self, data: dict[str, object]) -> bool:
        return await self._send(_META, json.dumps(data).encode())

    async def _send(self, kind: bytes, content: bytes) -> bool:
        stdin = self._process.stdin
        assert stdin is not None
        try:
            stdin.write(kind + len(content).to_bytes(4, "big") + content)
            async with asyncio.timeout(TAKES_S):
                await stdin.drain()
        except (OSError, RuntimeError, TimeoutError):
            return False
        return True

    async def end(self) -> None:
        """Ask it to end, then tell it, then end it, and everything that it began with it."""
        await asyncio.shield(asyncio.ensure_future(self._end()))

    async def _end(self) -> None:
        family = _family(self.pid)
        # What it still draws is read, or it would wait for that for ever.
        draining = asyncio.create_task(self._drain())
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(QUIT_S):
                await self._tell({"type": "quit"})
                await self._process.wait()
        for number, seconds in ((signal.SIGTERM, TERM_S), (_KILL, KILL_S)):
            if self._process.returncode is None:
                self._signal(number)
                with contextlib.suppress(TimeoutError):
                    async with asyncio.timeout(seconds):
                        await self._process.wait()
        self._signal(_KILL)  # what it left behind
        for one in family:
            with contextlib.suppress(psutil.Error):
                one.kill()  # by its number and beginning: nobody else's
        for task in (draining, self._listening):
            task.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await task

    def _signal(self, number: int) -> None:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            if sys.platform != "win32":
                os.killpg(self._process.pid, number)
            elif self._process.returncode is None:
                self._process.kill()

    async def _drain(self) -> None:
        with contextlib.suppress(ValueError, RuntimeError):
            while await self._stdout.read(2**16):
                pass

    async def _keep_complaints(self) -> None:
        assert self._process.stderr is not None
        while more := await self._process.stderr.read(4096):
            self._said = (self._said + more)[-_COMPLAINT:]


def _family(pid: int) -> list[psutil.Process]:
    """What a program began, where there are no groups to end it by; empty where there are."""
    if sys.platform != "win32":
        return []
    with contextlib.suppress(psutil.Error):
        return psutil.Process(pid).children(recursive=True)
    return []


if sys.platform == "win32":
    _KILL = signal.SIGTERM
else:
    _KILL = signal.SIGKILL


def _environment(size: Size) -> dict[str, str]:
    """What tells Textual that a browser shows it."""
    return {
        **os.environ,
        "TEXTUAL_DRIVER": "textual.drivers.web_driver:WebDriver",
        "TEXTUAL_COLOR_SYSTEM": "truecolor",
        "TERM_PROGRAM": "textual",
        "COLUMNS": str(size.width),
        "ROWS": str(size.height),
    }

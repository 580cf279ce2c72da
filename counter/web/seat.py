"""The one place before the app: no word counts twice, so one browser window has it at a time.

A window is a visit. One more visit of the same window (a reload) takes the place of the one before;
another window has to say that it takes over. Who waits is let in by a lock, one after the other,
and only the newest: of two hundred reloads in ten seconds the last one begins an app. An app is
ended, with all that it began, before the next one begins.
"""

import asyncio
import contextlib
from collections.abc import Callable, Sequence

from aiohttp import web

from counter.web.served import NotBegun, ServedApp, Size

TAKEN, TAKEN_OVER, IDLE, NOT_BEGUN = 4001, 4002, 4003, 4004
"""Why a connection was closed. Codes from 4000 on are for such use (RFC 6455, 7.4.2)."""
LEFT = 1000
SETTLE_S = 0.25
"""Seconds that a visit must last before an app is begun for it."""
IDLE_S = 12 * 3600.0
"""Seconds without a key, a click or a change of focus after which the app is closed."""
_LOOK_S = 60.0


class Visit:
    """A browser window's connection."""

    def __init__(self, window: str, socket: web.WebSocketResponse, size: Size) -> None:
        self.window, self.socket, self.size = window, socket, size
        self.app: ServedApp | None = None
        self.over = asyncio.Event()
        self.why = LEFT
        self.used = asyncio.get_running_loop().time()
        """When anything last came from it."""

    def end(self, why: int = LEFT) -> None:
        """It is over; the first reason counts."""
        if not self.over.is_set():
            self.why = why
            self.over.set()

    async def show(self, content: bytes) -> None:
        """What the app draws."""
        try:
            await self.socket.send_bytes(content)
        except ConnectionError:
            self.end()


class Seat:
    """Whose turn it is, and the app that runs meanwhile."""

    def __init__(self, command: Sequence[str], say: Callable[[str], None]) -> None:
        """`command` begins an app; `say` tells the one who serves what went wrong with one."""
        self._command, self._say = command, say
        self._lock = asyncio.Lock()
        self._newest: Visit | None = None
        self._turns: set[asyncio.Task[None]] = set()

    def taken(self, window: str) -> bool:
        """Whether another window has it."""
        newest = self._newest
        return newest is not None and not newest.over.is_set() and newest.window != window

    def sit(self, visit: Visit, *, take: bool) -> asyncio.Task[None]:
        """Give a visit its turn, which lasts until its connection is closed and its app ended.

        It is over at once where another window has the app, unless it takes over.
        """
        if self.taken(visit.window) and not take:
            visit.end(TAKEN)
        else:
            if self._newest is not None:
                self._newest.end(TAKEN_OVER)
            self._newest = visit
        turn = asyncio.create_task(self._turn(visit))
        self._turns.add(turn)
        turn.add_done_callback(self._turns.discard)
        return turn

    async def close(self) -> None:
        """End every visit; returns when no app is left."""
        if self._newest is not None:
            self._newest.end()
        while self._turns:
            await asyncio.wait(self._turns)

    async def _turn(self, visit: Visit) -> None:
        if not visit.over.is_set():
            async with self._lock:
                await self._serve(visit)
        with contextlib.suppress(ConnectionError):
            await visit.socket.close(code=visit.why)

    async def _serve(self, visit: Visit) -> None:
        over = asyncio.create_task(visit.over.wait())
        try:
            await asyncio.wait({over}, timeout=SETTLE_S)
            if over.done():
                return
            beginning = asyncio.create_task(ServedApp.begin(self._command, visit.size))
            await asyncio.wait({over, beginning}, return_when=asyncio.FIRST_COMPLETED)
            if not beginning.done():
                beginning.cancel()
            try:
                app = await beginning
            except asyncio.CancelledError:
                return
            except (NotBegun, OSError) as error:
                self._say(f"The app did not begin: {error or 'it said nothing'}.")
                visit.end(NOT_BEGUN)
                return
            try:
                await self._show(app, visit, over)
            finally:
                visit.app = None
                await app.end()
        finally:
            over.cancel()

    async def _show(self, app: ServedApp, visit: Visit, over: asyncio.Task[bool]) -> None:
        showing = asyncio.create_task(app.run(visit.show))
        visit.app = app
        await app.resize(visit.size)
        while not (over.done() or showing.done()):
            await asyncio.wait(
                {over, showing}, timeout=_LOOK_S, return_when=asyncio.FIRST_COMPLETED
            )
            if asyncio.get_running_loop().time() - visit.used > IDLE_S:
                visit.end(IDLE)
        visit.end()
        showing.cancel()
        with contextlib.suppress(asyncio.CancelledError, ConnectionError):
            await showing

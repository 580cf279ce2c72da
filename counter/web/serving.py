"""The app in a browser: the page, and the connection that carries keys in and pictures out.

The app runs here, on the machine that serves it: its ears use the microphone of this machine, and
the browser only shows and types. `door` says who comes in, `seat` whose turn it is, `served` is
the app itself. The terminal in the page is `textual-serve`'s.
"""

import asyncio
import contextlib
import json
import logging
import re
import signal
import sys
from asyncio import Protocol
from collections.abc import Awaitable, Callable, Iterable
from importlib.resources import files
from pathlib import Path

import textual_serve
from aiohttp import WSMsgType, web

from counter.web.door import KEY, Door, is_loopback
from counter.web.seat import Seat, Visit
from counter.web.served import Size

_STATIC = Path(textual_serve.__file__).parent / "static"
LONGEST = 2**16
"""Bytes of one message from a browser: a pasted note is far shorter."""
HEARTBEAT_S = 15.0
"""Seconds after which a browser is asked whether it is there; it has half of that to answer."""
MOST_CONNECTIONS = 64
"""Connections at once: a page with all that belongs to it needs seven."""
SILENT_S = 10.0
"""Seconds in which a new connection has to ask for something, and an old one to ask again."""
_WINDOW = re.compile(r"[0-9a-f]{32}")
_LETTERS = re.compile(r"[0-9]{1,3}")
_Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class BrowserServer:
    """Serves one app, given as a command line, to one browser window at a time."""

    def __init__(self, command: list[str], door: Door, say: Callable[[str], None]) -> None:
        self.door, self._say = door, say
        self.seat = Seat(command, say)
        self._listening: asyncio.Server | None = None
        self._silent: dict[Protocol, asyncio.TimerHandle] = {}
        """Connections that have not asked for anything yet, and when they are closed for it."""

    def application(self) -> web.Application:
        """What answers requests."""
        app = web.Application(middlewares=[self._guard])
        app.add_routes(
            [
                web.get("/", self._ours),
                web.get("/page.css", self._ours),
                web.get("/page.js", self._ours),
                web.get("/seat/{window}", self._whose),
                web.get("/ws/{window}", self._visit),
                web.get("/ws/{window}/take", self._visit),
                web.static("/static", _STATIC),
            ]
        )
        app.on_shutdown.append(self._close)
        return app

    async def start(self, host: str, port: int) -> web.AppRunner:
        """Begin to answer there. Raises OSError where the port cannot be had."""
        for name in ("aiohttp.server", "aiohttp.web", "aiohttp.websocket", "asyncio"):
            # Their reports repeat what was asked for, and with it the key.
            logging.getLogger(name).disabled = True
        runner = web.AppRunner(
            self.application(), access_log=None, keepalive_timeout=SILENT_S, shutdown_timeout=2.0
        )
        await runner.setup()
        try:
            self._listening = await asyncio.get_running_loop().create_server(
                self._connected(runner), host, port
            )
        except OSError:
            await runner.cleanup()
            raise
        self._say(f"spokenrow is open at {self.door.link}")
        self._say("The link lets one browser in, once.")
        if not is_loopback(host):
            self._say(
                "What is shown and typed crosses the network unencrypted: use it only on a network "
                "you trust."
            )
        self._say("The microphone stays here, at this machine. Ctrl+C closes it.")
        return runner

    def run(self) -> None:
        """Serve until interrupted. Raises OSError where the port cannot be had."""
        with contextlib.suppress(KeyboardInterrupt):
            asyncio.run(self._until_interrupted())

    async def _until_interrupted(self) -> None:
        runner = await self.start(self.door.host, self.door.port)
        done = asyncio.Event()
        with contextlib.suppress(NotImplementedError):  # on Windows Ctrl+C is an exception
            for number in (signal.SIGINT, signal.SIGTERM):
                asyncio.get_running_loop().add_signal_handler(number, done.set)
        try:
            await done.wait()
        finally:
            await runner.cleanup()

    def _connected(self, runner: web.AppRunner) -> Callable[[], Protocol]:
        """Makes what speaks with a new connection, as long as there are not too many."""
        server = runner.server
        assert server is not None

        def connected() -> Protocol:
            if len(server.connections) >= MOST_CONNECTIONS:
                return _Refused()
            spoken = server()
            self._silent[spoken] = asyncio.get_running_loop().call_later(
                SILENT_S, self._drop_silent, spoken
            )
            return spoken

        return connected

    def _drop_silent(self, connection: Protocol) -> None:
        del self._silent[connection]
        transport = getattr(connection, "transport", None)
        if transport is not None:
            transport.abort()

    @web.middleware
    async def _guard(self, request: web.Request, handler: _Handler) -> web.StreamResponse:
        if waiting := self._silent.pop(request.protocol, None):
            waiting.cancel()
        refused = self.door.stranger(
            request.headers.get("Host", ""),
            request.headers.get("Origin"),
            must_say=request.path.startswith("/ws/"),
        )
        if refused:
            raise web.HTTPForbidden(text=refused)
        if not self.door.knows(request.cookies.get(self.door.cookie, "")):
            return self._let_in(request)
        try:
            response = await handler(request)
        except (web.HTTPException, asyncio.CancelledError, ConnectionError):
            raise
        except Exception as error:
            self._say(f"The page made a mistake of its own ({type(error).__name__}).")
            raise web.HTTPInternalServerError from error
        if not response.prepared:
            self._close_in(request, response)
        return response

    def _let_in(self, request: web.Request) -> web.StreamResponse:
        cookie = self.door.let_in(request.query.get(KEY, "")) if request.path == "/" else None
        if cookie is None:
            raise web.HTTPForbidden(
                text="The link is used up or was never right: take the last one that spokenrow "
                "printed."
            )
        self._say(f"A browser came in from {request.remote}. For another one: {self.door.link}")
        size = request.query.get("fontsize", "")
        place = f"/?fontsize={size}" if _LETTERS.fullmatch(size) else "/"
        response = web.Response(status=303, headers={"Location": place})
        response.set_cookie(self.door.cookie, cookie, httponly=True, samesite="Lax")
        self._close_in(request, response)
        return response

    def _close_in(self, request: web.Request, response: web.StreamResponse) -> None:
        """Headers that keep the page to itself: nothing from elsewhere, in no frame, not kept."""
        response.headers.update(
            {
                "Content-Security-Policy": "default-src 'none'; script-src 'self'; "
                "style-src 'self' 'unsafe-inline'; font-src 'self'; img-src 'self' data:; "
                f"connect-src 'self' ws://{request.host}; base-uri 'none'; form-action 'none'; "
                "frame-ancestors 'none'",
                "Referrer-Policy": "no-referrer",
                "X-Content-Type-Options": "nosniff",
                "Cache-Control": "no-store",
            }
        )

    async def _ours(self, request: web.Request) -> web.Response:
        name = request.path.removeprefix("/") or "page.html"
        kind = {"css": "text/css", "js": "text/javascript", "html": "text/html"}
        return web.Response(text=_file(name), content_type=kind[name.rpartition(".")[2]])

    async def _whose(self, request: web.Request) -> web.Response:
        return web.json_response({"taken": self.seat.taken(_window(request))})

    async def _visit(self, request: web.Request) -> web.StreamResponse:
        socket = web.WebSocketResponse(heartbeat=HEARTBEAT_S, max_msg_size=LONGEST)
        window = _window(request)
        await socket.prepare(request)
        size = Size.of(request.query.get("width"), request.query.get("height"))
        visit = Visit(window, socket, size)
        turn = self.seat.sit(visit, take=request.path.endswith("/take"))
        try:
            async for message in socket:
                if message.type is WSMsgType.TEXT:
                    await _take(visit, message.data)
        finally:
            visit.end()
            await asyncio.wait({turn})
        return socket

    async def _close(self, _app: web.Application) -> None:
        if self._listening is not None:
            self._listening.close()
        await self.seat.close()


class _Refused(Protocol):
    """A connection too many."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Close it at once."""
        transport.close()


def _window(request: web.Request) -> str:
    """The window's own name for itself. Raises HTTPBadRequest for anything else."""
    window = request.match_info["window"]
    if not _WINDOW.fullmatch(window):
        raise web.HTTPBadRequest(text="A window names itself by 32 hexadecimal digits.")
    return window


async def _take(visit: Visit, text: str) -> None:
    """What a browser sends; what is none of the messages known here is passed over."""
    visit.used = asyncio.get_running_loop().time()
    try:
        kind, *more = json.loads(text)
    except (ValueError, TypeError, RecursionError):
        return
    taken = True
    match kind, more:
        case "resize", [{"width": width, "height": height}]:
            visit.size = Size.of(width, height)
            taken = visit.app is None or await visit.app.resize(visit.size)
        case "stdin", [str(keys)] if visit.app is not None:
            taken = await visit.app.type(keys)
        case (("focus" | "blur"), _) if visit.app is not None:
            taken = await visit.app.focus(kind == "focus")
        case "ping", [str(told)]:
            await visit.socket.send_json(["pong", told[:100]])
    if not taken:
        visit.end()


def _file(name: str) -> str:
    return files("counter.web.browser").joinpath(name).read_text(encoding="utf-8")


def app_command(data: Path | None, more: Iterable[str]) -> list[str]:
    """The command line of the app that is served."""
    where = ["--data", str(data)] if data else []
    return [sys.executable, "-m", "counter", *where, "app", *more]

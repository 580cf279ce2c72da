"""The app in a browser: whom it lets in, and the one session it keeps.

`textual-serve` runs the app and speaks to the page; this module decides who may. The app runs
here, on the machine that serves it: its ears use the microphone of this machine, and the browser
only shows and types. One browser at a time has it, so that no word counts twice; the latest wins.

- Every request must name a host that this machine answers to, which stops a page elsewhere from
  reaching it under a name of its own (DNS rebinding).
- A request that says where it comes from must come from our own page; the app's own connection
  always has to say so.
- Off the loopback a key in the link lets one browser in, once, and gives it a cookie.
"""

import asyncio
import html
import ipaddress
import re
import secrets
import shlex
import socket
import sys
from asyncio.subprocess import Process
from collections.abc import Awaitable, Callable, Iterable
from contextlib import suppress
from contextvars import ContextVar
from importlib.resources import files
from pathlib import Path

import textual_serve
from aiohttp import WSCloseCode, web
from textual_serve.app_service import AppService
from textual_serve.server import Server

COOKIE = "spokenrow"
KEY = "key"
_STATIC = Path(textual_serve.__file__).parent / "static"
_LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
_AUTHORITY = re.compile(
    r"(?:\[(?P<six>[0-9a-fA-F:.]+)\]|(?P<name>[^\[\]:@/]+))(?::(?P<port>\d{1,5}))?"
)
"""Host and port as RFC 9110 writes them, IPv6 in brackets."""
_STOP_WITHIN = 5.0
"""Seconds that an app has to end before the next browser's begins all the same."""
_Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach it there."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def own_names(host: str) -> frozenset[str]:
    """The names under which a browser may ask for what is served at `host`."""
    if is_loopback(host):
        return _LOOPBACK | {host}
    try:
        everywhere = ipaddress.ip_address(host).is_unspecified
    except ValueError:
        everywhere = False
    if not everywhere:
        return frozenset({host.casefold()})
    name = socket.gethostname().casefold()
    return _LOOPBACK | {name, f"{name}.local"} | set(_addresses())


def _addresses() -> Iterable[str]:
    """This machine's addresses, as far as the system tells them."""
    try:
        told = socket.getaddrinfo(socket.gethostname(), None)
    except OSError:
        told = []
    yield from (str(entry[4][0]) for entry in told)
    for family, elsewhere in ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")):
        # Nothing is sent: connecting a datagram socket only picks the way out (the addresses are
        # those kept for documentation, RFC 5737 and RFC 3849).
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                probe.connect((elsewhere, 9))
                yield str(probe.getsockname()[0])
        except OSError:
            continue


def reachable(host: str) -> str:
    """A name for the link: the host, or this machine's own address where it serves everywhere."""
    if is_loopback(host) or host in own_names(host):
        return host
    found = [name for name in _addresses() if not is_loopback(name)]
    return found[0] if found else socket.gethostname()


def _url(host: str, port: int) -> str:
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def _name_of(authority: str, port: int) -> str | None:
    """The host out of a Host header; None where there is none or its port is not ours."""
    found = _AUTHORITY.fullmatch(authority)
    if not found or int(found["port"] or 80) != port:
        return None
    return (found["six"] or found["name"]).casefold()


_TICKET: ContextVar[asyncio.Event] = ContextVar("ticket")
"""Which visit a connection is."""


class Door:
    """Who comes in. Pure but for its secrets."""

    def __init__(self, host: str, port: int, *, needs_key: bool) -> None:
        self.host, self.port = host, port
        self.names = own_names(host)
        self.key = secrets.token_urlsafe(24) if needs_key else ""
        """What the link must carry; used up by the first who brings it."""
        self._cookies: set[str] = set()

    @property
    def link(self) -> str:
        """Where to go."""
        return _url(reachable(self.host), self.port) + (f"?{KEY}={self.key}" if self.key else "")

    def stranger(self, host: str, origin: str | None, *, must_say: bool) -> str:
        """Why a request is turned away by its headers; empty where it is not."""
        if _name_of(host, self.port) not in self.names:
            return "This address is not one of this machine's: use the link that spokenrow printed."
        if origin is None:
            return "The page must say where it comes from." if must_say else ""
        return "" if origin == f"http://{host}" else "Another page may not come in here."

    def let_in(self, key: str) -> str | None:
        """A cookie for whoever brings the key, and a new key for the next; None for a wrong one."""
        if not self.key or not secrets.compare_digest(key.encode(), self.key.encode()):
            return None
        self.key = secrets.token_urlsafe(24)
        cookie = secrets.token_urlsafe(32)
        self._cookies.add(cookie)
        return cookie

    def knows(self, cookie: str) -> bool:
        """Whether it was let in before; everybody was where no key is needed."""
        return not self.key or any(
            secrets.compare_digest(cookie.encode(), known.encode()) for known in self._cookies
        )


class BrowserServer(Server):
    """Serves one app, given as a command line, to one browser at a time."""

    def __init__(self, command: list[str], door: Door, say: Callable[[str], None] = print) -> None:
        super().__init__(shlex.join(command), host=door.host, port=door.port, title="spokenrow")
        self.door, self.say = door, say
        self._seat: web.WebSocketResponse | None = None
        self._ticket: asyncio.Event | None = None
        """Set when the app of the browser that came last has ended."""
        self._process: Process | None = None

    async def _make_app(self) -> web.Application:
        app = web.Application(middlewares=[self._guard])
        app.add_routes(
            [
                web.get("/", self._page),
                web.get("/page.css", self._ours),
                web.get("/page.js", self._ours),
                web.get("/ws", self._take_seat),
                web.static("/static", _STATIC),
            ]
        )
        app.on_startup.append(self._announce)
        app.on_shutdown.append(self._close)
        return app

    async def _announce(self, _app: web.Application) -> None:
        self.say(f"spokenrow is open at {self.door.link}")
        if self.door.key:
            self.say(
                "The link lets one browser in, once. What is shown and typed crosses the network "
                "unencrypted: use it only on a network you trust."
            )
        self.say("The ears stay here, at this machine's microphone. Ctrl+C closes it.")

    @web.middleware
    async def _guard(self, request: web.Request, handler: _Handler) -> web.StreamResponse:
        refused = self.door.stranger(
            request.headers.get("Host", ""),
            request.headers.get("Origin"),
            must_say=request.path == "/ws",
        )
        if refused:
            raise web.HTTPForbidden(text=refused)
        if not self.door.knows(request.cookies.get(COOKIE, "")):
            return self._let_in(request)
        response = await handler(request)
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
        self.say(f"A browser came in from {request.remote}. For another one: {self.door.link}")
        response = web.Response(status=303, headers={"Location": "/"})
        response.set_cookie(COOKIE, cookie, httponly=True, samesite="Lax")
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

    async def _page(self, request: web.Request) -> web.Response:
        size = request.query.get("fontsize", "")
        text = _file("page.html")
        text = text.replace("{{ websocket }}", html.escape(f"ws://{request.host}/ws"))
        text = text.replace("{{ font_size }}", size if size.isdecimal() and len(size) < 4 else "18")
        return web.Response(text=text, content_type="text/html")

    async def _ours(self, request: web.Request) -> web.Response:
        name = request.path.removeprefix("/")
        kind = "text/css" if name.endswith(".css") else "text/javascript"
        return web.Response(text=_file(name), content_type=kind)

    async def _take_seat(self, request: web.Request) -> web.StreamResponse:
        """The newest browser has the app; the one before is told, and its app ended first."""
        before, ticket = self._ticket, asyncio.Event()
        self._ticket = ticket
        _TICKET.set(ticket)
        await self._leave()
        if before is not None:
            with suppress(TimeoutError):
                await asyncio.wait_for(before.wait(), _STOP_WITHIN)
        try:
            return await self.handle_websocket(request)
        finally:
            await _ended(self._process)
            ticket.set()

    async def _process_messages(
        self, websocket: web.WebSocketResponse, app_service: AppService
    ) -> None:
        if _TICKET.get() is not self._ticket:
            # Another browser came while this one's app was starting.
            await websocket.close(code=WSCloseCode.GOING_AWAY)
            return
        self._seat, self._process = websocket, app_service._process
        await super()._process_messages(websocket, app_service)

    async def _close(self, _app: web.Application) -> None:
        await self._leave()
        if self._ticket is not None:
            with suppress(TimeoutError):
                await asyncio.wait_for(self._ticket.wait(), _STOP_WITHIN)

    async def _leave(self) -> None:
        seat, self._seat = self._seat, None
        if seat is not None and not seat.closed:
            await seat.close(code=WSCloseCode.GOING_AWAY, message=b"opened elsewhere")

    def run(self) -> None:
        """Serve until interrupted. Raises OSError where the port cannot be had."""
        web.run_app(
            self._make_app(),
            host=self.host,
            port=self.port,
            print=lambda *_: None,
            access_log=None,
            shutdown_timeout=2.0,
        )


def _file(name: str) -> str:
    return files("counter.web.browser").joinpath(name).read_text(encoding="utf-8")


async def _ended(process: Process | None) -> None:
    """Wait for the app; one that does not end in time is ended."""
    if process is None:
        return
    try:
        await asyncio.wait_for(process.wait(), _STOP_WITHIN)
    except TimeoutError:
        process.kill()


def app_command(data: Path | None, more: Iterable[str]) -> list[str]:
    """The command line of the app that is served."""
    where = ["--data", str(data)] if data else []
    return [sys.executable, "-m", "counter", *where, "app", *more]

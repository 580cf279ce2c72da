"""A server over real sockets with a small app of its own, and a browser that speaks to it."""

import asyncio
import json
import os
import sys
import uuid
from typing import Any

import aiohttp
import psutil
from aiohttp import web

from counter.web.door import Door
from counter.web.serving import BrowserServer

SMALL = """
from textual.app import App
from textual.widgets import Static
class Small(App):
    def compose(self):
        yield Static("nothing yet")
    def on_key(self, event):
        self.query_one(Static).update("heard:" + event.key)
    def on_resize(self, event):
        self.query_one(Static).update(f"size:{event.size.width}x{event.size.height}")
Small().run()
"""
QUICK = """
import signal, sys, subprocess, time
sys.stdout.write("__GANGLION__\\n"); sys.stdout.flush()
sys.stdout.buffer.write(b"D\\0\\0\\0\\x05begun"); sys.stdout.flush()
"""
IDLE_APP = (
    QUICK
    + """
import os
while b'"quit"' not in os.read(0, 65536): pass
"""
)
"""Begins at once, and ends when it is asked to."""
HUNG_APP = (
    QUICK
    + """
signal.signal(signal.SIGTERM, signal.SIG_IGN); signal.signal(signal.SIGINT, signal.SIG_IGN)
child = "import signal,time; signal.signal(signal.SIGTERM, signal.SIG_IGN); time.sleep(600)"
subprocess.Popen([sys.executable, "-c", child], stdout=subprocess.DEVNULL,
                 stderr=subprocess.DEVNULL)
time.sleep(600)
"""
)
"""Takes nothing, heeds no signal, and has a child that is like it."""


class Site:
    """What is served, and the ways to it."""

    def __init__(self, port: int, server: BrowserServer, runner: web.AppRunner, said: list[str]):
        self.port, self.server, self.runner, self.said = port, server, runner, said
        self.url = f"http://127.0.0.1:{port}"
        self.cookie = ""

    async def get(self, path: str = "/", **more: Any) -> tuple[int, str, Any]:
        """Status, text and headers, without the cookie unless it is given."""
        async with (
            aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar()) as session,
            session.get(self.url + path, allow_redirects=False, **more) as reply,
        ):
            return reply.status, await reply.text(), reply.headers

    async def come_in(self) -> dict[str, str]:
        """Use the link; the headers of a browser that is let in."""
        if not self.cookie:
            link = self.server.door.link.removeprefix(self.url)
            _, _, headers = await self.get(link)
            self.cookie = headers["Set-Cookie"].split(";")[0]
        return {"Cookie": self.cookie, "Origin": self.url}

    async def connect(
        self, session: aiohttp.ClientSession, window: str, take: str = "", size: str = ""
    ) -> aiohttp.ClientWebSocketResponse:
        """A window's connection."""
        return await session.ws_connect(
            f"{self.url}/ws/{window}{take}{size}", headers=await self.come_in()
        )


async def serve(port: int, program: str = SMALL) -> Site:
    """Begin to serve a program; whoever does has to clean the runner up."""
    said: list[str] = []
    server = BrowserServer([sys.executable, "-c", program], Door("127.0.0.1", port), said.append)
    return Site(port, server, await server.start("127.0.0.1", port), said)


def window() -> str:
    """A name as a window gives itself."""
    return uuid.uuid4().hex


_OTHERS: set[psutil.Process] = set()
"""What tests before this one began, and may not be over."""


def pass_over_others() -> None:
    """From now on `begun` tells of what begins from now on."""
    _OTHERS.update(begun())


def begun() -> list[psutil.Process]:
    """Everything that this process began and that still runs."""
    children = psutil.Process(os.getpid()).children(recursive=True)
    return [child for child in children if alive(child) and child not in _OTHERS]


def alive(process: psutil.Process) -> bool:
    """Whether it runs; who was ended and not yet asked for does not."""
    try:
        return process.is_running() and process.status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


async def seen(socket: aiohttp.ClientWebSocketResponse, wanted: str) -> bool:
    """Whether the screen comes to show it before the connection ends."""
    shown = b""
    async for message in socket:
        if message.type is aiohttp.WSMsgType.BINARY:
            shown += message.data
            if wanted.encode() in shown:
                return True
    return False


async def send(socket: aiohttp.ClientWebSocketResponse, *message: object) -> None:
    """What a page sends."""
    await socket.send_str(json.dumps(message))


async def until(what: Any, seconds: float = 15.0) -> bool:
    """Whether it comes to be true in time."""
    for _ in range(int(seconds * 20)):
        if what():
            return True
        await asyncio.sleep(0.05)
    return bool(what())

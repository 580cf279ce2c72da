"""The server over real sockets, with a small app of its own instead of the make."""

import asyncio
import json
import os
import subprocess
import sys
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("textual_serve", reason="pip install 'spokenrow[browser]'")

import aiohttp
from aiohttp import web

from counter.commandline import main
from counter.web.serving import COOKIE, BrowserServer, Door, app_command

SMALL = """
from textual.app import App
from textual.widgets import Static
class Small(App):
    def compose(self):
        yield Static("nothing yet")
    def on_key(self, event):
        self.query_one(Static).update("heard:" + event.key)
Small().run()
"""
Start = Callable[..., Any]


class Site:
    def __init__(self, port: int, server: BrowserServer, said: list[str]) -> None:
        self.port, self.server, self.said = port, server, said
        self.url = f"http://127.0.0.1:{port}"

    async def get(self, path: str = "/", **more: Any) -> tuple[int, str, Any]:
        async with (
            aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar()) as session,
            session.get(self.url + path, allow_redirects=False, **more) as reply,
        ):
            return reply.status, await reply.text(), reply.headers


@pytest.fixture
async def start(unused_tcp_port_factory: Callable[[], int]) -> AsyncIterator[Start]:
    runners: list[web.AppRunner] = []

    async def begin(*, needs_key: bool = False) -> Site:
        port = unused_tcp_port_factory()
        said: list[str] = []
        door = Door("127.0.0.1", port, needs_key=needs_key)
        server = BrowserServer([sys.executable, "-c", SMALL], door, said.append)
        runner = web.AppRunner(await server._make_app(), shutdown_timeout=2.0)
        await runner.setup()
        await web.TCPSite(runner, "127.0.0.1", port).start()
        runners.append(runner)
        return Site(port, server, said)

    yield begin
    for runner in runners:
        await runner.cleanup()


async def test_the_page_comes_and_keeps_to_itself(start: Start) -> None:
    site = await start()
    status, text, headers = await site.get()
    assert status == 200
    assert f"ws://127.0.0.1:{site.port}/ws" in text
    assert "https://" not in text
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"
    for path in ("/page.css", "/page.js", "/static/js/textual.js"):
        assert (await site.get(path))[0] == 200
    for path in ("/static/", "/static/../server.py", "/static/%2e%2e/server.py", "/download/x"):
        assert (await site.get(path))[0] in {403, 404}
    assert any(site.url in line for line in site.said)


async def test_another_host_or_origin_is_turned_away(start: Start) -> None:
    site = await start()
    assert (await site.get(headers={"Host": f"evil.example:{site.port}"}))[0] == 403
    assert (await site.get(headers={"Origin": "http://evil.example"}))[0] == 403
    async with aiohttp.ClientSession() as session:
        for headers in ({}, {"Origin": "http://evil.example"}):
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await session.ws_connect(f"{site.url}/ws", headers=headers)
            assert refused.value.status == 403


async def test_a_key_opens_once_and_the_cookie_goes_on(start: Start) -> None:
    site = await start(needs_key=True)
    link = site.server.door.link.removeprefix(site.url)
    assert (await site.get("/"))[0] == 403
    assert (await site.get("/page.css"))[0] == 403
    assert (await site.get("/?key=wrong"))[0] == 403
    status, _, headers = await site.get(link)
    assert status == 303
    assert headers["Location"] == "/"
    cookie = headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    held = {"Cookie": cookie.split(";")[0]}
    assert (await site.get("/", headers=held))[0] == 200
    assert (await site.get("/page.css", headers=held))[0] == 200
    assert (await site.get(link))[0] == 403
    assert (await site.get("/", headers={"Cookie": f"{COOKIE}=guess"}))[0] == 403
    # A new link is told, for another browser.
    assert site.server.door.key in site.said[-1]
    assert link not in site.said[-1]


async def connect(session: aiohttp.ClientSession, site: Site) -> aiohttp.ClientWebSocketResponse:
    return await session.ws_connect(f"{site.url}/ws", headers={"Origin": site.url})


async def seen(socket: aiohttp.ClientWebSocketResponse, wanted: str) -> bool:
    """Whether the screen comes to show it before the connection ends."""
    shown = b""
    async for message in socket:
        if message.type is aiohttp.WSMsgType.BINARY:
            shown += message.data
            if wanted.encode() in shown:
                return True
    return False


async def press(socket: aiohttp.ClientWebSocketResponse, key: str) -> None:
    await socket.send_str(json.dumps(["stdin", key]))


async def test_keys_reach_the_app_and_the_latest_browser_has_it(start: Start) -> None:
    site = await start()
    async with aiohttp.ClientSession() as session, asyncio.timeout(45):
        first = await connect(session, site)
        assert await seen(first, "nothing yet")
        await press(first, "a")
        assert await seen(first, "heard:a")
        second = await connect(session, site)
        assert not await seen(first, "never shown")
        assert first.closed
        assert await seen(second, "nothing yet")
        await press(second, "b")
        assert await seen(second, "heard:b")
        process = site.server._process
        await second.close()
        assert process is not None
        assert await process.wait() is not None


def test_the_app_itself_starts_on_pipes_for_a_browser(tmp_path: Path) -> None:
    assert main(["--data", str(tmp_path), "start", "throw", "--name", "mine"]) == 0
    driver = {"TEXTUAL_DRIVER": "textual.drivers.web_driver:WebDriver"}
    with subprocess.Popen(
        app_command(tmp_path, ["--make", "mine", "--quiet", "--no-ears"]),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, **driver},
    ) as app:
        assert app.stdout is not None
        # How textual-serve knows an app from anything else that writes to its pipe.
        first = app.stdout.readline()
        app.terminate()
        _, errors = app.communicate(timeout=30)
    assert first == b"__GANGLION__\n", errors

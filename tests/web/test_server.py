"""The server over real sockets, with a small app of its own instead of the make."""

import asyncio
import os
import signal
import subprocess
import sys
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("textual_serve", reason="pip install 'spokenrow[browser]'")

import aiohttp
import psutil

from counter.commandline import main
from counter.web import seat, serving
from counter.web.served import Size
from counter.web.serving import app_command
from tests.web.helpers import (
    HUNG_APP,
    IDLE_APP,
    QUICK,
    SMALL,
    Site,
    alive,
    begun,
    pass_over_others,
    seen,
    send,
    serve,
    until,
    window,
)  # fmt: skip

Start = Callable[..., Any]


@pytest.fixture
async def start(unused_tcp_port_factory: Callable[[], int]) -> AsyncIterator[Start]:
    pass_over_others()
    sites: list[Site] = []

    async def begin(program: str = SMALL) -> Site:
        sites.append(await serve(unused_tcp_port_factory(), program))
        return sites[-1]

    yield begin
    for site in sites:
        await site.runner.cleanup()
    assert begun() == []


async def test_the_page_comes_and_keeps_to_itself(start: Start) -> None:
    site = await start()
    held = await site.come_in()
    status, text, headers = await site.get(headers=held)
    assert status == 200
    assert "https://" not in text
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert f"ws://127.0.0.1:{site.port}" in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"
    for path in ("/page.css", "/page.js", "/static/js/textual.js"):
        assert (await site.get(path, headers=held))[0] == 200
    for path in ("/static/", "/static/../server.py", "/static/%2e%2e/server.py", "/download/x"):
        assert (await site.get(path, headers=held))[0] in {403, 404}
    for path in ("/ws/short", "/ws/../" + window(), f"/seat/{window()}x"):
        assert (await site.get(path, headers=held))[0] in {400, 404}
    assert any(site.url in line for line in site.said)


async def test_another_host_or_origin_is_turned_away(start: Start) -> None:
    site = await start()
    held = await site.come_in()
    evil = {"Host": f"evil.example:{site.port}"}
    assert (await site.get(headers={**held, **evil}))[0] == 403
    assert (await site.get(headers={**held, "Origin": "http://evil.example"}))[0] == 403
    async with aiohttp.ClientSession() as session:
        for origin in ({}, {"Origin": "http://evil.example"}):
            headers = {"Cookie": site.cookie, **origin}
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await session.ws_connect(f"{site.url}/ws/{window()}", headers=headers)
            assert refused.value.status == 403


async def test_without_the_key_nobody_of_this_machine_comes_in(start: Start) -> None:
    site = await start()
    for path in (
        "/",
        "/page.js",
        "/static/js/textual.js",
        f"/seat/{window()}",
        "/?key=",
        "/?key=x",
    ):
        assert (await site.get(path))[0] == 403
    async with aiohttp.ClientSession() as session:
        for cookie in ({}, {"Cookie": f"{site.server.door.cookie}=guess"}):
            headers = {"Origin": site.url, **cookie}
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await session.ws_connect(f"{site.url}/ws/{window()}/take", headers=headers)
            assert refused.value.status == 403
    assert begun() == []


async def test_a_key_opens_once_and_the_cookie_goes_on(start: Start) -> None:
    site = await start()
    link = site.server.door.link.removeprefix(site.url)
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
    # A new link is told, for another browser.
    assert site.server.door.key in site.said[-1]
    assert link not in site.said[-1]


@pytest.mark.parametrize(
    ("asked", "place"),
    [
        ("24", "/?fontsize=24"),
        ("", "/"),
        ("24%0d%0aX: y", "/"),
        ("//else.where", "/"),
        ("1234", "/"),
    ],
)
async def test_the_size_of_the_letters_goes_on_and_nothing_else(
    start: Start, asked: str, place: str
) -> None:
    site = await start()
    link = site.server.door.link.removeprefix(site.url)
    _, _, headers = await site.get(f"{link}&fontsize={asked}&take=1")
    assert headers["Location"] == place


async def test_keys_and_the_size_of_the_window_reach_the_app(start: Start) -> None:
    site = await start()
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        socket = await site.connect(session, window(), size="?width=61&height=21")
        assert await seen(socket, "size:61x21")
        await send(socket, "stdin", "a")
        assert await seen(socket, "heard:a")
        await send(socket, "resize", {"width": 1_000_000, "height": 3000})
        assert await seen(socket, "size:500x200")
        for odd in (
            "{", "[]", "7", "[" * 50_000, '["stdin", 5]', '["stdin", "\\ud800"]', '["resize", []]',
            '["resize", {"width": 1e400, "height": true}]', '["nothing"]', '["ping", {}]',
        ):  # fmt: skip
            await socket.send_str(odd)
        await socket.send_bytes(b"\xff")
        await send(socket, "stdin", "z")
        assert await seen(socket, "heard:z")
        await socket.send_str("x" * (serving.LONGEST + 1))
        assert not await seen(socket, "never shown")
        assert socket.close_code == aiohttp.WSCloseCode.MESSAGE_TOO_BIG


@pytest.mark.parametrize(
    ("told", "size"),
    [
        (("1000000", "3000"), (500, 200)),
        (("-5", "0"), (80, 5)),
        ((None, ""), (80, 24)),
        (("9" * 5000, "²"), (80, 24)),
        ((True, 12.5), (80, 24)),
        ((10**30, -(10**30)), (500, 5)),
    ],
)
def test_a_window_has_a_size_that_can_be_drawn(told: Any, size: Any) -> None:
    assert Size.of(*told) == size


async def test_another_window_is_offered_to_take_over(start: Start) -> None:
    site = await start(IDLE_APP)
    one, other = window(), window()
    held = await site.come_in()
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        first = await site.connect(session, one)
        assert await seen(first, "begun")
        assert '"taken": false' in (await site.get(f"/seat/{one}", headers=held))[1]
        assert '"taken": true' in (await site.get(f"/seat/{other}", headers=held))[1]
        second = await site.connect(session, other)
        assert not await seen(second, "begun")
        assert second.close_code == seat.TAKEN
        assert not first.closed
        (app,) = begun()
        watching = asyncio.create_task(seen(first, "never shown"))
        third = await site.connect(session, other, "/take")
        assert await seen(third, "begun")
        assert not await watching
        assert first.close_code == seat.TAKEN_OVER
        assert not alive(app)
        assert len(begun()) == 1
        # The same window again, as a reload is, takes its own place.
        fourth = await site.connect(session, other)
        assert await seen(fourth, "begun")
        assert await until(lambda: len(begun()) == 1)


async def test_fast_reloads_leave_one_app(start: Start) -> None:
    site = await start(IDLE_APP)
    name = window()
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        for _ in range(30):
            socket = await site.connect(session, name)
            await asyncio.sleep(0.02)
        assert await seen(socket, "begun")
        assert len(begun()) == 1
        await socket.close()
        assert await until(lambda: not begun())


async def test_an_app_ends_with_its_window_even_while_it_begins(start: Start) -> None:
    site = await start("import time; time.sleep(600)")
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        socket = await site.connect(session, window())
        assert await until(begun)
        await socket.close()
        assert await until(lambda: not begun())


async def test_an_app_that_hangs_is_ended_with_all_that_it_began(
    start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("QUIT_S", "TERM_S"):
        monkeypatch.setattr(f"counter.web.served.{name}", 0.3)
    site = await start(HUNG_APP)
    name = window()
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        socket = await site.connect(session, name)
        assert await seen(socket, "begun")
        assert await until(lambda: len(begun()) == 2)
        before = begun()
        again = await site.connect(session, name)
        assert await seen(again, "begun")
        assert not any(map(alive, before))


async def test_an_app_that_does_not_begin_is_told_of(start: Start) -> None:
    site = await start("import sys; sys.exit('no make of that name')")
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        socket = await site.connect(session, window())
        assert not await seen(socket, "never shown")
        assert socket.close_code == seat.NOT_BEGUN
    assert "no make of that name" in site.said[-1]


async def test_an_app_that_floods_is_ended(start: Start) -> None:
    site = await start(QUICK + "sys.stdout.buffer.write(b'D\\xff\\xff\\xff\\xff'); time.sleep(600)")
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        socket = await site.connect(session, window())
        assert not await seen(socket, "never shown")
        assert await until(lambda: not begun())


async def test_a_window_that_nobody_uses_is_closed(
    start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(seat, "IDLE_S", 0.5)
    monkeypatch.setattr(seat, "_LOOK_S", 0.1)
    site = await start(IDLE_APP)
    async with aiohttp.ClientSession() as session, asyncio.timeout(60):
        socket = await site.connect(session, window())
        assert not await seen(socket, "never shown")
        assert socket.close_code == seat.IDLE


async def test_connections_are_few_and_have_to_say_something(
    start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "MOST_CONNECTIONS", 4)
    monkeypatch.setattr(serving, "SILENT_S", 0.5)
    site = await start(IDLE_APP)
    silent = [await asyncio.open_connection("127.0.0.1", site.port) for _ in range(6)]
    silent[0][1].write(b"GET / HTTP/1.1\r\nHost: 127.")
    async with asyncio.timeout(20):
        for reader, writer in silent:
            assert await reader.read() == b""
            writer.close()
    assert (await site.get("/"))[0] == 403  # there is room again


async def test_the_key_is_in_no_command_line_and_no_report(
    start: Start, caplog: pytest.LogCaptureFixture
) -> None:
    site = await start(IDLE_APP)
    keys = {site.server.door.key}
    await site.come_in()
    keys.add(site.server.door.key)
    async with aiohttp.ClientSession() as session:
        socket = await site.connect(session, window())
        assert await seen(socket, "begun")
        for process in begun():
            told = " ".join([*process.cmdline(), *process.environ().values()])
            assert not any(key in told for key in (*keys, site.cookie.partition("=")[2]))
    reader, writer = await asyncio.open_connection("127.0.0.1", site.port)
    writer.write(f"GET /?key={site.server.door.key} HTTP/9.9 x\r\nX\0: y\r\n\r\n".encode())
    await reader.read()
    writer.close()
    assert not any(key in caplog.text for key in keys)


def _server(folder: Path, port: int) -> subprocess.Popen[str]:
    command = ["--data", str(folder), "serve", "mine", "--port", str(port), "--quiet", "--no-ears"]
    return subprocess.Popen(
        [sys.executable, "-m", "counter", *command], stdout=subprocess.PIPE, text=True
    )


async def test_the_app_ends_with_a_server_that_was_killed(
    tmp_path: Path, unused_tcp_port: int
) -> None:
    assert main(["--data", str(tmp_path), "start", "throw", "--name", "mine"]) == 0
    server = _server(tmp_path, unused_tcp_port)
    assert server.stdout is not None
    link = server.stdout.readline().split()[-1]
    url = f"http://127.0.0.1:{unused_tcp_port}"
    async with aiohttp.ClientSession() as session, asyncio.timeout(90):
        async with session.get(link, allow_redirects=False) as reply:
            cookie = {"Cookie": reply.headers["Set-Cookie"].split(";")[0], "Origin": url}
        socket = await session.ws_connect(f"{url}/ws/{window()}", headers=cookie)
        assert await seen(socket, "Foundation")
        apps = psutil.Process(server.pid).children(recursive=True)
        assert apps
        server.send_signal(signal.SIGKILL)
        server.wait()
        assert await until(lambda: not any(map(alive, apps)), 30)


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

"""What the server bears: `python -m tests.web.load` prints a line of JSON.

Two hundred reloads of one window in ten seconds, fifty windows that all want the app, twenty apps
that hang and heed no signal, and somebody of the same machine without the key. Processes are those
that the server began; memory is theirs and the server's own, in MB.
"""

import asyncio
import json
import os
import sys
import time
from collections.abc import Awaitable, Callable

import aiohttp
import psutil

from counter.web import seat
from tests.web.helpers import HUNG_APP, SMALL, Site, alive, begun, seen, serve, until, window

RELOADS, RELOADS_S = 200, 10.0
SOCKETS = 50
HUNG = 20
_MB = 2**20


def _memory(processes: list[psutil.Process]) -> int:
    return round(sum(process.memory_info().rss for process in processes) / _MB)


def _now() -> dict[str, int]:
    apps = begun()
    return {"processes": len(apps), "MB": _memory([psutil.Process(os.getpid()), *apps])}


class _Most:
    """The most processes at any moment."""

    def __init__(self) -> None:
        self.most = 0
        self._task = asyncio.create_task(self._look())

    async def _look(self) -> None:
        while True:
            self.most = max(self.most, len(begun()))
            await asyncio.sleep(0.1)

    def end(self) -> int:
        self._task.cancel()
        return self.most


async def reloads(site: Site, session: aiohttp.ClientSession) -> dict[str, object]:
    name, before, most = window(), _now(), _Most()
    began = time.monotonic()
    for number in range(RELOADS):
        socket = await site.connect(session, name)
        await asyncio.sleep(max(0.0, began + (number + 1) * RELOADS_S / RELOADS - time.monotonic()))
    took = time.monotonic() - began
    assert await seen(socket, "size:")
    told = {"reloads": RELOADS, "seconds": round(took, 1), "most at once": most.end()}
    after = _now()
    await socket.close()
    gone = await until(lambda: not begun())
    return {**told, "before": before, "after": after, "closed": {**_now(), "all gone": gone}}


async def sockets(site: Site, session: aiohttp.ClientSession) -> dict[str, object]:
    before, most = _now(), _Most()
    first = await site.connect(session, window())
    assert await seen(first, "size:")
    offered = 0
    for _ in range(SOCKETS - 1):
        other = await site.connect(session, window())
        await other.receive()
        offered += other.close_code == seat.TAKEN
    kept = not first.closed and len(begun()) == 1
    takers = await asyncio.gather(
        *(site.connect(session, window(), "/take") for _ in range(SOCKETS))
    )
    shown = await asyncio.gather(*(seen(taker, "size:") for taker in takers))
    told = {
        "sockets": SOCKETS, "offered to take over": offered, "the first kept it": kept,
        "take over at once": SOCKETS, "got it": sum(shown), "most apps at once": most.end(),
        "before": before, "after": _now(),
    }  # fmt: skip
    for taker in takers:
        await taker.close()
    await until(lambda: not begun())
    return told


async def hung(site: Site, session: aiohttp.ClientSession) -> dict[str, object]:
    before, waits, left = _now(), [], 0
    for _ in range(HUNG):
        socket = await site.connect(session, window(), "/take")
        assert await seen(socket, "begun")
        await until(lambda: len(begun()) == 2)
        apps = begun()
        ended = time.monotonic()
        await socket.close()
        await until(lambda apps=apps: not any(map(alive, apps)), 30)
        waits.append(round(time.monotonic() - ended, 1))
        left += sum(map(alive, apps))
    return {
        "hung apps": HUNG, "each with a child": True, "seconds until all gone": max(waits),
        "left": left, "before": before, "after": _now(),
    }  # fmt: skip


async def stranger(site: Site, session: aiohttp.ClientSession) -> dict[str, object]:
    """Another user of this machine, at the same address, without the key."""
    tried, refused = 0, 0
    for path in ("/", "/?key=guess", "/page.js", f"/seat/{window()}"):
        tried += 1
        refused += (await site.get(path))[0] == 403
    for headers in ({}, {"Cookie": f"{site.server.door.cookie}=guess"}):
        tried += 1
        try:
            await session.ws_connect(
                f"{site.url}/ws/{window()}/take", headers={**headers, "Origin": site.url}
            )
        except aiohttp.WSServerHandshakeError as error:
            refused += error.status == 403
    return {"tried": tried, "refused": refused, "apps": len(begun())}


Try = Callable[[Site, aiohttp.ClientSession], Awaitable[dict[str, object]]]
TRIES: dict[str, tuple[Try, str]] = {
    "reloads": (reloads, SMALL),
    "sockets": (sockets, SMALL),
    "hung": (hung, HUNG_APP),
    "stranger": (stranger, SMALL),
}


async def main(wanted: list[str]) -> None:
    told: dict[str, object] = {}
    for number, name in enumerate(wanted):
        what, program = TRIES[name]
        site = await serve(18377 + number, program)
        async with aiohttp.ClientSession(
            connector=aiohttp.TCPConnector(limit=0), cookie_jar=aiohttp.DummyCookieJar()
        ) as session:
            told[name] = await what(site, session)
        await site.runner.cleanup()
    print(json.dumps(told))


if __name__ == "__main__":
    asyncio.run(main(sys.argv[1:] or list(TRIES)))

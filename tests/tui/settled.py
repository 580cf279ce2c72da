"""When an app under Textual's pilot has done all that a key set off.

Textual's own wait looks every 20 ms whether the process computes, and three times for a key: most
of a test is spent asleep, and on a busy machine it takes a process that gets no processor for one
that is done. Here what decides is the event loop itself: nothing is ready to run, and no timer of
the app's is about to.
"""

import asyncio

_SOON_S = 0.02
"""A timer due sooner than this is part of what is going on: a screen paints every 1/60 s at most
where something has changed, a cursor blinks twice a second."""


async def settled(_least: float = 0.0, most: float = 1.0) -> None:
    """Returns when the loop has had nothing to do twice in a row.

    Stands in for `textual._wait.wait_for_idle` and takes what that takes. Timers that come again
    and again are waited for `most` seconds together; work is waited for however long it takes.
    """
    loop = asyncio.get_running_loop()
    idle = 0
    while idle < 2:
        await asyncio.sleep(0)
        if loop._ready:
            idle = 0
            continue
        due = [timer.when() for timer in loop._scheduled if not timer.cancelled()]
        left = min(due) - loop.time() if due else _SOON_S
        if left < _SOON_S and most > 0:
            idle = 0
            most -= max(left, 0.001)
            await asyncio.sleep(max(left, 0.0))
        else:
            idle += 1

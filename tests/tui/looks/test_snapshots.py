"""Every main screen at five sizes, against the text that was looked at and found good.

Text, not pictures: a difference can be read. After a change that is meant, look at the pictures
(`python -m tests.pictures`), then `python -m tests.tui.looks.test_snapshots` writes the texts anew
(`… pick-up row` those of two scenes).
"""

import asyncio
import sys
import tempfile
from pathlib import Path

import pytest

from tests.tui.scenes import SCENES, SIZES, played, shown

FOLDER = Path(__file__).parent / "snapshots"


async def _texts(scene, folder):
    """The scene's text at each size, one app resized."""
    found = {}
    async with played(scene, SIZES[0], folder) as (app, pilot):
        for size in SIZES:
            await pilot.resize_terminal(*size)
            found[size] = await _settled(app, pilot)
    return found


async def _settled(app, pilot):
    """What is shown once it stays so, however busy the machine is."""
    before = None
    while before != (now := shown(app)):
        before = now
        await pilot.pause(0.025)
    return now


def _path(name, size):
    return FOLDER / f"{name}-{size[0]}x{size[1]}.txt"


@pytest.mark.parametrize("name", SCENES)
async def test_a_screen_looks_as_it_did(name, tmp_path):
    texts = await _texts(SCENES[name], tmp_path)
    for size, text in texts.items():
        assert text == _path(name, size).read_text(encoding="utf-8"), f"{name} at {size}"


async def _write(names):
    FOLDER.mkdir(exist_ok=True)
    for name in names or SCENES:
        with tempfile.TemporaryDirectory() as folder:
            for size, text in (await _texts(SCENES[name], Path(folder))).items():
                _path(name, size).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    asyncio.run(_write(sys.argv[1:]))

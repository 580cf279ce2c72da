"""Run as a program by the ears test, in the environment of its sound server.

The app listens to a real microphone stream; its screen is printed when the make has moved.
"""

import asyncio
import sys
from pathlib import Path

from counter.sound.listening import Ears
from counter.sound.microphone import Microphone
from counter.tui.app import SpokenrowApp
from engine.ears.fluency import model_for
from engine.ears.recogniser import Recogniser
from engine.keep.store import Store
from tests.tui.scenes import shown

_LONGEST = 400


async def main(folder, make):
    store = Store(folder / "makes.db")
    ears = Ears(
        Microphone("testmic"),
        lambda language: model_for(language, folder),
        lambda model: Recogniser(model.folder, model.language),
    )
    app = SpokenrowApp(store, folder / "settings.json", make=make, ears=ears)
    async with app.run_test() as pilot:
        await _until(pilot, lambda: "I listen" in shown(app))
        print("I listen", flush=True)
        await _until(pilot, lambda: app.row_screen.work.state.at > 0)
        await pilot.pause()
        print(shown(app))


async def _until(pilot, true):
    for _ in range(_LONGEST):
        if true():
            return
        await pilot.pause(0.1)


if __name__ == "__main__":
    asyncio.run(main(Path(sys.argv[1]), sys.argv[2]))

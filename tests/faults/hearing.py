"""Run as a program by `tests.faults.microphone`: the app, headless, at a real microphone stream.

    python -m tests.faults.hearing DATA MAKE

Prints a line of JSON whenever something changed that the maker can see.
"""

import asyncio
import json
import sys
from pathlib import Path

from counter.sound import microphone
from counter.sound.listening import Ears
from counter.sound.microphone import Microphone
from counter.tui.app import SpokenrowApp
from engine.ears.fluency import model_for
from engine.ears.recogniser import Recogniser
from engine.keep.store import Store
from tests.tui.scenes import shown

_EVERY_S = 0.05
_LIVELY_S = 3.0
"""In life it takes a minute to know that a microphone is never all silent."""


async def main(data: Path, make: str) -> None:
    """Until it is killed."""
    microphone._LIVELY_S = _LIVELY_S
    ears = Ears(
        Microphone("testmic"),
        lambda language: model_for(language, data),
        lambda model: Recogniser(model.folder, model.language),
    )
    app = SpokenrowApp(Store(data / "makes.db"), data / "settings.json", make=make, ears=ears)
    told = ""
    async with app.run_test(size=(120, 40)) as pilot:
        while True:
            await pilot.pause(_EVERY_S)
            row = app.row_screen
            assert row is not None
            text = " ".join(shown(app).split())
            line = json.dumps(
                {
                    "at": row.work.state.at,
                    "events": len(row.work.making.events),
                    "open": "I listen" in text,
                    "gone": "is gone; it is used again" in text,
                    "silent": "gives only silence" in text,
                    "back": "It hears you again." in text,
                }
            )
            if line != told:
                told = line
                print(line, flush=True)


if __name__ == "__main__":
    asyncio.run(main(Path(sys.argv[1]), sys.argv[2]))

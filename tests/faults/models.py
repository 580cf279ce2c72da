"""Damage a voice model at random and try to hear with it.

    python -m tests.faults.models RUNS [--unknown | --untried]

A damaged file must be refused in a sentence and never end the program, since Kaldi would take the
screen with it. With `--unknown` the model is one whose digests nobody noted, a folder that was
unpacked by hand: then damage may not matter, and a child tries it first. `--untried` leaves the
child out, to see what it is for. Prints one line of JSON.
"""

import collections
import itertools
import json
import os
import random
import shutil
import signal
import sys
import tempfile
from pathlib import Path

from counter.shared.recordings import demo_recording
from engine.ears import wav
from engine.ears.intact import write_sums
from engine.ears.recogniser import ModelError, Recogniser, starter_dir
from engine.ears.trial import open_recogniser
from models.command import Context
from tests.keep.harm import harm

REFUSED, ANOTHER = 2, 3
SECONDS = 6
"""Of a real voice with commands in it."""


def hear_with(folder: Path, untried: bool) -> int:
    """In a child: 0 where it hears, 2 where it is refused, 3 for any other error."""
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 2)
    signal.alarm(30)
    try:
        recogniser = Recogniser(folder) if untried else open_recogniser(folder)
        recogniser.start(Context.ROW)
        for block in itertools.islice(wav.blocks(demo_recording()), SECONDS):
            recogniser.feed(block)
        recogniser.finish()
    except ModelError as error:
        return REFUSED if "\n" not in str(error) else ANOTHER
    except BaseException:
        return ANOTHER
    return 0


def main(runs: int, unknown: bool = False, untried: bool = False) -> dict[str, int]:
    """How many were refused, did not matter, failed otherwise, ended the program."""
    count: collections.Counter[str] = collections.Counter()
    whole = starter_dir()
    # The licence is not read.
    files = [p.relative_to(whole) for p in whole.rglob("*.*") if p.suffix != ".cmu-en-us"]
    for seed in range(runs):
        dice = random.Random(seed)
        with tempfile.TemporaryDirectory() as scratch:
            folder = Path(shutil.copytree(whole, Path(scratch) / "model"))
            if not (unknown or untried):
                write_sums(folder)
            said = harm(folder / dice.choice([f for f in files if (whole / f).is_file()]), dice)
            child = os.fork()
            if child == 0:
                os._exit(hear_with(folder, untried))
            _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            what = "ended the program"
        else:
            code = os.WEXITSTATUS(status)
            what = {0: "did not matter", REFUSED: "refused"}.get(code, "another error")
        if what in ("ended the program", "another error"):
            print(seed, said, what, file=sys.stderr)
        count[what] += 1
    return {"runs": runs, **count}


if __name__ == "__main__":
    print(json.dumps(main(int(sys.argv[1]), "--unknown" in sys.argv, "--untried" in sys.argv)))

"""Vosk model folders, each of which takes any sound for one senone held: its score is the sum of
that senone's over the frames. Run as a program, since OpenFst and Vosk do not load beside each
other.

    python -m tests.forge.one_sound_model FOLDER SENONE...
"""

import sys
from pathlib import Path

import pywrapfst as fst

from engine.forge import build, tdnn
from engine.forge.graph import STATES, Graph, Unit
from engine.forge.sphinx import read_model


def held(senone):
    """One phone, three states, all of them the senone; every way through them costs nothing."""
    machine = fst.VectorFst()
    states = [machine.add_state() for _ in range(STATES + 1)]
    machine.set_start(states[0])
    machine.set_final(states[-1])
    one = fst.Weight.one(machine.weight_type())
    for place in range(STATES):
        stay, leave = 1 + 2 * place, 2 + 2 * place
        word = 1 if place == 0 else 0
        machine.add_arc(states[place], fst.Arc(leave, word, one, states[place + 1]))
        machine.add_arc(states[place + 1], fst.Arc(stay, 0, one, states[place + 1]))
    unit = Unit(senones=(senone,) * STATES, transition=0, place="singleton")
    return Graph(machine, ["<eps>", "held", "#0", "<s>", "</s>"], [unit])


def main(folder, senones):
    model, voice = read_model(), build.learnt(tdnn.read())
    for senone in senones:
        write(folder / str(senone), model, voice, senone)


def write(folder, model, voice, senone):
    order = build.write(folder, model, held(senone), voice)
    (folder / "order.txt").write_text("".join(f"{output}\n" for output in order))
    change(folder / "conf" / "mfcc.conf", "--dither=1.0", "--dither=0")
    change(
        folder / "conf" / "model.conf", "--endpoint.silence-phones=", "--endpoint.silence-phones=1"
    )


def change(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))


if __name__ == "__main__":
    main(Path(sys.argv[1]), [int(senone) for senone in sys.argv[2:]])

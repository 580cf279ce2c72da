"""From an empty shelf to a finished cowl without a key, through a real stream, with every kind of
word on the way (`seen.py`), all read out by a loudspeaker that the microphone hears.
"""

import argparse

import pytest

from engine.keep.store import Store
from engine.make import progress
from models.event import Advanced
from tests.times import TIMES
from tests.whole.spoken import said_and_shown

pytestmark = pytest.mark.system

WAYS_MS = (130, None, 20, 330)
"""How long it takes our voice into the microphone; None where nothing is read out."""


@pytest.mark.parametrize("way_ms", WAYS_MS if TIMES > 1 else WAYS_MS[:1])
def test_a_cowl_by_voice_alone(pulse, tmp_path, needs_program, way_ms):
    needs_program("flite", "flite")
    options = argparse.Namespace(leak=way_ms, gain=-20, aloud=way_ms is not None, seen=True)
    *words, end = said_and_shown(pulse, tmp_path, options)
    store = Store(tmp_path / "makes.db")
    begun, events = store.load("cowl")
    store.close()
    state = progress.fold(begun, events)
    assert state.done
    # The books come out, with the ball that was joined on the way.
    assert (state.balls, state.yarn_used) == (2, state.script.yarn_loops)
    # Not one row was counted that was not said.
    said = [line["said"] for line in words]
    rows = sum(one.count("row done") + 3 * (one == "three rows done") for one in said)
    advanced = [event for event in events if isinstance(event, Advanced)]
    assert len(advanced) <= rows + said.count("yes")
    assert not any(line.get("unasked") for line in words)
    # A try in which a busy machine lost some of the sound was not hers to make.
    assert end["tries"] - end["broken"] <= 1.5 * end["words"]

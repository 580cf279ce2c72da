"""`spokenrow hear FILE`: recorded sound through the same ears and the same door as live sound."""

import argparse
import time
from itertools import chain
from pathlib import Path

from counter.cli.arguments import add_ears_arguments
from counter.cli.ears import ears_of
from counter.shared.demo import demo_making
from counter.shared.outward import tell, tell_json
from counter.shared.places import open_store
from counter.sound.hearing import hear
from engine.ears import wav
from engine.make.making import Making
from models.command import Heard
from models.state import Reply


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("hear", help="play a recording as if it were said")
    parser.add_argument("file", type=Path, help="a recording, WAV for one")
    parser.add_argument("--make", metavar="NAME", help="move this make (default: a throwaway demo)")
    add_ears_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON line per utterance")
    parser.set_defaults(handler=run)


def as_json(heard: Heard, outcome: Reply, making: Making) -> dict[str, object]:
    """One utterance as plain data, in the shape that the README documents."""
    command, step = heard.command, making.state.step
    return {
        "start_s": heard.start_s,
        "end_s": heard.end_s,
        "decided_s": heard.decided_s,
        "heard": heard.heard,
        "confidence": heard.confidence,
        "command": command.action.value if command else None,
        "value": command.value if command else None,
        "taken": outcome.taken and not heard.withdrawn,
        "reason": "" if outcome.taken and not heard.withdrawn else outcome.say,
        "step": step.number if step else None,
    }


def as_line(heard: Heard, outcome: Reply, making: Making) -> str:
    """One utterance for a person: when, what, and what came of it."""
    mark = "withdrawn" if heard.withdrawn else "taken" if outcome.taken else "refused"
    step = making.state.step
    place = f"  [step {step.number}]" if step else "  [done]"
    return f"{heard.end_s:7.2f} s  {mark:9}  “{heard.heard}”  {outcome.say}{place}"


def run(arguments: argparse.Namespace) -> int:
    """Hear the file through and print what came of each utterance."""
    # The first second is read before anything else: a wrong name should not cost a model load.
    blocks = wav.blocks(arguments.file)
    sound = chain([next(blocks, b"")], blocks)
    store = open_store(arguments.data) if arguments.make else None
    if store:
        begun, events = store.load(arguments.make)
        making = Making(begun, events, lambda new: store.append(arguments.make, new))
        began = time.time()
    else:
        making = demo_making()
        began = making.state.last_at or 0.0
    try:
        with ears_of(arguments, lambda now_s: making.situation(began + now_s)) as listener:
            for heard in hear(sound, listener):
                outcome = making.heard(heard, began + listener.now_s)
                if arguments.json:
                    tell_json(as_json(heard, outcome, making), indent=None)
                else:
                    tell(as_line(heard, outcome, making), flush=True)
    finally:
        if store:
            store.close()
    return 0

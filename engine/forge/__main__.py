"""`python -m engine.forge`: makes the starter voice model anew, or checks the one in place."""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from engine.ears.recogniser import starter_dir


def main(arguments: list[str] | None = None) -> int:
    """Builds into the package; with --check compares a fresh build with what is there, with --noted
    only what goes into a build, and what came out, with the last one.
    """
    parser = argparse.ArgumentParser(prog="python -m engine.forge", description=__doc__)
    parser.add_argument(
        "--check", action="store_true", help="compare a fresh build; change nothing"
    )
    parser.add_argument(
        "--noted", action="store_true", help="build nothing: has anything changed since it was made"
    )
    parser.add_argument("--into", type=Path, default=starter_dir(), help="the folder to build into")
    parser.add_argument(
        "--mixtures", action="store_true", help="build the teacher: the CMU model's own mixtures"
    )
    options = parser.parse_args(arguments)
    # Not above: Vosk hangs while it loads in a process that has loaded OpenFst, which this does.
    from engine.forge import tdnn
    from engine.forge.build import MIXTURES, build, learnt
    from engine.forge.noted import changed, digests, note

    if options.noted:
        return _told(changed(options.into), "what a build is made of is what it was")
    voice = MIXTURES if options.mixtures else learnt(tdnn.read())
    if not options.check:
        build(options.into, voice)
        if options.into == starter_dir():
            note(options.into)
        print(f"Built {options.into}")
        return 0
    with tempfile.TemporaryDirectory() as scratch:
        build(Path(scratch), voice)
        fresh = digests(Path(scratch))
    there = digests(options.into)
    differing = sorted(
        name for name in fresh.keys() | there.keys() if fresh.get(name) != there.get(name)
    )
    return _told(differing, f"{len(fresh)} files, the same bytes as a fresh build")


def _told(differing: list[str], alike: str) -> int:
    if not differing:
        print(alike)
        return 0
    print(
        f"The voice model is not what the forge makes now: {', '.join(differing)}; "
        "run python -m engine.forge and commit what changes.",
        file=sys.stderr,
    )
    return 1


if __name__ == "__main__":
    raise SystemExit(main())

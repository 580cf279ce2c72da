"""`python -m engine.forge`: makes the starter voice model anew, or checks the one in place."""

from __future__ import annotations

import argparse
import hashlib
import lzma
import sys
import tempfile
from pathlib import Path

from engine.ears.recogniser import starter_dir


def digests(folder: Path) -> dict[str, str]:
    """SHA-256 of every file below a folder, by its path there; of a packed one, what is in it, for
    another release of xz may pack it otherwise.
    """
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(_content(path)).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def _content(path: Path) -> bytes:
    content = path.read_bytes()
    return lzma.decompress(content) if path.suffix == ".xz" else content


def main(arguments: list[str] | None = None) -> int:
    """Builds into the package, or with --check compares a fresh build with what is there."""
    parser = argparse.ArgumentParser(prog="python -m engine.forge", description=__doc__)
    parser.add_argument(
        "--check", action="store_true", help="compare a fresh build; change nothing"
    )
    parser.add_argument("--into", type=Path, default=starter_dir(), help="the folder to build into")
    parser.add_argument(
        "--mixtures", action="store_true", help="build the teacher: the CMU model's own mixtures"
    )
    parser.add_argument("--senones", type=Path, help="a file for the model's outputs, one a line")
    options = parser.parse_args(arguments)
    # Not above: Vosk hangs while it loads in a process that has loaded OpenFst, which this does.
    from engine.forge import tdnn
    from engine.forge.build import MIXTURES, build, learnt

    voice = MIXTURES if options.mixtures else learnt(tdnn.read())
    if not options.check:
        order = build(options.into, voice)
        if options.senones:
            options.senones.write_text("".join(f"{senone}\n" for senone in order))
        print(f"Built {options.into}")
        return 0
    with tempfile.TemporaryDirectory() as scratch:
        build(Path(scratch), voice)
        fresh = digests(Path(scratch))
    there = digests(options.into)
    differing = sorted(
        name for name in fresh.keys() | there.keys() if fresh.get(name) != there.get(name)
    )
    if differing:
        print(
            f"The voice model in {options.into} is not what the forge makes now: "
            f"{', '.join(differing)}; run python -m engine.forge.",
            file=sys.stderr,
        )
        return 1
    print(f"{len(fresh)} files, the same bytes as a fresh build")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

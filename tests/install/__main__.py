"""Resolves what pyproject.toml asks for, to the lowest and to the newest, for every system.

    python -m tests.install [--write DIR]
    python -m tests.install --lock

Nothing is installed. Of what is compiled only wheels count: a maker has no compiler. Needs `uv`
(in the extra dev) and a package index. `--write` keeps what was resolved, to install the lowest
from and run the tests; `--lock` writes requirements.lock.
"""

import argparse
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from itertools import product
from pathlib import Path
from typing import NamedTuple

from uv import find_uv_bin

from tests.install.systems import PYTHONS, SYSTEMS

ROOT = Path(__file__).parents[2]
LOCK = ROOT / "requirements.lock"
RESOLUTIONS = ("lowest-direct", "highest")
COMPILED = (
    "aiohttp", "cffi", "charset-normalizer", "espeakng-loader", "frozenlist", "grimp", "markupsafe",
    "multidict", "numpy", "propcache", "psutil", "pydantic-core", "rpds-py", "shapely",
    "sounddevice", "soundfile", "soxr", "typst", "vosk", "websockets", "yarl",
)  # fmt: skip
EXTRAS = ("browser", "paper", "pdf", "voice", "test")
LOCKED = ("test", "denoise", "voice")
COMPILE = (
    find_uv_bin(), "pip", "compile", "-q", "pyproject.toml", "--no-header", "--no-annotate",
)  # fmt: skip
HEAD = """\
# Every package that spokenrow and its tests install, pinned and hashed, for every system.
#   pip install --require-hashes -r requirements.lock && pip install --no-deps .
# Made anew by: python -m tests.install --lock
# Not the extra student: its torch brings gigabytes of CUDA wheels on Linux, for training a model
# anew; nor forge and korean, which only rebuild a voice model and test another language.
"""


class Asked(NamedTuple):
    """One resolution."""

    system: str
    python: str
    resolution: str


def compiled(*more: str) -> tuple[str, str]:
    """The pinned packages, and what is wrong; one of them is empty."""
    done = subprocess.run([*COMPILE, *more], capture_output=True, text=True, check=False, cwd=ROOT)
    return (done.stdout, "") if done.returncode == 0 else ("", done.stderr.strip())


def resolve(asked: Asked) -> tuple[str, str]:
    """The pinned packages for one system and Python, and what is wrong."""
    return compiled(
        "--python-platform", SYSTEMS[asked.system].triple, "--python-version", asked.python,
        "--resolution", asked.resolution,
        *(part for name in COMPILED for part in ("--only-binary", name)),
        *(part for extra in EXTRAS for part in ("--extra", extra)),
    )  # fmt: skip


def lock() -> int:
    """Writes the lock: one for all systems, by markers."""
    pins, trouble = compiled(
        "--universal", "--python-version", PYTHONS[0], "--generate-hashes",
        *(part for extra in LOCKED for part in ("--extra", extra)),
    )  # fmt: skip
    if trouble:
        print(trouble)
        return 1
    LOCK.write_text(HEAD + pins, encoding="utf-8")
    return 0


def ask(folder: Path | None) -> int:
    """Resolves for every system and tells of each."""
    every = [Asked(*each) for each in product(SYSTEMS, PYTHONS, RESOLUTIONS)]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(resolve, every))
    for asked, (pins, trouble) in zip(every, found, strict=True):
        answer = f"no: {trouble}" if trouble else "yes"
        print(f"{asked.system}, Python {asked.python}, {asked.resolution}: {answer}")
        if folder is not None and pins:
            folder.mkdir(parents=True, exist_ok=True)
            name = f"{SYSTEMS[asked.system].triple}-{asked.python}-{asked.resolution}.txt"
            (folder / name).write_text(pins, encoding="utf-8")
    bad = sum(bool(trouble) for _, trouble in found)
    print(f"{len(found) - bad} of {len(found)} resolve.")
    return 1 if bad else 0


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--write", type=Path, metavar="DIR")
    parser.add_argument("--lock", action="store_true")
    args = parser.parse_args()
    return lock() if args.lock else ask(args.write)


if __name__ == "__main__":
    sys.exit(main())

"""Resolves what pyproject.toml asks for, to the lowest and to the newest, for every system.

    python -m tests.install [--write DIR]

Nothing is installed. Of what is compiled only wheels count: a maker has no compiler. Needs `uv` (in the extra dev) and
a package index. `--write` keeps what was resolved, to install the lowest from and run the tests.
"""

import argparse
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from itertools import product
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
SYSTEMS = {
    "Linux": "x86_64-manylinux_2_28",
    "Linux, ARM": "aarch64-manylinux_2_28",
    "macOS": "aarch64-apple-darwin",
    "macOS, Intel": "x86_64-apple-darwin",
    "Windows": "x86_64-pc-windows-msvc",
}
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
RESOLUTIONS = ("lowest-direct", "highest")
COMPILED = (
    "aiohttp", "cffi", "charset-normalizer", "espeakng-loader", "frozenlist", "hypothesis",
    "markupsafe", "multidict", "numpy", "propcache", "psutil", "pydantic-core", "pyyaml", "rpds-py",
    "shapely", "sounddevice", "soundfile", "soxr", "typst", "vosk", "websockets", "yarl",
)  # fmt: skip
EXTRAS = ("browser", "paper", "pdf", "voice", "test")


class Asked(NamedTuple):
    """One resolution."""

    system: str
    python: str
    resolution: str


def resolve(asked: Asked) -> tuple[str, str]:
    """The pinned packages, and what is wrong; one of them is empty."""
    uv = shutil.which("uv") or shutil.which("uv", path=str(Path(sys.executable).parent))
    if uv is None:
        sys.exit("uv is missing: pip install uv")
    command = [
        uv, "pip", "compile", "-q", "pyproject.toml", "--no-header", "--no-annotate",
        "--python-platform", SYSTEMS[asked.system], "--python-version", asked.python,
        "--resolution", asked.resolution,
        *(part for name in COMPILED for part in ("--only-binary", name)),
        *(part for extra in EXTRAS for part in ("--extra", extra)),
    ]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=ROOT)
    return (done.stdout, "") if done.returncode == 0 else ("", done.stderr.strip())


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--write", type=Path, metavar="DIR")
    folder = parser.parse_args().write
    every = [Asked(*each) for each in product(SYSTEMS, PYTHONS, RESOLUTIONS)]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(resolve, every))
    for asked, (pins, trouble) in zip(every, found, strict=True):
        print(f"{'no ' if trouble else 'yes'}  {asked.system}, Python {asked.python}, "
              f"{asked.resolution}{': ' + trouble if trouble else ''}")  # fmt: skip
        if folder is not None and pins:
            folder.mkdir(parents=True, exist_ok=True)
            name = f"{SYSTEMS[asked.system]}-{asked.python}-{asked.resolution}.txt"
            (folder / name).write_text(pins, encoding="utf-8")
    bad = sum(bool(trouble) for _, trouble in found)
    print(f"{len(found) - bad} of {len(found)} resolve.")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())

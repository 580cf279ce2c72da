"""A small disk of the tests' own, to fill up and to lock."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest


class Disk:
    """A file system of one megabyte."""

    def __init__(self, place: Path) -> None:
        self.place = place

    def fill(self, leave: int = 0) -> None:
        """Use it up but for about `leave` bytes."""
        with (self.place / "filler").open("ab", buffering=0) as file:
            for size in (65536, 4096, 1):
                try:
                    while True:
                        file.write(bytes(size))
                except OSError:
                    continue
            file.truncate(max(0, file.tell() - leave))

    def empty(self) -> None:
        """Give the room back."""
        (self.place / "filler").unlink()

    def read_only(self, yes: bool = True) -> None:
        """Lock it, or unlock it."""
        how = "ro" if yes else "rw"
        subprocess.run(["mount", "-o", f"remount,{how}", str(self.place)], check=True)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    """The disk, mounted empty; skips where that is not allowed."""
    place = tmp_path / "disk"
    place.mkdir()
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("run the tests as root on Linux: a small tmpfs is mounted")
    command = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)]
    if subprocess.run(command, capture_output=True, check=False).returncode != 0:
        pytest.skip("run the tests where a tmpfs may be mounted")
    yield Disk(place)
    subprocess.run(["umount", "-l", str(place)], check=True)

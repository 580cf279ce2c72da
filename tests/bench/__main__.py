"""`python -m tests.bench`: every figure but the hearing bench's, in one table.

Names the machine. The hearing bench takes long and stands alone: `python -m tests.bench.hearing`.
"""

import os
import platform
import sys
from pathlib import Path

from tests.bench import drawing, pattern, screens, speech, voice_model, work


def machine() -> str:
    """The processor, its cores and the Python."""
    name = platform.processor() or platform.machine()
    cpuinfo = Path("/proc/cpuinfo")
    if cpuinfo.exists():
        lines = cpuinfo.read_text(encoding="utf-8").splitlines()
        name = next((line.split(": ", 1)[1] for line in lines if "model name" in line), name)
    return f"{name}, {os.cpu_count()} cores, Python {platform.python_version()}"


def main() -> int:
    """Print the table."""
    print(f"On {machine()}:\n\n| what | figure |\n|---|---|")
    for module in (work, drawing, screens, voice_model, speech, pattern):
        for what, figure in module.figures():
            print(f"| {what} | {figure} |", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""The stages of the student's recipe; see the package's text."""

import argparse
import sys
from pathlib import Path


def main() -> int:
    """Run one stage."""
    parser = argparse.ArgumentParser(prog="python -m engine.forge.student")
    parser.add_argument("stage", choices=["gather", "read", "train", "export"])
    parser.add_argument("work", type=Path)
    parser.add_argument("--minutes", type=float, default=8.0, help="how long to read or train")
    arguments = parser.parse_args()
    if arguments.stage == "gather":
        from engine.forge.student.gather import gather

        gather(arguments.work)
    elif arguments.stage == "read":
        from engine.forge.student.natural import read

        read(arguments.work, arguments.minutes)
    elif arguments.stage == "train":
        from engine.forge.student.train import train

        train(arguments.work, minutes=arguments.minutes)
    else:
        from engine.forge.student.export import folded
        from engine.forge.tdnn import LEARNT, write

        write(LEARNT, folded(arguments.work / "student.pt"))
    return 0


if __name__ == "__main__":
    sys.exit(main())

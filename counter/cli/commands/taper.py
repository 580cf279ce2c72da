"""`spokenrow taper`: shaping spread over the rows of a slope."""

import argparse

from counter.cli.sum_command import add_sum


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    add_sum(subparsers, "taper")

"""A question on the command line."""

import sys

from engine.base.refusal import Refusal


def yes() -> bool:
    """Whether she agrees. Raises Refusal where nobody is there to say so."""
    if not sys.stdin.isatty():
        raise Refusal("Nothing was changed: nobody is there to say yes, so add --yes.")
    try:
        return input("y or n> ").strip().lower() in {"y", "yes"}
    except EOFError:
        return False

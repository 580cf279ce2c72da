"""What is made twice from one script, as a sock is."""

import re

from engine.script.wording import SECOND
from models.script import RowScript

_SECOND = re.compile(SECOND.format(r"(\w+)"))


def one_of_two(script: RowScript) -> str:
    """What is made twice, as a sock is; empty for what is made once."""
    return next((found[1] for s in script.steps if (found := _SECOND.search(s.note))), "")


def to_be_made(script: RowScript) -> int:
    """How many times the yarn of a script is wanted: two of what is made twice."""
    return 2 if one_of_two(script) else 1

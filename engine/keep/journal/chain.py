"""A make as a chain of lines, each sealed by a digest over itself and everything before it.

The first line is the head (name, plan, creation), the others are one event each, all JSON. The
digest is for accidents (torn writes, bad sectors, hand edits), not against forgery.
"""

import json
from collections.abc import Iterable
from hashlib import sha256
from itertools import pairwise
from typing import NamedTuple

FORMAT = "spokenrow journal"
VERSION = 1


class Chain(NamedTuple):
    """A make's name and lines, as written, proven by their digests."""

    name: str
    head: str
    bodies: tuple[str, ...]
    """The events, one JSON object each, in order."""

    def begins(self, other: "Chain") -> bool:
        """Whether `other` is this chain or this chain with more events."""
        return self.head == other.head and self.bodies == other.bodies[: len(self.bodies)]


class Head(NamedTuple):
    """What the first line holds."""

    name: str
    plan: str
    """The plan as JSON text."""
    created: float
    """POSIX seconds."""
    extra: str | None
    """Fields of an imported file that this version does not know, as JSON text."""


def seal(before: str, line: str) -> str:
    """The digest of a line that follows the one sealed with `before`; 16 hex digits."""
    return sha256(f"{before}\n{line}".encode()).hexdigest()[:16]


def seals(lines: Iterable[str]) -> list[str]:
    """The digests of a whole chain, head first."""
    made = [""]
    for line in lines:
        made.append(seal(made[-1], line))
    return made[1:]


def sound(sealed: Iterable[tuple[str, str]]) -> list[str]:
    """The lines of (digest, line) pairs up to the first that its digest does not prove."""
    kept: list[str] = []
    before = ""
    for digest, line in sealed:
        if seal(before, line) != digest:
            break
        kept.append(line)
        before = digest
    return kept


def write_head(head: Head) -> str:
    """The first line. The same head always gives the same line."""
    return json.dumps({"format": FORMAT, "version": VERSION, **head._asdict()})


def read_head(line: str) -> Head | None:
    """The head in a first line; None where it is none of ours or of a newer version."""
    try:
        data = json.loads(line)
        if data.pop("format") != FORMAT or data.pop("version") > VERSION:
            return None
        head = Head(**data)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    texts = isinstance(head.name, str) and isinstance(head.plan, str)
    return head if texts and isinstance(head.created, int | float) else None


def numbered(bodies: Iterable[str], after: int, digest: str) -> list[tuple[int, str, str]]:
    """(number, digest, line) of events that follow event `after`, which has that digest."""
    made: list[tuple[int, str, str]] = []
    for number, body in enumerate(bodies, after + 1):
        digest = seal(digest, body)
        made.append((number, digest, body))
    return made


def increasing(numbers: Iterable[int]) -> bool:
    """Whether events are numbered 1, 2, 3 … without a gap."""
    given = [0, *numbers]
    return all(b == a + 1 for a, b in pairwise(given))

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
VERSION = 2
"""2 since the head holds the make's script; a head without one is still written as 1."""


class Chain(NamedTuple):
    """A make's name and lines, as written, proven by their digests."""

    name: str
    head: str
    bodies: tuple[str, ...]
    """The events, one JSON object each, in order."""

    def begins(self, other: "Chain") -> bool:
        """Whether `other` tells what this chain tells, or that and more.

        The scripts in them may differ: the first release kept none, and each journal of it is
        given its own when it is opened.
        """
        if len(other.bodies) < len(self.bodies) or told_by_head(self) != told_by_head(other):
            return False
        return all(map(same, self.bodies, other.bodies))

    def under_another_name(self, other: "Chain") -> bool:
        """Whether `other` tells this and more, as a make that was brought back beside another."""
        mine, theirs = read_head(self.head), read_head(other.head)
        if mine is None or theirs is None or len(other.bodies) < len(self.bodies):
            return False
        return (mine.plan, mine.created) == (theirs.plan, theirs.created) and all(
            map(same, self.bodies, other.bodies)
        )


class Head(NamedTuple):
    """What the first line holds."""

    name: str
    plan: str
    """The plan as JSON text."""
    created: float
    """POSIX seconds."""
    extra: str | None
    """Fields of an imported file that this version does not know, as JSON text."""
    script: str | None = None
    """The script of the beginning in its kept form; None in journals of the first release."""


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
    data = head._asdict()
    if head.script is None:
        del data["script"]
    return json.dumps({"format": FORMAT, "version": 1 if head.script is None else VERSION, **data})


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
    texts = texts and isinstance(head.script, str | None)
    return head if texts and isinstance(head.created, int | float) else None


def script_of(made: Chain) -> str | None:
    """The script a chain began with; None in one of the first release."""
    head = read_head(made.head)
    return head.script if head else None


def told_by_head(made: Chain) -> tuple[object, ...]:
    """What a head tells of a make, its script left out."""
    head = read_head(made.head)
    return () if head is None else (head.name, head.plan, head.created, head.extra)


def same(one: str, other: str) -> bool:
    """Whether two events tell the same, whatever steps came of it."""
    return one == other or told(one) == told(other)


def told(body: str) -> object:
    """What an event tells, the steps that came of it left out."""
    if '"tail"' not in body:
        return json.loads(body)
    data = json.loads(body)
    if isinstance(data, dict):
        data.pop("tail", None)
    return data


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

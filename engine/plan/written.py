"""A worked-out script in the form in which a journal keeps it.

`VERSION EDITION DATA`: DATA is the script as JSON, compressed by zlib (RFC 1950), in base64. The
steps' numbers are left out, and so is every field that has its default. So a field with a default
can be added to the models later and old journals read as before; but the default of a field that
is there must never change. The counts of loops and yarn are kept as they were shown, though they
follow from the stitches: a correction of the stitch table must not move a make. What a newer
release wrote and this one does not know is refused in a sentence, never guessed.

The edition tells one way of working a plan out from another: a digest of all that the hands do
(`hands`). It leaves out the words, which may improve under a make that goes on.
"""

import base64
import binascii
import json
import zlib
from collections import Counter
from collections.abc import Iterable
from functools import lru_cache
from hashlib import sha256
from typing import Any, NamedTuple

from pydantic import ValidationError
from pydantic_core import PydanticSerializationError

from engine.base.refusal import Refusal
from models.script import RowScript, Step
from models.stitch import STITCHES

VERSION = 1
LARGEST = 128 * 2**20
"""Bytes of a script before it is compressed; the longest that can be planned are far below."""
_FOLLOWS = {"number"}
_NOT_A_SCRIPT = (ValueError, LookupError, TypeError, AttributeError, RecursionError)


class Written(NamedTuple):
    """A kept script, or the rest of one."""

    edition: str
    first: int
    """Number of its first step."""
    script: RowScript
    """Its steps are numbered from `first`."""


def hands(step: Step) -> tuple[object, ...]:
    """Everything that a step has the hands do, and nothing of how it is told."""
    return (
        step.part,
        step.kind.value,
        step.row,
        step.direction and step.direction.value,
        step.side,
        [(o.stitch, o.times, o.at) for o in step.operations],
        step.loops_before,
        step.loops_after,
        step.held,
        step.target_cm,
    )


def edition_of(script: RowScript) -> str:
    """The edition that a whole script is of; 12 hex digits."""
    told = json.dumps([hands(step) for step in script.steps], separators=(",", ":"))
    return sha256(told.encode()).hexdigest()[:12]


def write(script: RowScript, edition: str, worked: int = 0) -> str:
    """The kept form of a script, without its first `worked` steps.

    Raises Refusal where it holds half a letter (a lone surrogate), which no file can.
    """
    rest = script.model_copy(update={"steps": script.steps[worked:]})
    try:
        data = rest.model_dump_json(exclude_defaults=True, exclude={"steps": {"__all__": _FOLLOWS}})
    except PydanticSerializationError:
        raise Refusal(
            "This holds a letter that cannot be written down: type it again without."
        ) from None
    made = json.dumps({"first": worked + 1}) + "\n" + data
    packed = base64.b64encode(zlib.compress(made.encode(), 9)).decode()
    return f"{VERSION} {edition} {packed}"


@lru_cache(maxsize=64)
def read(text: str) -> Written:
    """A script from its kept form. Raises Refusal for anything else.

    The last few are kept: taking back folds a journal anew, and it reads the same ones.
    """
    version, _, rest = text.partition(" ")
    edition, _, packed = rest.partition(" ")
    if version.isdecimal() and int(version) > VERSION:
        raise _newer(f"version {version} of its form, {VERSION} is known here")
    try:
        first, _, data = _unpacked(packed).partition(b"\n")
        number = int(json.loads(first)["first"])
        return Written(edition, number, script_from(json.loads(data), number))
    except Refusal:
        raise
    except ValidationError as error:
        one = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in one["loc"])
        raise _newer(f"{where[:80]}: {one['msg'][:80]}") from None
    except (
        ValueError,
        LookupError,
        TypeError,
        AttributeError,
        RecursionError,
        zlib.error,
    ) as error:
        raise Refusal(
            f"A row script in the journal cannot be read ({_brief(error)}): it is damaged, or "
            "not a row script."
        ) from None


def _brief(error: Exception) -> str:
    return " ".join(str(error).split())[:80] or type(error).__name__


def _newer(what: str) -> Refusal:
    return Refusal(
        f"This row script was written by a newer spokenrow ({what}): install the newest version "
        "and open the make again; nothing was changed."
    )


def _unpacked(packed: str) -> bytes:
    opener = zlib.decompressobj()
    try:
        made = opener.decompress(base64.b64decode(packed, validate=True), LARGEST)
    except binascii.Error as error:
        raise ValueError(str(error)) from None
    if not opener.eof or opener.unconsumed_tail:
        raise ValueError("it is cut short, or longer than any")
    return made


def script_from(data: dict[str, Any], first: int = 1) -> RowScript:
    """A script from its fields as JSON; what follows from the rest may be left out.

    Raises Refusal, ValidationError or ValueError for anything else.
    """
    steps = data["steps"]
    if not isinstance(steps, list):
        raise ValueError("it has no steps")
    bare = [{key: value for key, value in step.items() if key not in _FOLLOWS} for step in steps]
    for number, step in enumerate(bare, first):
        step["number"] = number
    script = RowScript.model_validate({**data, "steps": bare})
    for made in script.steps:
        for operation in made.operations:
            if operation.stitch not in STITCHES:
                raise _newer(f"the stitch {operation.stitch[:40]!r}")
    return script


def joined(script: RowScript, worked: int, rest: RowScript) -> RowScript:
    """`rest` after the first `worked` steps of `script`, which stay as they are.

    Only what a worked row says of the number of rows in its part follows the new count. The
    steps of `rest` are numbered anew where that is needed.
    """
    steps = rest.steps
    if steps and steps[0].number != worked + 1:
        steps = _numbered(steps, worked + 1)
    counts = {(s.part, s.kind): (s.rows, s.rows_planned) for s in steps if s.counts_row}
    done = Counter((s.part, s.kind) for s in script.steps[:worked] if s.counts_row)
    kept = []
    for step in script.steps[:worked]:
        this = step.part, step.kind
        if step.counts_row and this in counts:
            rows, planned = counts[this]
            step = step.model_copy(update={"rows": rows, "rows_planned": planned})  # noqa: PLW2901
        elif step.counts_row and step.rows is None and (step.rows_planned or 0) > done[this]:
            # The part ends here, with fewer rows than were planned.
            step = step.model_copy(update={"rows_planned": done[this]})  # noqa: PLW2901
        kept.append(step)
    return rest.model_copy(update={"steps": (*kept, *steps)})


def _numbered(steps: Iterable[Step], first: int) -> tuple[Step, ...]:
    return tuple(
        step.model_copy(update={"number": number}) for number, step in enumerate(steps, first)
    )

"""A make as one file: everything that decides it, and everything that happened in it."""

from typing import Annotated, Any, Literal

from pydantic import Field

from models.event import Event, Moment
from models.frozen import Frozen
from models.plan import Plan
from models.text import Words

FORMAT = "spokenrow make"
VERSION = 1


class MakeFile(Frozen):
    """The exchange format, JSON in UTF-8. Its schema is published as `make.schema.json`.

    Fields that a reader does not know are kept and written again. A new field does not raise the
    version; a change of meaning does, and then older readers refuse the file.
    """

    format: Literal["spokenrow make"] = "spokenrow make"
    version: Annotated[int, Field(ge=1, le=VERSION)] = VERSION
    name: Annotated[Words, Field(min_length=1, max_length=80)]
    """What the make was called where it was exported."""
    created: Moment
    """When it was begun, POSIX seconds."""
    plan: Plan
    """Lengths in cm, gauge in loops and rows per 10 cm."""
    script: Words | None = None
    """The row script that the make began with: `VERSION EDITION DATA`, where DATA is JSON
    compressed by zlib (RFC 1950) in base64. Where there is none, it is worked out of the plan
    when the file is read. Events that plan anew carry what is to be worked after them, likewise."""
    events: tuple[Event, ...] = ()
    """What happened, in order; times in POSIX seconds. An "undo" takes back the last event that
    still stands."""
    sounds: dict[Words, Words] = {}
    """The spoken notes: WAV files (16 kHz, mono, 16 bits, 30 s at most) in base64 (RFC 4648), each
    under its SHA-256 digest, as the note's event has it."""


def schema() -> dict[str, Any]:
    """The JSON schema of a file, open to fields that a later writer may add."""
    made = MakeFile.model_json_schema()
    made["required"] = ["format", "version", *made["required"]]
    _open(made)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "spokenrow make",
        **{key: value for key, value in made.items() if key != "title"},
    }


def _open(node: Any) -> None:
    if isinstance(node, dict):
        if node.get("additionalProperties") is False:
            del node["additionalProperties"]
        for value in node.values():
            _open(value)
    elif isinstance(node, list):
        for value in node:
            _open(value)

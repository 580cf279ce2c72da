"""Makes out of the house and in again, as open JSON (`models.exchange`).

What comes in was written by others: it is bounded, checked against the design's own limits, and
worked through from the first loop (`engine.keep.verify`) before anything is kept.
"""

import base64
import contextlib
import json
import math
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, NoReturn, get_args

from pydantic import BaseModel, ValidationError

from engine.base.patient import read_patiently
from engine.base.refusal import Refusal
from engine.designs import design
from engine.keep import notes
from engine.keep.moving.move import Bare, move
from engine.keep.store import Store
from engine.keep.verify import replay
from models.event import EVENT, MOST, Event, Planning
from models.exchange import FORMAT, VERSION, MakeFile
from models.plan import Begun, Plan

LARGEST = 256 * 2**20
"""Bytes of a file; a make of sixty thousand events is six million."""
MOST_EVENTS = 1_000_000
LONGEST_TEXT = 10_000
"""Letters of a title, a size or a name in a plan; a written pattern may have `LONGEST_EVENT`."""
LONGEST_EXTRA = 1_000_000
"""Letters of all that this version does not know in a file."""
MOST_DECIDED = 5_000
"""Rows or loops that a plan may decide for one part."""
LONGEST_CM = 1_000.0
MOST_LOOPS = 20_000_000
"""Loops of all re-planned scripts together: about a minute's work."""

WAIT_S = 120.0
"""Seconds that the first release may take to work out a make that it exported."""

_KINDS: dict[str, type[BaseModel]] = {
    member.model_fields["kind"].default: member for member in get_args(get_args(Event)[0])
}
_DIGITS = 40
"""No number of a make has as many; Python refuses those with thousands in words of its own."""


def export_text(store: Store, name: str) -> str:
    """A make as the text of a file. Raises Refusal for an unknown name."""
    begun, events = store.load(name)
    made = MakeFile(
        name=name,
        created=store.created(name),
        plan=begun.plan,
        script=begun.script,
        events=tuple(events),
        sounds=_sounds(store, name, events),
    )
    data = made.model_dump(mode="json")
    if extra := store.extra(name):
        _merge(data, json.loads(extra))
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


def read_file(path: Path) -> str:
    """The text of a file to be imported. Raises Refusal where it cannot be read or is too large."""
    try:
        content = read_patiently(path, LARGEST + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"{path} cannot be read ({why}): check the name.") from error
    if len(content) > LARGEST:
        raise Refusal(f"{path} is larger than {LARGEST // 2**20} MB, which no make is.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refusal(f"{path} is not an exported make: its text is not UTF-8.") from error


def import_text(store: Store, text: str, name: str | None = None) -> str:
    """Keep an exported make under its own name or another; gives the name it got.

    Raises Refusal, and then nothing is kept: for text that is not an exported make, a newer
    version, a plan without a sound script, events that do not fit it, or a name that is taken.
    """
    made, extra = parse(text)
    check_plan(made.plan)
    begun, events = _with_scripts(made)
    faults = replay(begun, events).faults
    if faults:
        raise Refusal(f"The events of this make do not fit its plan: {faults[0]}.")
    free = name or store.free_name(made.name)
    kept = json.dumps(extra, ensure_ascii=True, sort_keys=True) if extra else None
    if kept and len(kept) > LONGEST_EXTRA:
        raise Refusal(
            f"This file holds {len(kept)} letters that this version does not know, more than "
            f"{LONGEST_EXTRA}: install the newest spokenrow and import it again."
        )
    sounds = _decoded(made, events)
    store.create(free, begun, events, extra=kept, created=made.created)
    for sound in sounds:
        notes.put(store, free, sound)
    return free


def _sounds(store: Store, name: str, events: list[Event]) -> dict[str, str]:
    """The spoken notes that can be read; of one that cannot, the event goes alone."""
    found = {}
    for digest in notes.digests(events):
        with contextlib.suppress(Refusal):
            found[digest] = base64.b64encode(notes.content(store, name, digest)).decode()
    return found


def _decoded(made: MakeFile, events: Sequence[Event]) -> list[bytes]:
    """The spoken notes of a file, those that an event names. Raises Refusal for a false one."""
    wanted, found = set(notes.digests(list(events))), []
    for digest, text in made.sounds.items():
        if digest not in wanted:
            continue
        if len(text) > 2 * notes.LARGEST:
            raise Refusal("A spoken note in this file is longer than any is.")
        try:
            sound = base64.b64decode(text, validate=True)
        except ValueError:
            sound = b""
        if sha256(sound).hexdigest() != digest:
            raise Refusal("A spoken note in this file is damaged: its digest is not its own.")
        found.append(sound)
    return found


def _with_scripts(made: MakeFile) -> tuple[Begun, Sequence[Event]]:
    """What the file holds, with the scripts that an earlier release left out. Raises Refusal."""
    lacks = any(isinstance(event, Planning) and event.tail is None for event in made.events)
    if made.script is not None and not lacks:
        return Begun(plan=made.plan, script=made.script), made.events
    bodies = [event.model_dump_json() for event in made.events]
    bare = Bare(made.plan.model_dump_json(), made.script, bodies)
    (moved,) = move([bare], MOST_LOOPS, WAIT_S)
    if isinstance(moved, Refusal):
        raise moved
    begun = Begun(plan=made.plan, script=moved.script)
    return begun, [EVENT.validate_json(body) for body in moved.bodies]


def parse(text: str) -> tuple[MakeFile, dict[str, Any]]:
    """A file's make, and the fields in it that this version does not know.

    Raises Refusal for anything else.
    """
    try:
        data = json.loads(
            text, parse_constant=_no_number, parse_int=_whole, object_pairs_hook=_no_doubles
        )
    except RecursionError:
        raise Refusal("This is not an exported make: it is nested too deeply.") from None
    except ValueError as error:
        raise Refusal(f"This is not an exported make: {_brief(error)}.") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise Refusal('This is not an exported make: it does not say "format": "spokenrow make".')
    version = data.get("version")
    if isinstance(version, int) and version > VERSION:
        raise Refusal(
            f"This make was exported by a newer spokenrow (version {version} of the file, "
            f"{VERSION} is known here): install the newest spokenrow and import it again."
        )
    known, extra = _split(MakeFile, data)
    events = data.get("events", [])
    if isinstance(events, list):
        if len(events) > MOST_EVENTS:
            raise Refusal(
                f"This make has {len(events)} events; at most {MOST_EVENTS} can be imported."
            )
        pairs = [_split_event(number, event) for number, event in enumerate(events, 1)]
        known["events"] = [event for event, _ in pairs]
        if odd := {str(n): more for n, (_, more) in enumerate(pairs) if more}:
            extra["events"] = odd
    try:
        # Strict, so that what comes out again is what was there.
        made = MakeFile.model_validate_json(json.dumps(known), strict=True)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(map(str, first["loc"])) or "the file"
        raise Refusal(
            f"This make cannot be read at {where[:80]}: {_brief(first['msg'])}."
        ) from None
    return made, extra


def check_plan(plan: Plan) -> None:
    """Raises Refusal where a plan asks for more than any garment has."""
    texts = (
        plan.title,
        plan.size,
        plan.stitch,
        plan.stripes,
        *plan.measures,
        *plan.rows,
        *plan.counts,
    )
    if any(len(text) > LONGEST_TEXT for text in texts):
        raise Refusal(f"A name in the plan is longer than {LONGEST_TEXT} letters.")
    if (plan.ball_loops or 0) > MOST:
        raise Refusal(f"The plan has balls of {plan.ball_loops} loops: at most {MOST}.")
    specs = {spec.name: spec for spec in design(plan.design).info.measures}
    for name, cm in plan.measures.items():
        low, high = (specs[name].low, specs[name].high) if name in specs else (0.0, LONGEST_CM)
        if not (math.isfinite(cm) and low <= cm <= high):
            raise Refusal(
                f"The plan's {name[:40]!r} of {cm:g} cm is out of bounds: it may be {low:g} to "
                f"{high:g} cm."
            )
    worked = ((name, count) for name, all_of in plan.worked.items() for count in all_of)
    rows = (*plan.rows.items(), *plan.worked_rows.items())
    for name, count in (*rows, *plan.counts.items(), *worked):
        least = 0 if name in plan.row_counts else -MOST_DECIDED  # an ease may be below nothing
        if not least <= count <= MOST_DECIDED:
            raise Refusal(
                f"The plan decides {count} for {name[:40]!r}: it may be {least} to {MOST_DECIDED}."
            )


def _split(model: type[BaseModel], data: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """What a model knows of the data, and the rest, in the same shape."""
    known: dict[str, Any] = {}
    rest: dict[str, Any] = {}
    for key, value in data.items():
        field = model.model_fields.get(key)
        if field is None:
            rest[key] = value
            continue
        inner = field.annotation
        if isinstance(value, dict) and isinstance(inner, type) and issubclass(inner, BaseModel):
            value, more = _split(inner, value)  # noqa: PLW2901 - it is the same field's value
            if more:
                rest[key] = more
        known[key] = value
    return known, rest


def _split_event(number: int, event: Any) -> tuple[Any, dict[str, Any]]:
    kind = event.get("kind") if isinstance(event, dict) else None
    if not isinstance(kind, str) or kind not in _KINDS:
        raise Refusal(
            f"Event {number} of this make is of a kind that is not known here"
            f"{f' ({kind[:40]!r})' if isinstance(kind, str) else ''}: "
            "install the newest spokenrow and import it again."
        )
    return _split(_KINDS[kind], event)


def _merge(data: dict[str, Any], extra: dict[str, Any]) -> None:
    """Put unknown fields back where they were; what is known wins."""
    for key, value in extra.items():
        if isinstance(data.get(key), list) and isinstance(value, dict):
            for number, more in value.items():
                if int(number) < len(data[key]):
                    _merge(data[key][int(number)], more)
        elif isinstance(data.get(key), dict) and isinstance(value, dict):
            _merge(data[key], value)
        else:
            data.setdefault(key, value)


def _whole(digits: str) -> int:
    if len(digits) > _DIGITS:
        raise ValueError("a number in it has too many digits")
    return int(digits)


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is not a number")


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data = dict(pairs)
    if len(data) != len(pairs):
        raise ValueError("a field is given twice")
    return data


def _brief(problem: object) -> str:
    return " ".join(str(problem).split())[:120].rstrip(".")

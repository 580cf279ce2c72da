"""Makes full of hostile text, as a file of others brings them and as the state would hold them."""

import json
from typing import Any

from counter.shared.work import Work
from engine.make.making import Making
from engine.plan import written
from engine.plan.planning import make_plan, read_gauge, script_for
from models.event import Accepted, Advanced, Dropped, Event, Noted, Replanned
from models.exchange import MakeFile
from models.plan import Begun, Plan
from models.script import RowScript
from tests.faults.hostile.texts import Supply

BEGAN = 1_790_000_000.0
FIELDS = ("title", "note", "how", "why", "part", "step note")
EDITION = "0123456789ab"


def plan(title: str) -> Plan:
    """A small throw."""
    made = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 10.0, "height": 20.0})
    return Plan.model_validate({**made.model_dump(), "title": title})


def _events(said: dict[str, str], script: RowScript) -> list[Event]:
    tail = written.write(script, EDITION, 1)
    return [
        Advanced(at=BEGAN, step=1, part=said["part"]),
        Noted(at=BEGAN + 60, text=said["note"]),
        Dropped(at=BEGAN + 80, step=2, loop=2),
        Accepted(at=BEGAN + 90, mark=1, how=said["how"]),
        Replanned(at=BEGAN + 95, why=said["why"], tail=tail),
        Advanced(at=BEGAN + 99, step=2, part=said["part"], row=1),
        Dropped(at=BEGAN + 100, step=3, loop=1),
    ]


def exported(texts: Supply) -> tuple[str, dict[str, str]]:
    """A file to import, as others would write it, and the text of each field."""
    said = {name: _whole(texts.take(60)) for name in FIELDS}
    # Others do not make a text legible before they write it.
    script = _script(said)
    made = MakeFile(
        name="hostile", created=BEGAN, plan=plan("x"), script=written.write(script, EDITION),
        events=tuple(_events(dict.fromkeys(FIELDS, "x"), script)),
    )  # fmt: skip
    data: dict[str, Any] = made.model_dump(mode="json")
    data["plan"]["title"] = said["title"]
    for event in data["events"]:
        keys = {"text": "note", "how": "how", "why": "why", "part": "part"}
        for key in keys.keys() & event.keys():
            event[key] = said[keys[key]]
    return json.dumps(data), said


def _script(said: dict[str, str]) -> RowScript:
    """The throw's script, full of texts as others would write them."""
    made = script_for(plan("throw"))
    more = {"part": said["part"], "note": said["step note"]}
    steps = tuple(step.model_copy(update=more) for step in made.steps)
    return made.model_copy(update={"steps": steps, "title": said["title"]})


def _whole(text: str) -> str:
    """Half a surrogate is refused in JSON, which is as good: take the rest."""
    return text.encode("utf-16-le", "ignore").decode("utf-16-le", "ignore") or "x"


def hostile_work(texts: Supply) -> tuple[Work, dict[str, str]]:
    """A make on the table whose script is hostile as well, and the text of each field."""
    said = {name: _whole(texts.take(60)) for name in FIELDS}
    script = _script(said)
    begun = Begun(plan=plan(said["title"]), script=written.write(script, EDITION))
    return Work("hostile", Making(begun, _events(said, script))), said

"""Makes full of hostile text, as a file of others brings them and as the state would hold them."""

import json
from typing import Any

from counter.shared.work import Work
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.event import Accepted, Advanced, Dropped, Event, Noted, Replanned
from models.exchange import MakeFile
from models.plan import Plan
from models.script import RowScript
from tests.faults.hostile.texts import Supply

BEGAN = 1_790_000_000.0
FIELDS = ("title", "note", "how", "why")


def plan(title: str) -> Plan:
    """A small throw."""
    made = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 10.0, "height": 20.0})
    return Plan.model_validate({**made.model_dump(), "title": title})


def exported(texts: Supply) -> tuple[str, dict[str, str]]:
    """A file to import, as others would write it, and the text of each field."""
    said = {name: _whole(texts.take()) for name in FIELDS}
    events: list[Event] = [
        Advanced(at=BEGAN, step=1),
        Noted(at=BEGAN + 60, text="NOTE"),
        Dropped(at=BEGAN + 80, step=2, loop=2),
        Accepted(at=BEGAN + 90, mark=1, how="HOW"),
        Replanned(at=BEGAN + 95, why="WHY"),
        Advanced(at=BEGAN + 99, step=2),
        Dropped(at=BEGAN + 100, step=3, loop=1),
    ]
    made = MakeFile(name="hostile", created=BEGAN, plan=plan("TITLE"), events=tuple(events))
    data: dict[str, Any] = made.model_dump(mode="json")
    data["plan"]["title"] = said["title"]
    for event in data["events"]:
        for key in ("text", "how", "why"):
            if event.get(key) in {"NOTE", "HOW", "WHY"}:
                event[key] = said["note" if key == "text" else key]
    return json.dumps(data), said


def _whole(text: str) -> str:
    """Half a surrogate is refused in JSON, which is as good: take the rest."""
    return text.encode("utf-16-le", "ignore").decode("utf-16-le", "ignore") or "x"


def hostile_work(texts: Supply) -> tuple[Work, dict[str, str]]:
    """A make on the table whose script is hostile as well, and the text of each field."""
    said = {name: texts.take(60) for name in (*FIELDS, "part", "step note")}
    making = Making(
        plan(said["title"]),
        [
            Advanced(at=BEGAN, step=1),
            Noted(at=BEGAN + 1, text=said["note"]),
            Dropped(at=BEGAN + 2, step=2, loop=2),
            Accepted(at=BEGAN + 3, mark=1, how=said["how"]),
            Replanned(at=BEGAN + 4, why=said["why"]),
            Advanced(at=BEGAN + 5, step=2),
        ],
    )
    script = making.state.script.model_dump()
    for step in script["steps"]:
        step["part"], step["note"] = said["part"], said["step note"]
    state = making.state.model_copy(update={"script": RowScript.model_validate(script)})
    making.state = state
    return Work("hostile", making), said

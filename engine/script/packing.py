"""A script as small as it can be written down, and back again.

What follows from the rest is left out: a step's number, its loops before, after and held, and the
yarn it pulls in. `counted` works them out anew, by adding up; the audit proves them on the loops
themselves.
"""

import json
from collections.abc import Iterable

from models.script import Craft, Operation, RowScript, Step

_FOLLOWS = {"number", "loops_before", "loops_after", "held", "yarn_loops", "operations"}


def counted(steps: Iterable[Step], craft: Craft) -> tuple[Step, ...]:
    """The steps with their numbers, loops and yarn as they follow from the operations.

    `loops_before` is taken after the step's own regrouping, as `models.script.Step` has it.
    """
    live = held = 0
    found: list[Step] = []
    for number, step in enumerate(steps, 1):
        for operation in step.operations:
            moved = operation.moves
            live += moved
            held -= moved
        after = live + sum(o.leaves - o.takes for o in step.operations)
        found.append(
            step.model_copy(
                update={
                    "number": number,
                    "loops_before": live,
                    "loops_after": after,
                    "held": held,
                    "yarn_loops": sum(o.yarn(craft) for o in step.operations),
                }
            )
        )
        live = after
    return tuple(found)


def packed(script: RowScript) -> str:
    """The script as JSON without what follows from it; `unpacked` gives the same script back."""
    told = script.model_dump(mode="json", exclude={"steps"}, exclude_defaults=True)
    told["steps"] = [
        step.model_dump(mode="json", exclude=_FOLLOWS, exclude_defaults=True)
        | {"operations": [_operation(o) for o in step.operations]}
        for step in script.steps
    ]
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def _operation(operation: Operation) -> list[object]:
    told: list[object] = [operation.stitch, operation.times]
    return [*told, operation.at] if operation.at else told


def unpacked(text: str) -> RowScript:
    """The script that `packed` wrote. Raises ValueError for what is none."""
    told = json.loads(text)
    if not isinstance(told, dict) or not isinstance(told.get("steps"), list):
        raise ValueError("a packed script is an object with a list of steps")
    told["steps"] = [_step(step) for step in told["steps"]]
    script = RowScript.model_validate(told)
    return script.model_copy(update={"steps": counted(script.steps, script.craft)})


def _step(told: object) -> dict[str, object]:
    if not isinstance(told, dict) or not isinstance(told.get("operations"), list):
        raise ValueError("a packed step is an object with a list of operations")
    names = ("stitch", "times", "at")
    operations = []
    for one in told["operations"]:
        if not isinstance(one, list) or not 2 <= len(one) <= len(names):
            raise ValueError("a packed operation is a list of a stitch, its times and its place")
        operations.append(dict(zip(names, one, strict=False)))
    return {**dict.fromkeys(_FOLLOWS, 0), **told, "operations": operations}

"""Two minutes of practice: eight loops, four rows, and the words that move a make."""

from engine.designs.design import Design
from engine.designs.fabric import bind_off, finish, foundation
from engine.designs.shapes import flat_row
from engine.script.builder import ScriptBuilder, op
from engine.words.vocabulary import word
from models.command import Action
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

_LOOPS = 8
_ROWS = 4

INFO = DesignInfo(
    name="practice",
    title="Practice piece",
    blurb="Two minutes: 8 loops, 4 rows, and the words that move a make.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(),
)


def _say(action: Action) -> str:
    return f"'{word(action).phrases[0]}'"


def _lessons() -> tuple[str, ...]:
    """What each row teaches, in the words of the one table."""
    key = word(Action.ADVANCE).keys[0]
    dropped = word(Action.DROPPED).phrases[1].replace("{n}", "three")
    return (
        f"When the row is done, say {_say(Action.ADVANCE)}, or press {key}",
        f"Before you go on, say {_say(Action.WHERE)}: it tells you where the work stands. "
        f"Then {_say(Action.ADVANCE)}",
        f"Say {_say(Action.ADVANCE)}, then {_say(Action.TAKE_BACK)}: the last action is undone, "
        f"whatever it was. Then {_say(Action.ADVANCE)} again",
        f"Say '{dropped}' to mark a loop you missed, and {_say(Action.REPAIRED)} when it is "
        f"mended. Then {_say(Action.ADVANCE)}",
    )


def defaults(_size: str) -> dict[str, float]:
    """It asks for nothing."""
    return {}


def build(plan: Plan) -> RowScript:
    """The practice piece's script; it is sound at any gauge."""
    gauge = plan.gauge
    lessons = _lessons()
    rows = max(1, plan.row_counts.get("practice", _ROWS))
    b = ScriptBuilder(plan)
    foundation(b, "practice", _LOOPS)
    for row in range(1, rows + 1):
        said = lessons[row - 1] if row <= len(lessons) else ""
        flat_row(b, "practice", row, op("k", _LOOPS), rows=rows, note=said)
    b.back_check("practice", "before the bind-off")
    b.step(
        "practice",
        Kind.FIT_CHECK,
        note=f"A fit check asks how it sits. Say {_say(Action.FITS)}, "
        f"{_say(Action.TOO_TIGHT)} or {_say(Action.TOO_LOOSE)}; here, {_say(Action.FITS)}",
    )
    bind_off(b, "practice")
    finish(b, "practice", f"{_say(Action.HELP).capitalize()} lists every word and key")
    return b.finish(
        finished_cm={"width": _LOOPS / gauge.loops_per_cm, "height": rows / gauge.rows_per_cm}
    )


DESIGN = Design(INFO, defaults, build)

"""What a grader asks of finished measures, said once more and apart from the designs.

`faults` looks at one script beside the plan it comes from, `backward` at a design's sizes in order.
Every finished measure of every design is asked for in `ASKED` or follows from others (`FOLLOWS`);
one that is neither is a fault, so that a design that is added later is held to this as well.
"""

import re
from itertools import pairwise

from engine.craft.sizes import EVERYONE, table_of
from engine.plan.planning import gave_way
from models.script import Kind


def _around(cm):
    return cm["around"] if "around" in cm else cm.get("bust", cm.get("head")) + cm["ease"]


_OPEN = {
    "around": _around,
    "body height": lambda cm: cm["body_height"],
    "armhole depth": lambda cm: cm["armhole_depth"],
    "back neck": lambda cm: cm["neck_width"],
    "underarm": lambda cm: cm["underarm"],
}
_SLEEVED = {
    **_OPEN,
    "centre back to cuff": lambda cm: cm["back_neck_to_cuff"],
    "cuff": lambda cm: cm["cuff"],
}
_FLAT = {"width": lambda cm: cm["width"], "height": lambda cm: cm["height"]}
_TUBE = {"around": _around, "height": lambda cm: cm["height"]}
_BODY = {
    "around": _around,
    "body height": lambda cm: cm["body_height"],
    "sleeve length": lambda cm: cm["sleeve"],
}
_SCARF = {"width": lambda cm: cm["width"], "length": lambda cm: cm["length"]}
ASKED = {
    "cardigan": _SLEEVED,
    "child-cardigan": _SLEEVED,
    "vest": _OPEN,
    "pullover": {
        **_BODY,
        "armhole depth": lambda cm: cm["armhole_depth"],
        "neck width": lambda cm: cm["neck_width"],
        "cuff": lambda cm: cm["cuff"],
    },
    "raglan": {
        **_BODY,
        "depth": lambda cm: cm["depth"],
        "upper sleeve": lambda cm: cm["upper_arm"],
        "cuff": lambda cm: cm["cuff"],
    },
    "yoke-pullover": _BODY,
    "cap": _TUBE,
    "hat": _TUBE,
    "cowl": _TUBE,
    "scarf": _SCARF,
    "hooded-scarf": {
        **_SCARF,
        "hood depth": lambda cm: cm["depth"],
        "around the face": lambda cm: cm["around"],
    },
    "shawl": _FLAT,
    "throw": _FLAT,
    "blanket": _FLAT,
    "pillow": _FLAT,
    "tote": {**_FLAT, "handle": lambda cm: cm["handle"]},
    "petbed": {
        "width": lambda cm: cm["width"],
        "depth": lambda cm: cm["depth"],
        "wall": lambda cm: cm["wall"],
    },
    "mittens": {
        "hand around": lambda cm: cm["hand_around"] + cm["ease"],
        "hand length": lambda cm: cm["hand_length"],
        "thumb": lambda cm: cm["thumb"],
    },
    # Stitches of a sock: less a tenth (stitchwhisperdesigns.com, "Sock Math", 2022).
    "socks": {
        "foot around": lambda cm: cm["foot_around"] * 0.9,
        "foot length": lambda cm: cm["foot_length"],
        "leg": lambda cm: cm["leg"],
    },
    "practice": {},
}
"""What is asked of each finished measure, in cm, by design."""
_OPEN_FOLLOWS = {
    "length", "back width", "fronts", "shoulder", "edging",
}  # fmt: skip
FOLLOWS = {
    "cardigan": _OPEN_FOLLOWS | {"sleeve length", "upper sleeve"},
    "child-cardigan": _OPEN_FOLLOWS | {"sleeve length", "upper sleeve"},
    "vest": _OPEN_FOLLOWS | {"armhole around"},
    "pullover": {"back", "upper sleeve"},
    "raglan": {"neck"},
    "yoke-pullover": {"upper sleeve", "wrist", "yoke depth", "neck"},
    "mittens": {"thumb around"},
    "practice": {"width", "height"},
}
"""Measures that nobody asks for: they follow from others."""
UP = {
    "body height", "armhole depth", "centre back to cuff", "height", "sleeve length", "depth",
    "length", "around the face", "wall", "hand length", "thumb", "foot length", "leg",
}  # fmt: skip
"""Measures in rows; the others are in loops."""
SWINGS = {"sleeve length", "edging"}
"""A sleeve's length is what half the back leaves of centre back to cuff, which is what is asked;
an edging is narrower where a small size could not carry it."""
BACKS = {
    "cardigan": "back width", "child-cardigan": "back width", "vest": "back width",
    "pullover": "back", "raglan": "", "yoke-pullover": "",
}  # fmt: skip
"""The measure across the back of what covers one; of a round body it is half of it."""


class _Told:
    """What a maker is told that gave way: what comes of a measure, with its centimetres."""

    def __init__(self, sentences):
        self.sentences = [sentence.lower() for sentence in sentences]

    def of(self, name, cm=None):
        """Whether it is told of a measure, and that it comes to so many centimetres."""
        return any(
            cm is None or any(abs(float(n) - cm) <= 0.06 for n in re.findall(r"\d+\.?\d*", one))
            for one in self.sentences
            if re.search(rf"\b{name}\b", one)
        )


def faults(plan, script, told=None):
    """What is wrong with the finished measures, a sentence each; `told` is what the maker was told
    that gave way, or what she is told of this script."""
    cm = {name: value * plan.scale for name, value in plan.measures.items()}
    loop, row = 1 / plan.gauge.loops_per_cm, 1 / plan.gauge.rows_per_cm
    done = script.finished_cm
    told = _Told(gave_way(plan, script) if told is None else told)
    asked = ASKED.get(plan.design, {})
    for name in done.keys() - asked.keys() - FOLLOWS.get(plan.design, set()):
        yield f"nothing is asked of {name}"
    for name, of in asked.items():
        unit = row if name in UP else loop
        if name not in done:
            yield f"{name} is not told"
        elif abs(done[name] - of(cm)) > unit / 2 + 0.11 and not told.of(name, done[name]):
            yield f"{name} is {done[name]} cm for {of(cm):.1f} asked, and nobody says so"
    yield from _open_front(plan, script, cm, told)
    body = EVERYONE.get(plan.size) if plan.scale == 1 else None
    if body and plan.design in BACKS:
        yield from _on_the_body(plan, done, body)
    yield from _taper(script)


def _open_front(plan, script, cm, told):
    """What fronts and back are to each other."""
    loop, done = 1 / plan.gauge.loops_per_cm, script.finished_cm
    if "fronts" not in done:
        return
    if done["back width"] < cm["cross_back"] - loop / 2 - 0.06:
        yield f"the back of {done['back width']} cm is narrower than the body's"
    if done["back width"] < cm["cross_back"] + cm["ease"] / 2 - loop / 2 and not told.of(
        "back", done["back width"]
    ):
        yield "the back lacks its ease, and nobody says so"
    if abs(done["fronts"] - done["back width"]) > loop + 0.11 and not told.of(
        "fronts", done["fronts"]
    ):
        yield "the fronts are not as wide as the back, and nobody says so"
    fronts = [s for s in script.steps if s.part == "right front" and s.counts_row]
    if fronts and fronts[-1].loops_after < 2 and not told.of("shoulder"):
        yield "a shoulder hangs on one loop"


def _on_the_body(plan, done, body):
    """What the published body of the size asks of whatever it puts on."""
    loop, row = 1 / plan.gauge.loops_per_cm, 1 / plan.gauge.rows_per_cm
    back = done.get(BACKS[plan.design], done["around"] / 2)
    if back < body.cross_back - loop / 2 - 0.06:
        yield f"a back of {back} cm is narrower than the body's"
    neck = done.get("back neck", done.get("neck width", done.get("neck", 0) / 2))
    if not 0 < neck <= back:
        yield "the neck is wider than the back, or closed"
    for name in ("armhole depth", "depth", "yoke depth"):
        low, high = body.armhole_depth - row / 2 - 0.06, body.armhole_depth + 4.06 + row / 2
        if name == "yoke depth":  # by the percentage system: a quarter of the body, no table
            high = done["around"] / 4 + row / 2 + 0.06
        if name in done and not low <= done[name] <= max(low, high):
            yield f"{name} of {done[name]} cm is none for a body's {body.armhole_depth} cm"
    for name in ("cuff", "wrist"):
        if done.get(name, 99) < max(body.wrist, body.hand) - 0.06:
            yield f"a {name} of {done[name]} cm lets no hand through"
    arm = body.upper_arm + (0 if plan.design == "yoke-pullover" else 3)
    if done.get("upper sleeve", 99) < arm - loop:
        yield "no arm goes into the sleeve"


def _taper(script):
    if "cuff" not in script.finished_cm:
        return
    rounds = [s for s in script.steps if s.part == "right sleeve" and s.kind is Kind.ROUND]
    last = max((s.row for s in rounds if s.loops_after < s.loops_before), default=0)
    if last and len(rounds) - last > len(rounds) / 4 + 2:
        yield f"the taper ends in round {last} of {len(rounds)}"


def backward(scripts):
    """Measures that a larger size has smaller, of a design's scripts by size in order."""
    names = {name for script in scripts for name in script.finished_cm} - SWINGS
    for name in sorted(names):
        for one, other in pairwise(scripts):
            if table_of(one.size) != table_of(other.size):
                continue  # the women's largest, then the children's smallest
            if other.finished_cm[name] < one.finished_cm[name] - 0.06:
                yield (
                    f"{name} goes back from {one.finished_cm[name]} cm in {one.size} to "
                    f"{other.finished_cm[name]} cm in {other.size}"
                )

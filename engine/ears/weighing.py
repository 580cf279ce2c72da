"""How likely it is that a phrase was said, to us, alone: a learned judgement of the evidence.

A small forest of decision trees whose leaves add up to the logarithm of the odds (gradient
boosting: J. H. Friedman, "Greedy function approximation: a gradient boosting machine", Annals of
Statistics 29(5), 2001). It was fitted on the tuning part of the hearing bench by
`engine.forge.decision`; `decision.json` holds it as plain numbers. Where one side must win whatever
else is known (a phone that fits better is never less likely), the fit was bound to that.

A second one, `alike.json`, has met many phrases that sound like one of ours, and is shown how far
those are from it as well. What the two find less likely counts.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files

from engine.ears.evidence import Evidence
from engine.ears.fit import Fit
from models.frozen import Frozen

FILE = "decision.json"
ALIKE_FILE = "alike.json"
Feature = tuple[int, Callable[[Evidence], float]]
_NAN = math.nan
_RESTLESS = 1.5
"""Decibels of margin for each decibel that the quiet room's level moves."""


def _fit(get: Callable[[Fit], float]) -> Callable[[Evidence], float]:
    return lambda e: _NAN if e.fit is None else get(e.fit)


def _number(e: Evidence) -> float:
    """How near other numbers sound: 0 none, 1 to twelve, 2 a ten or a teen, 3 a ten and more."""
    value = e.reading.command.value if e.reading.command else None
    if value is None:
        return 0.0
    rest = int(value) % 100
    if rest <= 12:
        return 1.0
    return 2.0 if rest < 20 or rest % 10 == 0 else 3.0


FEATURES: dict[str, Feature] = {
    "confidence": (1, lambda e: e.confidence),
    "worst": (1, _fit(lambda f: f.worst)),
    "mean": (1, _fit(lambda f: f.mean)),
    "margin": (1, _fit(lambda f: f.margin)),
    "free": (-1, _fit(lambda f: f.free)),
    "silent before": (1, _fit(lambda f: f.silent_before)),
    "silent after": (1, _fit(lambda f: f.silent_after)),
    "shortest": (0, _fit(lambda f: f.shortest_s)),
    "uncovered": (
        -1,
        lambda e: _NAN if e.fit is None else e.voiced_s - e.fit.end_s + e.fit.start_s,
    ),
    "pace": (0, lambda e: e.voiced_s / e.phones),
    "own pace": (0, lambda e: e.voiced_s / e.phones / e.own_phone_s if e.own_phone_s else _NAN),
    "hurried": (1, lambda e: _NAN if e.hurried_s is None else e.hurried_s),
    "phones": (0, lambda e: float(e.phones)),
    "own level": (0, lambda e: e.level_db - e.own_level_db if e.own_level_db else _NAN),
    "clear": (1, lambda e: e.level_db - e.room_db - _RESTLESS * e.room_spread_db),
    "near": (1, lambda e: min(60.0, e.level_db - e.background_db)),
    "rises": (1, lambda e: e.rises_db),
    "falls": (1, lambda e: e.falls_db),
    "restless": (0, lambda e: e.room_spread_db),
    "quiet before": (1, lambda e: min(3.0, e.quiet_before_s)),
    "talk": (-1, lambda e: min(10.0, e.talk_s)),
    "agreed": (1, lambda e: float(e.agreed)),
    "again": (0, lambda e: float(e.again)),
    "passed over": (-1, lambda e: float(e.passed_over)),
    "number": (-1, _number),
    "open": (0, lambda e: float(e.reading.may_go_on)),
    "rival": (1, lambda e: _NAN if e.rival is None else min(40.0, e.rival)),
}
"""What is looked at, and which way it counts: 1 more is likelier, -1 less likely, 0 either."""


ALIKE = FEATURES | {"unlike": (1, lambda e: _NAN if e.unlike is None else e.unlike)}
"""The same for the second judgement: whether it was this phrase, and none that sounds like it."""


def features(evidence: Evidence, of: Mapping[str, Feature] = FEATURES) -> list[float]:
    """The numbers of an utterance, in their order; NaN for what is not known."""
    return [float(get(evidence)) for _, get in of.values()]


class Node(Frozen):
    """A place in a tree: a question, or (with no feature) an answer."""

    feature: int = -1
    at_most: float = 0.0
    """Left when the feature is no more than this, else right."""
    unknown_left: bool = True
    left: int = 0
    right: int = 0
    value: float = 0.0
    """The logarithm of odds that a leaf adds."""


class Forest(Frozen):
    """The fitted trees."""

    features: tuple[str, ...]
    base: float
    """The logarithm of the odds before anything is known."""
    trees: tuple[tuple[Node, ...], ...]
    slope: float = 1.0
    offset: float = 0.0
    """Calibration (Platt's): odds are slope × sum + offset."""

    def likely(self, values: Sequence[float]) -> float:
        """The probability, 0 to 1, for the values of `features`."""
        odds = self.slope * (self.base + sum(_leaf(tree, values) for tree in self.trees))
        return 1 / (1 + math.exp(-max(-50.0, min(50.0, odds + self.offset))))


def _leaf(tree: Sequence[Node], values: Sequence[float]) -> float:
    node = tree[0]
    while node.feature >= 0:
        value = values[node.feature]
        left = node.unknown_left if math.isnan(value) else value <= node.at_most
        node = tree[node.left if left else node.right]
    return node.value


def packed(forest: Forest) -> str:
    """The forest as it is kept: a line a tree, a node as five numbers or one."""
    trees = [
        [
            [n.feature, n.at_most, int(n.unknown_left), n.left, n.right]
            if n.feature >= 0
            else n.value
            for n in tree
        ]
        for tree in forest.trees
    ]
    told = forest.model_dump(include={"features", "base", "slope", "offset"}, mode="json")
    lines = ",\n".join(json.dumps(tree, separators=(",", ":")) for tree in trees)
    return json.dumps(told)[:-1] + ', "trees": [\n' + lines + "\n]}\n"


def unpacked(text: str, of: Mapping[str, Feature] = FEATURES) -> Forest:
    """The inverse of `packed`. Raises ValueError for a forest of other features."""
    told = json.loads(text)
    if told["features"] != list(of):
        raise ValueError("the decision was fitted on other evidence; fit it again")
    trees = tuple(
        tuple(
            Node(value=n)
            if isinstance(n, float | int)
            else Node(feature=n[0], at_most=n[1], unknown_left=bool(n[2]), left=n[3], right=n[4])
            for n in tree
        )
        for tree in told.pop("trees")
    )
    return Forest(**told, trees=trees)


@cache
def forest() -> Forest:
    """The one that comes with the program."""
    return unpacked((files("engine.ears") / FILE).read_text(encoding="utf-8"))


@cache
def alike() -> Forest:
    """The second one: of what reads as a phrase, whether that was said or what sounds like it."""
    return unpacked((files("engine.ears") / ALIKE_FILE).read_text(encoding="utf-8"), ALIKE)


def likely(evidence: Evidence) -> float:
    """How likely it is that this was said, to us, alone: 0 to 1. Both must find it so."""
    found = forest().likely(features(evidence))
    if evidence.unlike is None:
        return found
    return min(found, alike().likely(features(evidence, ALIKE)))

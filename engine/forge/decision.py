"""Fits the learned decision (`ears.weighing`) on the facts of the hearing bench's tuning part.

    python -m tests.bench.hearing.facts facts.jsonl
    python -m engine.forge.decision facts.jsonl
    python -m engine.forge.decision facts.jsonl --alike

Each fact is the evidence of an utterance that reads as a whole phrase, and whether that was said.
With --alike it is the second judgement that is fitted, on facts with many phrases in them that
sound like one of ours; it is set so that it refuses no more than `LOST` of what was said and the
first one takes.
Needs scikit-learn (the extra `student`). No fact of a reporting voice, room, tune or machine may be
among them.
"""

import argparse
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sklearn.ensemble import HistGradientBoostingClassifier
from sklearn.linear_model import LogisticRegression

from engine.ears.evidence import Evidence
from engine.ears.guard import BOUNDS, HARDLY_FITS, Sensitivity
from engine.ears.weighing import (
    ALIKE,
    ALIKE_FILE,
    FEATURES,
    FILE,
    Feature,
    Forest,
    Node,
    features,
    packed,
)
from engine.ears.weighing import forest as first_forest
from models.frozen import Frozen

Floats = NDArray[np.float64]

TREES, LEAVES, RATE, LEAST = 120, 6, 0.06, 12
"""Trees, leaves of each, what each corrects, facts in a leaf."""
SEED = 3
_FOLDS = 5
"""So many times a share of the voices is held out."""
_USUAL_DB = -26.0
"""How loud a voice of the bench is as the gate counts it, dB of full scale."""
_NOBODY = 2.0
"""What is said to nobody weighs so much: a wrong row is the dear mistake."""
LOST = 0.03
"""The share of what was said and would be taken that the second judgement may refuse."""


class Fact(Frozen):
    """An utterance that read as a phrase."""

    voice: str
    condition: str
    nothing_said: bool
    """It comes from sound in which there is no command."""
    right: bool
    evidence: Evidence


def read(path: Path) -> list[Fact]:
    """The facts of a file, one a line."""
    return [Fact(**json.loads(line)) for line in path.read_text(encoding="utf-8").splitlines()]


def with_own_level(facts: Sequence[Fact]) -> list[Fact]:
    """The facts, and those again as they would be once the maker's own loudness is known: the
    bench's streams are too short for that, and a long evening is not.
    """
    random = np.random.default_rng(SEED)
    found = list(facts)
    for fact in facts:
        e = fact.evidence
        if e.own_level_db is not None:
            continue
        usual = _USUAL_DB if fact.nothing_said else e.level_db
        own = usual + float(random.normal(0, 2.5))
        found.append(
            fact.model_copy(update={"evidence": e.model_copy(update={"own_level_db": own})})
        )
    return found


def fitted(
    facts: Sequence[Fact], of: Mapping[str, Feature] = FEATURES
) -> HistGradientBoostingClassifier:
    """The trees, each bound to the way in which a feature counts."""
    model = HistGradientBoostingClassifier(
        max_iter=TREES,
        max_leaf_nodes=LEAVES,
        learning_rate=RATE,
        min_samples_leaf=LEAST,
        l2_regularization=1.0,
        monotonic_cst=[way for way, _ in of.values()],
        early_stopping=False,
        random_state=SEED,
    )
    weights = _weights(facts) if of is FEATURES else np.ones(len(facts))
    return model.fit(_values(facts, of), [f.right for f in facts], weights)


def _values(facts: Sequence[Fact], of: Mapping[str, Feature] = FEATURES) -> Floats:
    return np.array([features(f.evidence, of) for f in facts])


def _weights(facts: Sequence[Fact]) -> Floats:
    return np.array([1.0 if f.right else _NOBODY for f in facts])


def held_out(facts: Sequence[Fact], of: Mapping[str, Feature] = FEATURES) -> Floats:
    """The logarithm of the odds of each fact, by trees that never heard its voice."""
    odds = np.zeros(len(facts))
    order = [voice for voice, _ in Counter(f.voice for f in facts).most_common()]
    for fold in range(_FOLDS):
        kept = set(order[fold::_FOLDS])
        others = [f for f in facts if f.voice not in kept]
        own = [i for i, f in enumerate(facts) if f.voice in kept]
        model = fitted(with_own_level(others), of)
        odds[own] = model.decision_function(_values([facts[i] for i in own], of))
    return odds


def forest(
    model: HistGradientBoostingClassifier,
    odds: Floats,
    right: Sequence[bool],
    of: Mapping[str, Feature] = FEATURES,
) -> Forest:
    """The trees as plain numbers, calibrated by what was held out (Platt)."""
    platt = LogisticRegression(C=1e6).fit(odds[:, None], right)
    state: dict[str, Any] = model.__getstate__()
    trees = tuple(
        tuple(
            Node(value=round(float(n["value"]), 5))
            if n["is_leaf"]
            else Node(
                feature=int(n["feature_idx"]),
                at_most=round(float(n["num_threshold"]), 5),
                unknown_left=bool(n["missing_go_to_left"]),
                left=int(n["left"]),
                right=int(n["right"]),
            )
            for n in stage[0].nodes
        )
        for stage in state["_predictors"]
    )
    return Forest(
        features=tuple(of),
        base=round(float(np.ravel(state["_baseline_prediction"])[0]), 5),
        trees=trees,
        slope=round(float(platt.coef_[0, 0]), 5),
        offset=round(float(platt.intercept_[0]), 5),
    )


def main() -> int:
    """Fits and writes; prints what each threshold would take of what was held out."""
    parser = argparse.ArgumentParser(prog="python -m engine.forge.decision")
    parser.add_argument("facts", type=Path)
    parser.add_argument("--alike", action="store_true", help="fit the second judgement")
    parser.add_argument("--into", type=Path, help="the folder to write into")
    options = parser.parse_args()
    folder = options.into or Path("engine/ears")
    facts = read(options.facts)
    if options.alike:
        second = _second(facts)
        (folder / ALIKE_FILE).write_text(packed(second), encoding="utf-8", newline="\n")
        return 0
    right = [f.right for f in facts]
    odds = held_out(facts)
    made = forest(fitted(with_own_level(facts)), odds, right)
    (folder / FILE).write_text(packed(made), encoding="utf-8", newline="\n")
    shares = 1 / (1 + np.exp(-(made.slope * odds + made.offset)))
    _tell(facts, shares, right)
    return 0


def _second(facts: Sequence[Fact]) -> Forest:
    """The second judgement; prints what it refuses of what the first one takes."""
    right = np.array([f.right for f in facts])
    odds = held_out(facts, ALIKE)
    made = forest(fitted(with_own_level(facts), ALIKE), odds, [f.right for f in facts], ALIKE)
    sure = BOUNDS[Sensitivity.EVEN].sure
    first = np.array([first_forest().likely(features(f.evidence)) for f in facts]) >= sure
    least = float(np.quantile(odds[first & right], LOST))
    wanted = float(np.log(sure / (1 - sure)))
    made = made.model_copy(update={"offset": round(wanted - made.slope * least, 5)})
    for condition in sorted({f.condition for f in facts}):
        own = np.array([f.condition == condition for f in facts])
        said, others = first & own & right, first & own & ~right
        print(
            f"{condition:22} said {(said & (odds >= least)).sum():4} of {said.sum():4}"
            f"   not said {(others & (odds >= least)).sum():4} of {others.sum():4}"
        )
    return made


def _tell(facts: Sequence[Fact], shares: Floats, right: Sequence[bool]) -> None:
    """What each pair of bounds would do with what was held out, in counts."""
    told = np.array(right)
    silent = np.array([f.nothing_said for f in facts])
    apart = np.array([np.inf if (r := f.evidence.rival) is None else r for f in facts])
    fits = np.array([bool(f.evidence.fit and f.evidence.fit.mean > HARDLY_FITS) for f in facts])
    print(f"{len(facts)} facts, {told.sum()} right, {silent.sum()} where nothing was said")
    print(" sure rival  right  asked  wrong  false")
    for sure in (0.7, 0.8, 0.82, 0.84, 0.86, 0.88, 0.9, 0.92, 0.95):
        for rival in (5.0, 8.0, 10.0, 12.0, 16.0):
            taken = fits & (shares >= sure) & (apart >= rival)
            asked = fits & ~taken & np.isfinite(apart) & (shares >= 1 - min(4 * (1 - sure), 0.6))
            counts = (taken & told, asked & told, taken & ~told & ~silent, taken & ~told & silent)
            print(f"{sure:5.2f}{rival:6.0f}" + "".join(f"{one.sum():7}" for one in counts))


if __name__ == "__main__":
    raise SystemExit(main())

"""A share of the sweep: `python -m tests.designs.sweep` tries every design at every gauge."""

from pathlib import Path

import pytest

from engine import designs
from engine.plan.planning import read_gauge
from models.script import Craft
from tests.designs.sweep import swept


@pytest.mark.parametrize("name", ["cardigan", "vest", "child-cardigan", "cap"])
@pytest.mark.parametrize(
    ("gauge", "craft"),
    [("5 x 3.75", Craft.LOOP), ("8 x 7", Craft.LOOP), ("12 x 16", Craft.NEEDLES)],
)
def test_finished_measures_are_those_asked_or_told_and_never_go_back(name, gauge, craft):
    scripts, wrong = swept(name, craft, read_gauge(gauge))
    assert wrong == []
    assert len(scripts) >= 4


def test_each_design_is_one_small_module():
    # "A design is data as far as it can be: one small module each, at most 120 lines."
    for module in Path(designs.__file__).parent.glob("*.py"):
        text = module.read_text(encoding="utf-8")
        if "\nDESIGN = " in text:
            assert text.count("\n") <= 120, module.name

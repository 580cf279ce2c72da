"""The faults that remedies once had, put back into the code on purpose: each is found.

What finds them is the check of the makers in `tests.advise.fitters`, which asks the remedies
nothing: it plans, counts and rips by itself.
"""

import itertools
from dataclasses import replace

import pytest

from engine.advise import choices, remedies
from engine.make.decisions import tape
from engine.plan.planning import make_plan, read_gauge
from models.command import Action
from models.script import Kind
from tests.advise.fitters import Fitter
from tests.advise.helpers import AtWork, fit_check


class Judge(Fitter):
    """Who looks at the choices of a make that stands somewhere."""

    def __init__(self, work):
        self.seed, self.making, self.now = 0, work.making, work.now
        self.faults, self.asked = [], 0


def judged(work, verdict):
    """What is wrong with the choices after a verdict."""
    assert work.do(verdict).taken
    judge = Judge(work)
    judge.check(choices.of(work.state), verdict.value)
    return " ".join(judge.faults)


def cap():
    """A yarn so thick that the next smaller cap has the same 26 loops."""
    work = AtWork(make_plan("cap", read_gauge("5 x 3.75"), size="M", ball_loops=200))
    work.advance_to(Kind.FIT_CHECK)
    return work


def same_loops_again(monkeypatch):
    """Another size is offered, whatever it comes to."""
    wide = itertools.count()
    monkeypatch.setattr(remedies, "_wide", lambda _script: float(next(wide)))


def asked_for_instead_of_planned(monkeypatch):
    """`1 row more` where a design can only end after two."""
    right = remedies._rows_changed

    def wrong(state, lead, more):
        said = f"work {abs(more)} {'row' if abs(more) == 1 else 'rows'} more in the {lead}"
        return replace(right(state, lead, more), says=lambda _new: said)

    monkeypatch.setattr(remedies, "_rows_changed", wrong)


def a_good_row_ripped(monkeypatch):
    """A row that may stay is ripped to add some after it."""
    right = remedies.after_row
    monkeypatch.setattr(
        remedies, "after_row", lambda state, part, row: right(state, part, max(1, row - 1))
    )


@pytest.mark.parametrize(
    ("work", "verdict", "fault", "found"),
    [
        (cap, Action.TOO_LOOSE, same_loops_again, "around stays"),
        (lambda: fit_check("body"), Action.TOO_SHORT, asked_for_instead_of_planned, "not so many"),
        (lambda: fit_check("shoulders and neck"), Action.TOO_TIGHT, a_good_row_ripped, "further"),
    ],
)
def test_a_fault_of_a_remedy_is_found(work, verdict, fault, found, monkeypatch):
    assert judged(work(), verdict) == ""
    fault(monkeypatch)
    assert found in judged(work(), verdict)


def two_more_after_the_tape():
    """A maker asks for two rows more when only looks lie between the last row and her."""
    work = AtWork()
    work.advance_to(Kind.BACK_CHECK, "right front")
    return work.do(Action.MORE_ROWS, 2)


def test_two_more_rows_that_change_nothing_worked_are_not_refused(monkeypatch):
    assert two_more_after_the_tape().taken
    monkeypatch.setattr(tape, "before_looks", lambda state: state)
    assert not two_more_after_the_tape().taken

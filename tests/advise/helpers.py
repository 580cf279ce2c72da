"""A maker at the keyboard, for tests."""

from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command
from models.script import Kind

JUMBO = read_gauge("5 x 3.75")
CARDIGAN = make_plan("cardigan", JUMBO, size="S", ball_loops=300)
THROW = make_plan("throw", JUMBO, given={"width": 40, "height": 32}, ball_loops=100)


class AtWork:
    """A make and a clock that goes on by `every` seconds with each command."""

    def __init__(self, plan=CARDIGAN, every=3.0):
        self.making = Making(plan)
        self.every = every
        self.now = 1000.0

    @property
    def state(self):
        return self.making.state

    def do(self, action, value=None, after=None):
        self.now += self.every if after is None else after
        return self.making.do(Command(action=action, value=value), self.now)

    def advance(self, times=1, after=None):
        """Steps done; a tape and a try-on are passed on purpose."""
        for _ in range(times):
            outcome = self.do(Action.ADVANCE, after=after)
            if outcome.asks:
                outcome = self.do(Action.YES, after=0.1)
            assert outcome.taken

    def advance_to(self, kind, part=None, row=None):
        for _ in range(len(self.state.script.steps)):
            step = self.state.step
            if step.kind is kind and part in (None, step.part) and row in (None, step.row):
                return step
            self.advance()
        raise AssertionError(f"no {kind} in {part}")


def fit_check(part):
    """A maker who stands at that part's fit check."""
    work = AtWork()
    work.advance_to(Kind.FIT_CHECK, part)
    return work


__all__ = ["CARDIGAN", "JUMBO", "THROW", "Action", "AtWork", "Kind", "fit_check"]

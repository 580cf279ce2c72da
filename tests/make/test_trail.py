"""Going back over a long journal gives the states that were there."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.make import progress, trail
from engine.plan.planning import begun
from models.event import Advanced, Event, Noted
from tests.keep.conftest import a_plan

BEGUN = begun(a_plan())


@given(st.lists(st.booleans(), max_size=120))
def test_every_state_on_the_way_back_is_the_one_that_was_there(moves: list[bool]) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trail, "NEAR", 5)
        walked, events = trail.Trail(BEGUN), list[Event]()
        for n, forward in enumerate(moves):
            if forward:
                step = sum(isinstance(e, Advanced) for e in events) + 1
                event = Advanced(at=n, step=step) if n % 3 else Noted(at=n, text=str(n))
                events.append(event)
                walked.go(event)
            else:
                del events[-1:]
                walked.back()
            assert walked.state == progress.fold(BEGUN, events)
            assert len(walked) == len(events)

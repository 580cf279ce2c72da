"""A few of the makers who follow the choices until it fits; `python -m tests.advise.fitters` makes
thousands."""

from tests.advise.fitters import TOLERANCE, Fitter

SHARE = 14


def test_choices_keep_their_word_and_lead_to_a_fit():
    makers = [Fitter(seed) for seed in range(SHARE)]
    off = [maker.make() for maker in makers]
    assert [fault for maker in makers for fault in maker.faults] == []
    assert sum(maker.asked for maker in makers) >= 5
    # Around comes out within half a size, but for what hands drift after the last fit check, and
    # for one in ten of those who take a choice at random.
    near = [abs(cm["around"]) <= TOLERANCE + 1 for cm in off if "around" in cm]
    assert sum(near) >= len(near) * 0.8

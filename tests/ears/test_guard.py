import pytest

from engine.ears.evidence import Evidence
from engine.ears.guard import BOUNDS, FAR_TOO_QUICK, Outcome, Sensitivity, judge
from engine.words.phrases import phrase_book
from models.command import Action, Context, Situation


def evidence(text="row done", **changes):
    sound = {
        "text": text,
        "confidence": 1.0,
        "reading": phrase_book().read(text, changes.pop("context", Context.ROW)),
        "agreed": True,
        "quiet_before_s": 3.0,
        "phones": phrase_book().phones(text),
        "voiced_s": 0.7,
        "level_db": -25.0,
        "room_db": -55.0,
        "room_spread_db": 0.5,
    }
    return Evidence(**(sound | changes))


def test_a_plain_command_is_taken():
    verdict = judge(evidence(), Situation())
    assert verdict.outcome is Outcome.TAKEN
    assert verdict.reason == ""


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"text": "[unk]"}, "none of the words"),
        ({"text": "[unk] row done"}, "other words stood around it"),
        ({"text": "row"}, "not a whole phrase"),
        ({"quiet_before_s": 0.1}, "no quiet before it"),
        ({"talk_s": 4.0, "quiet_before_s": 0.7}, "it came in the middle of talk"),
        ({"agreed": False}, "heard one thing, then another"),
        ({"voiced_s": 0.1}, "too short for those words"),
        ({"voiced_s": 4.0}, "too long for those words"),
        ({"hurried_s": 0.02}, "too quick for one of those words"),
        ({"level_db": -52.0}, "not louder than the room"),
        ({"level_db": -45.0, "room_spread_db": 4.0}, "not louder than the room"),
        ({"own_level_db": -8.0}, "far softer than your own voice"),
        ({"confidence": 0.3}, "not sure enough"),
        ({"text": "yes"}, "nothing was asked"),
        ({"called": False}, "the attention word did not come first"),
    ],
)
def test_each_doubt_refuses_with_its_reason(changes, reason):
    said = {"text": "row done", **changes}
    verdict = judge(evidence(**said), Situation())
    assert verdict.outcome is Outcome.REFUSED
    assert verdict.reason == reason


def test_a_number_has_to_be_surer_than_a_plain_phrase():
    """Fourteen and forty are near; nothing else in the phrase tells them apart."""
    doubtful = {"confidence": 0.95, "voiced_s": 0.9}
    assert judge(evidence("take back", **doubtful), Situation()).outcome is Outcome.TAKEN
    number = evidence("dropped loop at forty", **doubtful)
    asked = judge(number, Situation())
    assert asked.outcome is Outcome.ASK
    assert asked.reason == "did you say dropped loop at forty?"
    assert judge(number, Situation(), Sensitivity.EAGER).outcome is Outcome.TAKEN
    answer = evidence("forty", context=Context.NUMBER, **doubtful)
    assert judge(answer, Situation(context=Context.NUMBER)).reason == "not sure enough"
    sure = evidence("dropped loop at forty", confidence=1.0, voiced_s=0.9)
    assert judge(sure, Situation()).outcome is Outcome.TAKEN


def test_in_a_loud_room_a_number_beyond_twelve_is_asked_back():
    loud = {"level_db": -45.0, "room_db": -54.0, "voiced_s": 0.9}
    assert judge(evidence("take back", **loud), Situation()).outcome is Outcome.TAKEN
    number = evidence("dropped loop at forty", **loud)
    assert judge(number, Situation()).reason == "did you say dropped loop at forty?"
    open_question = Situation(context=Context.YES_NO, question_open=True)
    assert judge(number, open_question).outcome is Outcome.REFUSED
    answer = evidence("forty", context=Context.NUMBER, **loud)
    assert judge(answer, Situation(context=Context.NUMBER)).outcome is Outcome.TAKEN
    for plain in ("seven", "twelve", "one hundred"):
        sure = evidence(f"dropped loop at {plain}", level_db=-45.0, room_db=-54.0, voiced_s=1.5)
        assert judge(sure, Situation()).outcome is Outcome.TAKEN
    for beyond in ("thirteen", "one hundred twelve", "one hundred one"):
        told = evidence(f"dropped loop at {beyond}", level_db=-45.0, room_db=-54.0, voiced_s=1.5)
        assert judge(told, Situation()).outcome is Outcome.ASK
    nearer = evidence("dropped loop at forty", level_db=-42.0, room_db=-54.0, voiced_s=0.9)
    assert judge(nearer, Situation()).outcome is Outcome.TAKEN


@pytest.mark.parametrize(
    ("number", "outcome"),
    [
        ("forty four", Outcome.ASK),
        ("nineteen", Outcome.ASK),
        ("two hundred thirteen", Outcome.ASK),
        ("forty", Outcome.TAKEN),
        ("twelve", Outcome.TAKEN),
        ("seven", Outcome.TAKEN),
        ("one hundred", Outcome.TAKEN),
    ],
)
def test_among_talk_a_number_that_may_have_grown_is_asked_back(number, outcome):
    said = evidence(f"dropped loop at {number}", voiced_s=1.5, room_spread_db=2.5)
    assert judge(said, Situation()).outcome is outcome
    alone = evidence(f"dropped loop at {number}", voiced_s=1.5)
    assert judge(alone, Situation()).outcome is Outcome.TAKEN


def test_open_ears_are_not_opened():
    wake = evidence("start listening", voiced_s=1.0)
    assert judge(wake, Situation()).reason == "it is listening already"
    asleep = evidence("start listening", context=Context.ASLEEP, voiced_s=1.0)
    assert judge(asleep, Situation(context=Context.ASLEEP)).outcome is Outcome.TAKEN


def test_after_talk_a_longer_quiet_is_enough():
    assert judge(evidence(talk_s=9.0, quiet_before_s=1.25), Situation()).outcome is Outcome.TAKEN


def test_yes_is_taken_when_something_was_asked():
    asked = Situation(context=Context.YES_NO, question_open=True)
    assert judge(evidence("yes", voiced_s=0.4), asked).outcome is Outcome.TAKEN


def test_what_is_not_possible_now_is_refused():
    situation = Situation(possible=frozenset({Action.ADVANCE}))
    assert judge(evidence(), situation).outcome is Outcome.TAKEN
    assert judge(evidence("it fits"), situation).reason == "it makes no sense at this step"


def test_a_far_too_quick_advance_asks_once_instead_of_counting():
    quick = Situation(step_age_s=4, least_step_s=60)
    assert judge(evidence(), quick).outcome is Outcome.ASK
    assert "does it count?" in judge(evidence(), quick).reason
    # Only an advance can be too quick, and not when the pace is unknown.
    assert judge(evidence("dropped loop"), quick).outcome is Outcome.TAKEN
    assert judge(evidence(), Situation(step_age_s=4)).outcome is Outcome.TAKEN
    assert judge(evidence(), Situation(step_age_s=50, least_step_s=60)).outcome is Outcome.TAKEN


def test_sensitivities_are_ordered():
    """What careful takes, even takes; what even takes, eager takes."""
    doubtful = [
        evidence(quiet_before_s=quiet, level_db=level, confidence=sure, voiced_s=voiced)
        for quiet in (0.1, 0.25, 0.4, 0.6)
        for level in (-53, -50, -47, -44)
        for sure in (0.3, 0.5, 0.7, 0.9)
        for voiced in (0.16, 0.22, 0.29, 0.5)
    ]
    taken = {
        sensitivity: {
            i
            for i, one in enumerate(doubtful)
            if judge(one, Situation(), sensitivity).outcome is Outcome.TAKEN
        }
        for sensitivity in Sensitivity
    }
    assert taken[Sensitivity.CAREFUL] < taken[Sensitivity.EVEN] < taken[Sensitivity.EAGER]


def outcome(*arguments, **changes):
    bounds = changes.pop("bounds", Sensitivity.EVEN)
    return judge(evidence(*arguments, **changes), Situation(), bounds).outcome


EDGES = [
    # What is asked for is enough; a little less is not.
    ({"quiet_before_s": 0.2}, {"quiet_before_s": 0.19}),
    ({"voiced_s": 5 * 0.04}, {"voiced_s": 5 * 0.04 - 0.01}),
    ({"voiced_s": 0.4 + 5 * 0.35}, {"voiced_s": 0.4 + 5 * 0.35 + 0.01}),
    ({"hurried_s": 0.03}, {"hurried_s": 0.029}),
    ({"level_db": -49.0, "room_spread_db": 0.0}, {"level_db": -49.1, "room_spread_db": 0.0}),
    ({"level_db": -46.0, "room_spread_db": 2.0}, {"level_db": -46.1, "room_spread_db": 2.0}),
    ({"own_level_db": -10.0}, {"own_level_db": -9.9}),
    ({"confidence": 0.8}, {"confidence": 0.79}),
    # Talk that counts wants 0.4 s of quiet; from three seconds of it on, more for each second, and
    # never more than three times as much.
    ({"talk_s": 1.4, "quiet_before_s": 0.2}, {"talk_s": 1.5, "quiet_before_s": 0.39}),
    ({"talk_s": 3.0, "quiet_before_s": 0.4}, {"talk_s": 3.0, "quiet_before_s": 0.39}),
    ({"talk_s": 4.0, "quiet_before_s": 0.85}, {"talk_s": 4.0, "quiet_before_s": 0.83}),
    ({"talk_s": 60.0, "quiet_before_s": 1.21}, {"talk_s": 60.0, "quiet_before_s": 1.19}),
]


@pytest.mark.parametrize(("enough", "less"), EDGES)
def test_what_is_asked_for_is_enough_and_a_little_less_is_not(enough, less):
    assert evidence().phones == 5
    assert outcome(**enough) is Outcome.TAKEN
    assert outcome(**less) is Outcome.REFUSED


def test_a_phrase_that_a_rehearsal_mistook_must_be_surer_than_others():
    bounds = BOUNDS[Sensitivity.EVEN].model_copy(update={"surer": {Action.ADVANCE: 0.97}})
    assert outcome(confidence=0.97, bounds=bounds) is Outcome.TAKEN
    assert outcome(confidence=0.96, bounds=bounds) is Outcome.REFUSED
    assert outcome("take back", confidence=0.85, bounds=bounds) is Outcome.TAKEN
    assert outcome("take back", confidence=0.79, bounds=bounds) is Outcome.REFUSED
    number = bounds.model_copy(update={"surer": {Action.DROPPED: 0.999}})
    asked = evidence("dropped loop at seven", confidence=0.995, voiced_s=1.0)
    assert judge(asked, Situation(), bounds).outcome is Outcome.TAKEN
    assert judge(asked, Situation(), number).reason == "not sure enough"


def test_an_advance_is_too_quick_below_a_share_of_the_least_time():
    edge = FAR_TOO_QUICK * 60
    least = {"least_step_s": 60}
    assert judge(evidence(), Situation(step_age_s=edge, **least)).outcome is Outcome.TAKEN
    assert judge(evidence(), Situation(step_age_s=edge - 0.1, **least)).outcome is Outcome.ASK

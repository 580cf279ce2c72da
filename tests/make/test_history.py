"""The journal as sentences."""

from engine.make.history import entries
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command


def test_history_tells_every_action_and_strikes_what_was_taken_back():
    making = Making(
        make_plan("throw", read_gauge("5 x 3.75"), given={"width": 20.0, "height": 20.0})
    )
    said = [
        Command(action=Action.ADVANCE),
        Command(action=Action.ADVANCE),
        Command(action=Action.DROPPED, value=4),
        Command(action=Action.REPAIRED),
        Command(action=Action.NEW_BALL),
        Command(action=Action.NOTE, text="too late for the tram"),
        Command(action=Action.ADVANCE),
        Command(action=Action.TAKE_BACK),
        Command(action=Action.TAKE_BACK),
        Command(action=Action.ADVANCE),
    ]
    for second, command in enumerate(said):
        assert making.do(command, 100.0 + second).taken
    history = entries(making.begun, making.events)
    assert [(entry.text, entry.taken_back) for entry in history] == [
        ("throw, foundation done", False),
        ("throw, row 1 done", False),
        ("dropped loop marked: throw, row 2, loop 4", False),
        ("repaired: row 2 of the throw, loop 4", False),
        ("new ball", False),
        ("note: too late for the tram", True),
        ("throw, row 2 done", True),
        ("throw, row 2 done", False),
    ]
    assert [entry.at for entry in history] == [100, 101, 102, 103, 104, 105, 106, 109]


def test_history_of_every_action_has_a_sentence():
    making = Making(make_plan("throw", read_gauge("5 x 3.75"), given={"width": 20.0}))
    for command in (
        Command(action=Action.ADVANCE),
        Command(action=Action.ADVANCE),
        Command(action=Action.MEASURED, value=4.0),
        Command(action=Action.MORE_ROWS, value=2),
        Command(action=Action.PAUSE),
        Command(action=Action.RESUME),
        Command(action=Action.RIP_BACK, value=1),
        Command(action=Action.YES),
        Command(action=Action.DROPPED),
        Command(action=Action.ACCEPT),
        Command(action=Action.YES),
        Command(action=Action.FINISH),
        Command(action=Action.YES),
    ):
        making.do(command, 100.0)
    texts = [entry.text for entry in entries(making.begun, making.events)]
    assert any(text.startswith("measured 4 cm: the throw has") for text in texts)
    assert any(text.startswith("more rows: the throw has") for text in texts)
    assert "ripped back to the start of row 1 of the throw" in texts
    assert any(text.startswith("left as it is: ") for text in texts)
    assert texts[-1] == "the make was closed"

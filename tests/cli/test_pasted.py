"""A text as it came: what both ways in make of it."""

from counter.shared.pasted import ASKED_ABOUT, open_lines, read_pasted, settle
from models.pattern import LineRead

TEXT = "Gauge: 20 x 26\nCO 20\nRow 1: mumble 20\nRow 2: k20\nRow 3: grumble 20\nBO\n"


def test_lines_are_settled_each_in_its_own_place() -> None:
    first, second = open_lines(read_pasted(TEXT))
    assert (first.line, second.line) == (3, 5)
    settled = settle(TEXT, [(first, "Row 1: k20"), (second, "Row 3: p20")])
    kept = [line for line in settled.splitlines() if not line.startswith("#")]
    assert kept == ["Gauge: 20 x 26", "CO 20", "Row 1: k20", "Row 2: k20", "Row 3: p20", "BO"]
    assert "# Row 1: mumble 20" in settled
    assert read_pasted(settled).sound


def test_talk_goes_and_what_is_left_as_it_is_stays() -> None:
    first, second = open_lines(read_pasted(TEXT))
    settled = settle(TEXT, [(first, ""), (second, None)])
    assert "\n# Row 1: mumble 20\nRow 2: k20\nRow 3: grumble 20\n" in settled


def test_so_many_are_asked_about_and_no_more() -> None:
    text = "CO 20\n" + "".join(f"Row {n}: mumble {n}\n" for n in range(1, 31)) + "BO\n"
    asked: list[LineRead] = open_lines(read_pasted(text))
    assert len(asked) == ASKED_ABOUT

"""What is offered for a line that was not read, and a line that a person has settled."""

import pytest

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.settle import settled
from models.pattern import LineRead

PAGE = "Gauge: 20 x 26\nCast on 20 sts.\nRow 1: k2, blorp the sky, k18.\nRow 2: knit.\nBO.\n"


def unread(text: str) -> LineRead:
    (line,) = (line for line in check_pattern(text).lines if line.taken_as == "unread")
    return line


def test_a_line_with_a_strange_word_is_offered_without_it_and_told_as_far_as_it_was_read() -> None:
    line = unread(PAGE)
    assert line.nearest[0] == "Row 1: k2, k18."
    assert len(line.nearest) <= 3
    assert "read as far as 'Row 1: k2,'" in line.why


def test_whatever_is_offered_is_read() -> None:
    for written in (
        "Knit the blorp of sky.",
        "Row 2: k5, purple 3, k to end.",
        "Rep roww 1 twice.",
    ):
        page = f"Gauge: 20 x 26\nCast on 20 sts.\nRow 1: knit.\n{written}\nBO.\n"
        line = unread(page)
        assert line.nearest
        for reading in line.nearest:
            assert not check_pattern(settled(page, line, reading)).unread


@pytest.mark.parametrize(
    ("written", "offered"),
    [
        ("K to marker, flurb to end.", ()),  # what is left out would be half the row
        ("K2 tgo, k to end.", ("Row 2: K2tog, k to end.",)),
        ("K2tgo, k to end.", ("Row 2: K2tog, k to end.",)),
    ],
)
def test_no_half_of_a_row_is_offered(written: str, offered: tuple[str, ...]) -> None:
    page = f"Gauge: 20 x 26\nCast on 20 sts.\nRow 1: k10, pm, k10.\nRow 2: {written}\nBO.\n"
    assert tuple(map(str.lower, unread(page).nearest)) == tuple(map(str.lower, offered))


def test_a_line_is_settled_as_a_reading_or_as_talk_and_what_it_said_is_kept() -> None:
    line = unread(PAGE)
    as_row = settled(PAGE, line, line.nearest[0])
    assert "Row 1: k2, k18.\n# Row 1: k2, blorp" in as_row
    assert check_pattern(as_row).sound
    as_talk = check_pattern(settled(PAGE, line).replace("Row 2", "Row 1"))
    assert as_talk.sound
    assert [c.rows for c in as_talk.counts] == [1]


def test_a_sentence_of_a_line_leaves_the_others() -> None:
    page = PAGE.replace("Row 2: knit.", "Knit 4 rows. Purl the blorp.").replace(
        "blorp the sky, ", ""
    )
    after = settled(page, unread(page))
    assert "Knit 4 rows.\n# Purl the blorp." in after
    assert [c.rows for c in check_pattern(after).counts] == [5]


def test_a_sentence_that_is_not_in_its_line_is_refused() -> None:
    line = LineRead(line=2, last=2, text="nowhere", taken_as="unread")
    with pytest.raises(Refusal, match="Line 2 holds more"):
        settled(PAGE, line)

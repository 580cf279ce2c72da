"""`spokenrow plain` without a name: the whole shelf by typed words, a line for every answer."""

import io
import re

import pytest

from counter.commandline import main
from engine.keep import shelving
from engine.keep.store import Store
from engine.make import progress

PATTERN = "Title: Strip\nGauge: 20 x 26\nCO 20\nRow 1: k20\nRow 2: mumble 20\nRow 3: k20\nBO\n"
DRAWN = re.compile(r"[\u2500-\u259f\x1b\t]| {2}")
"""Box drawing, codes, tables: nothing of it helps one who listens."""


@pytest.fixture
def typed(tmp_path, capsys, monkeypatch):
    """Types lines into `spokenrow plain` and gives the lines of the answer."""

    def type_(*lines, code=0):
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        assert main(["--data", str(tmp_path), "plain"]) == code
        told = capsys.readouterr().out.splitlines()
        assert not [line for line in told if DRAWN.search(line)]
        return told

    return type_


@pytest.fixture
def names(tmp_path):
    def read():
        with Store(tmp_path / "makes.db") as store:
            return store.names()

    return read


def test_a_make_is_begun_line_by_line_worked_and_laid_back(typed, names, tmp_path):
    lines = typed(
        "new", "cowl", "", "", "", "", "", "", "Weir cowl", "y", " ", "q", "1", " ", "j", "q", "q"
    )
    assert lines[0].startswith("The shelf: 0 makes.")
    assert any(line.startswith("Weir cowl. Type a key or a word") for line in lines), lines
    assert names() == ["weir-cowl"]
    with Store(tmp_path / "makes.db") as store:
        assert progress.fold(*store.load("weir-cowl")).at == 2
    # The journal, a line for each step.
    assert sum(bool(re.match(r"\d{4}-\d\d-\d\d .*done\.$", line)) for line in lines) == 2, lines


def test_names_and_places_by_words(typed, names, tmp_path):
    typed("new", "throw", "", "", "", "", "", "", "", "", "y", "q")
    lines = typed(
        "another 1 For my sister", "rename 1 Sister's", "throw out 1", "away", "take back 2"
    )
    assert set(names()) == {"throw", "sister-s"}
    assert any("30 days left to take it back" in line for line in lines), lines
    assert lines[-1].startswith(("1:", "2:"))
    with Store(tmp_path / "makes.db") as store:
        assert shelving.lying(store) == shelving.Lying()


def test_a_pattern_says_what_it_does_not_understand_before_it_begins(typed, names, tmp_path):
    (tmp_path / "strip.txt").write_text(PATTERN)
    lines = typed(f"pattern {tmp_path / 'strip.txt'}", "", "", "", "n")
    assert any(line.startswith("Read: 2 rows, ") for line in lines), lines
    assert any("mumble" in line for line in lines)
    assert names() == []


def test_a_slip_in_one_answer_loses_none_of_the_others(typed, names, tmp_path):
    """Asked again, with what is wrong; numbers as people type them."""
    answers = [
        "3' 3\"",
        "−4",
        "1,5 m",
        "5",
        "５ x ３,７５",
        "knitting",
        "",
        "mos",
        "",
        "",
        "many",
        "",
    ]
    lines = typed("new Thrwo", "new Throw", *answers, "Weir throw", "y", "q", "q")
    for wrong in ("Thrwo", "−4", "'5'", "knitting", "mos", "many"):
        assert any(wrong.strip("'") in line for line in lines), (wrong, lines)
    assert names() == ["weir-throw"]
    with Store(tmp_path / "makes.db") as store:
        plan = store.load("weir-throw")[0].plan
    # 39 in are 99.06 cm (an inch is 2.54 cm by definition).
    assert plan.measures["width"] == pytest.approx(99.06, abs=0.05)
    assert plan.measures["height"] == 150


def test_what_is_out_of_bounds_is_refused_where_it_is_asked(typed, names):
    """Not twenty answers later, when all of them would be lost."""
    told = typed("new scarf", "1000", "24", "170", "5,5 × 3,75 cm", "", "", "", "", "", "y", "q")
    at = next(i for i, line in enumerate(told) if line.startswith("Width of 1000 cm"))
    assert told[at + 1].startswith("Width. ")
    assert "That is 5.5 loops and 3.75 rows in 10 cm." in told
    assert names() == ["scarf"]


def test_answers_that_make_no_piece_stand_there_when_they_are_gone_through_again(typed, names):
    first = ("new vest", "measure", "60", "0", "", "", "30", "40", "30", *[""] * 9)
    told = typed(*first, "y", "", "", "q", "q")
    again = next(i for i, line in enumerate(told) if line.startswith("Go through it again?"))
    assert told[again + 1].startswith("Size: ")
    assert told[again + 1].endswith("Enter alone: measure. q leaves it.")
    assert told[again + 2].endswith("Enter alone: 60. q leaves it.")
    assert told[again + 3].endswith("Enter alone: 0. q leaves it.")
    assert "Left: nothing was begun." in told
    assert not names()


def test_a_blank_line_on_the_shelf_is_answered_in_one_line(typed, names):
    lines = typed("", "")
    assert len(lines) == 3, lines


def test_papers_and_an_export_are_written_where_she_says(typed, names, tmp_path):
    typed("new", "cowl", "", "", "", "", "", "", "", "y", "q")
    out = tmp_path / "out.json"
    lines = typed(f"balls 1 {tmp_path / 'b.txt'}", f"export 1 {out}", f"import {out}", "sheet 1")
    assert "In all: " in (tmp_path / "b.txt").read_text("utf-8")
    assert len(names()) == 2
    assert lines[-1] == "Into which file? Write 'sheet NUMBER FILE'."


@pytest.mark.parametrize(
    "line",
    ["7", "0", "rename 1", "blah", "frob 1 x", "pattern /no/such", "9" * 40, "new", "import x"],
)
def test_what_cannot_be_is_one_sentence_and_moves_nothing(typed, names, line):
    lines = typed(line, "list")
    assert len(lines) >= 3
    assert names() == []
    assert "Traceback" not in "\n".join(lines)


def test_the_pages_of_the_screens_are_told_in_lines_and_a_make_is_changed(typed, tmp_path):
    main(["--data", str(tmp_path), "start", "throw", "--width", "40"])
    lines = typed(
        "set unit in", "set unit ell", "settings", "1", " ", " ", "v", "k", "g", "set unit cm",
        "i", "3", "60", "y", "i", "1", "5", "q", "j", "taper 36 over 140", "q", "q",
    )  # fmt: skip
    assert "It is set: unit in." in lines
    assert any(line.startswith("Unit can be cm, in, not 'ell'") for line in lines)
    assert any(line.startswith("Unit: in.") for line in lines)
    assert any(line.startswith("Throw: ") and line.endswith("1 done, in work.") for line in lines)
    assert any(line.startswith("3. Draw it up until it is as large") for line in lines)
    assert any(line.startswith("60. What is worked stays.") for line in lines)
    assert any("planned anew: height 60 cm" in line for line in lines), lines
    assert sum("planned anew" in line for line in lines) == 1
    assert "Left as it was." in lines
    assert any(line.endswith("= 140 rows.") for line in lines)
    with Store(tmp_path / "makes.db") as store:
        state = progress.fold(*store.load("throw"))
    assert state.plan.measures["height"] == 60
    assert state.at == 2

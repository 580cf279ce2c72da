"""The pattern sheet, read back from the page: PDF by pypdf and pdftotext, HTML by the parser.

Both readers are general-purpose and know nothing of the sheet.
"""

import io
import re
import shutil
import struct
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from counter.commandline import main
from counter.paper import page
from counter.paper.document import Sheet, sheet
from counter.paper.several import _head, several, several_rows
from engine.designs import DESIGNS
from engine.make.making import Making
from engine.pattern.front import CAUTIONS
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from engine.script import wording
from models.command import Action, Command
from models.plan import Plan
from models.script import Craft, RowScript
from models.stitch import STITCHES
from tests.paper.pages import MOST, in_three_sizes, pages_of
from tests.paper.reading import Page, squeezed


def worked(name: str, *sizes: str, gauge: str = "") -> list[tuple[Plan, RowScript]]:
    plans = [
        make_plan(name, read_gauge(gauge or usual_gauge(name)), size=size, ball_loops=120)
        for size in sizes
    ]
    return [(plan, script_for(plan)) for plan in plans]


def read_pdf(content: bytes) -> str:
    reader = PdfReader(io.BytesIO(content))
    return squeezed(" ".join(one.extract_text() for one in reader.pages))


@pytest.fixture(scope="module")
def cardigans() -> list[tuple[Plan, RowScript]]:
    return worked("cardigan", "S", "M", "L")


@pytest.fixture(scope="module")
def document(cardigans: list[tuple[Plan, RowScript]]) -> Sheet:
    return sheet(cardigans)


@pytest.fixture(scope="module")
def medium() -> tuple[RowScript, Sheet]:
    ((plan, script),) = worked("cardigan", "M")
    return script, sheet([(plan, script)])


@pytest.mark.parametrize("name", list(DESIGNS))
def test_every_step_has_its_own_box(name: str) -> None:
    ((plan, script),) = worked(name, "")
    lines = [line for part in sheet([(plan, script)]).sections[0].parts for line in part.lines]
    assert sum(len(line.boxes) for line in lines) == len(script.steps)
    assert Page(page.html(sheet([(plan, script)]))).boxes == len(script.steps)


def test_rows_that_share_a_line_say_the_same() -> None:
    ((plan, script),) = worked("cardigan", "M")
    steps = iter(script.steps)
    for part in sheet([(plan, script)]).sections[0].parts:
        for line in part.lines:
            for box in line.boxes:
                step = next(steps)
                told = wording.instruction(step, script.craft)
                assert line.doing.casefold() == told.casefold()
                assert part.name == step.part
                assert box in {"", str(step.row)}
                assert step.direction is None or not line.way or step.direction.value in line.way


def test_a_colour_is_joined_before_its_first_loop() -> None:
    gauge = read_gauge("5 x 3.75")
    for stripes, told in (
        ("cream 2, sand 2", "cut the yarn, in sand, join the yarn, k 20"),
        (
            "cream | sand 2, sand | cream 2",
            "in cream, join the yarn, k 10, in sand, join the yarn, k 10",
        ),
    ):
        plan = make_plan("throw", gauge, given={"width": 40.0, "height": 20.0}, stripes=stripes)
        script = script_for(plan)
        lines = [line for part in sheet([(plan, script)]).sections[0].parts for line in part.lines]
        assert next(line.short for line in lines if line.head == "Row 3") == told
        done = wording.doing(next(step for step in script.steps if step.row == 3))
        assert "join" in {one.stitch for one in done.before}


def test_pdf_read_back_holds_every_instruction_and_figure(
    medium: tuple[RowScript, Sheet],
) -> None:
    script, document = medium
    text = read_pdf(page.pdf(document))
    for step in script.steps:
        told = wording.instruction(step, script.craft)
        assert squeezed(told[1:]) in text, step.number
    assert str(script.yarn_loops) in text
    for cm in script.finished_cm.values():
        assert f"{cm:g} cm" in text
    for name in ("Size M", "Cardigan", "Abbreviations used", "dec decrease"):
        assert name in text
    for caution in CAUTIONS:
        assert caution in text
    # The drawing's words are text as well, not outlines.
    assert "Scale 1:" in text


def test_three_sizes_are_one_pattern_of_six_pages_at_most(
    document: Sheet, cardigans: list[tuple[Plan, RowScript]]
) -> None:
    content = page.pdf(document)
    assert len(PdfReader(io.BytesIO(content)).pages) <= 6
    text = read_pdf(content)
    for part in document.together:
        for line in part.lines:
            assert line.text.replace(" ", "") in text.replace(" ", ""), line
    for told in ("Difficulty", "intermediate", "Techniques", "Tools", "Fit", "dye lot", "A Around"):
        assert told in text
    assert "Size M" in text
    assert "All sizes" in text
    # What a part needs stays with its heading: no heading ends a page.
    names = {part.name.capitalize() for part in document.together}
    for one in PdfReader(io.BytesIO(content)).pages:
        lines = [line.strip() for line in one.extract_text().splitlines() if line.strip()]
        assert lines[-2] not in names


@pytest.mark.parametrize(
    ("name", "craft", "gauge"),
    [("cardigan", Craft.LOOP, "12 x 16")],
)
def test_three_sizes_far_apart_keep_to_six_pages(name: str, craft: Craft, gauge: str) -> None:
    """Sleeves whose tapers differ in every size, and moss over them: `python -m
    tests.paper.pages` tries every design."""
    made = in_three_sizes(name, gauge, craft, "moss")
    assert len(dict(made.facts)["Sizes"].split(", ")) == 3  # the usual edge is nobody's own
    for part in made.together:
        # One size after the other, not each one's next row in turn.
        sizes = [line.sizes for line in part.lines if not line.note]
        turns = sum(one != other for one, other in pairwise(sizes))
        assert len(sizes) < 20 or turns <= len(sizes) / 2, part.name
    pages = pages_of(made)
    assert len(pages) <= MOST
    for one in pages:
        assert len([line for line in one.splitlines() if line.strip()]) > 12


def test_what_the_first_sleeve_tells_is_not_told_again_and_nothing_is_lost() -> None:
    scripts = [
        script_for(make_plan("cardigan", read_gauge("5 x 3.75"), size=size, stitch="moss"))
        for size in ("XS", "M", "5X")
    ]
    rows = several_rows(scripts)
    whole = [line for line in rows if line and not line.startswith(("Part: ", "Length: "))]
    parts = {part.name: part.lines for part in several(rows)}
    told = [line.text for line in parts["left sleeve"]]
    (again,) = [text for text in told if text.endswith("as for the right sleeve.")][:1]
    first, last = re.findall("“(.*?)”", again)
    heads = [_head(line) for line in parts["right sleeve"] if not line.note]
    assert heads.index(first) < heads.index(last)
    # Every other line stands there, or is one of a pair that is told in turn.
    said = " ".join(line.text for lines in parts.values() for line in lines)
    for line in whole:
        text = re.sub(r"^(For sizes? .*?|Note.*?): ", "", line)
        bare = text.partition(": ")[2].rstrip(".") or text
        assert bare.lower() in said.lower() or text.startswith(("Rep ", "-")), line


def test_looks_that_come_again_and_again_are_told_once() -> None:
    made = in_three_sizes("cardigan", "5 x 3.75", Craft.LOOP)
    assert dict(made.facts)["As you go"].startswith("After every tenth row of a part look at")
    told = [line.text for part in made.together for line in part.lines]
    assert not [text for text in told if "before going on" in text]
    assert "before the shoulders are closed" in " ".join(told)


def test_what_is_worked_is_ticked() -> None:
    making = Making(make_plan("throw", read_gauge("5 x 3.75")))
    for now in range(8):
        making.do(Command(action=Action.ADVANCE), 1000.0 + now)
    state = making.state
    made = sheet([(state.plan, state.script)], state)
    lines = [line for part in made.sections[0].parts for line in part.lines]
    assert sum(line.ticked for line in lines) == state.at == 8
    assert page.html(made).count(" checked") == 8


@pytest.mark.system
def test_another_reader_finds_the_same(document: Sheet, tmp_path: Path) -> None:
    if not shutil.which("pdftotext"):
        pytest.skip("apt-get install poppler-utils")
    path = tmp_path / "sheet.pdf"
    path.write_bytes(page.pdf(document))
    told = subprocess.run(
        ["pdftotext", "-raw", path, "-"], capture_output=True, text=True, check=True
    ).stdout
    text = squeezed(told)
    assert "cast on 38 (42, 48)." in text
    assert CAUTIONS[1] in text
    assert text.count("With care") == 1


def test_pdf_is_a4_has_a_title_and_numbered_pages(document: Sheet) -> None:
    reader = PdfReader(io.BytesIO(page.pdf(document)))
    # ISO 216 A4 in points of 1/72 inch.
    assert float(reader.pages[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    assert float(reader.pages[0].mediabox.height) == pytest.approx(297 / 25.4 * 72, abs=0.1)
    assert reader.metadata is not None
    assert reader.metadata.title == "Cardigan"
    last = reader.pages[-1].extract_text()
    assert f"{len(reader.pages)} of {len(reader.pages)}" in last


def test_html_holds_the_same_words(document: Sheet) -> None:
    seen = Page(page.html(document))
    for name, value in document.facts:
        assert name in seen.text
        assert value in seen.text
    for caution in CAUTIONS:
        assert caution in seen.text
    assert seen.tags.count("svg") == 1 + len(document.movements)  # the outline, and the hands
    assert not document.sections
    for part in document.together:
        for line in part.lines:
            assert squeezed(line.text) in seen.text
    assert "script" not in seen.tags


def test_words_are_never_markup(cardigans: list[tuple[Plan, RowScript]]) -> None:
    plan, script = cardigans[0]
    title = 'Mine #eval("1") & <script>x</script> *b* $a$'
    strange = script.model_copy(update={"title": title})
    made = sheet([(plan, strange)])
    assert "#eval" in read_pdf(page.pdf(made))
    seen = Page(page.html(made))
    assert "script" not in seen.tags
    assert title in seen.text


def test_the_yarn_table_adds_up(document: Sheet, cardigans: list[tuple[Plan, RowScript]]) -> None:
    *parts, total, balls = document.yarn.rows
    for column, (_, script) in enumerate(cardigans, 1):
        assert sum(int(row[column] or 0) for row in parts) == int(total[column])
        assert int(total[column]) == script.yarn_loops
    assert balls[0].startswith("Balls of 120")


def test_abbreviations_are_those_that_are_written(medium: tuple[RowScript, Sheet]) -> None:
    _, document = medium
    explained = {short for short, _ in document.abbreviations}
    pieces = {
        piece
        for section in document.sections
        for part in section.parts
        for line in part.lines
        for piece in re.sub(r"\(|\) × \d+", "", line.short).split(", ")
    }
    # `k 4`, `pm 1 after 10`; what stands there in words (take up, leave) needs no explanation.
    assert explained == {
        key
        for key, entry in STITCHES.items()
        for piece in pieces
        if not entry.handling and key != entry.name and re.match(rf"{re.escape(key)} \d", piece)
    }


def test_needles_are_told_right_and_wrong_side() -> None:
    plan = make_plan("throw", read_gauge("20 x 28"), craft=Craft.NEEDLES)
    made = sheet([(plan, script_for(plan))])
    assert ("WS", "wrong side") in made.abbreviations
    assert made.loops == "Stitches"


# --- the commands -------------------------------------------------------------------------


def run(folder: Path, *words: str) -> int:
    return main(["--data", str(folder / "data"), *words])


def test_sheet_command_writes_pdf_and_html(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf, html = tmp_path / "a.pdf", tmp_path / "a.html"
    assert run(tmp_path, "sheet", "cardigan", "--sizes", "S,M", "-o", str(pdf)) == 0
    assert run(tmp_path, "sheet", "throw", "--width", "60", "-o", str(html)) == 0
    assert "Sizes S, M" in read_pdf(pdf.read_bytes())
    assert "60 cm" in Page(html.read_text("utf-8")).text
    assert str(pdf) in capsys.readouterr().out


def test_a_make_in_work_is_drawn_as_far_as_it_is(tmp_path: Path) -> None:
    assert run(tmp_path, "start", "throw", "--name", "evening") == 0
    svg, png = tmp_path / "p.svg", tmp_path / "p.png"
    assert run(tmp_path, "picture", "evening", "-o", str(svg)) == 0
    assert "to come" in svg.read_text("utf-8")
    assert run(tmp_path, "picture", "throw", "-o", str(svg), "--overwrite") == 0
    assert "to come" not in svg.read_text("utf-8")
    assert run(tmp_path, "picture", "evening", "-o", str(png)) == 0
    # PNG, ISO/IEC 15948: signature, then the header with width and height.
    content = png.read_bytes()
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    wide, high = struct.unpack(">II", content[16:24])
    millimetres = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', svg.read_text("utf-8"))
    assert millimetres
    assert wide == pytest.approx(float(millimetres[1]) / 25.4 * page.PICTURE_PPI, abs=2)
    assert high > wide


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("sheet", "cardigan", "-o", "a.doc"), "end its name so"),
        (("picture", "cardigan", "-o", "a.gif"), "end its name so"),
        (("picture", "nothing-such"), "no make, design or pattern"),
        (("sheet", "cardigan", "--sizes", "S,Q"), "no size 'Q'"),
        (("sheet", "cardigan", "--sizes", "S", "--size", "M"), "either"),
        (("picture", "throw", "-o", "/nowhere/at/all.svg"), "cannot be written"),
    ],
)
def test_a_mistake_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    assert run(tmp_path, *words) == 2
    error = capsys.readouterr().err
    assert told in error
    assert error.count("\n") == 1
    assert "Traceback" not in error


def test_a_written_pattern_has_a_sheet_and_a_picture_too(tmp_path: Path) -> None:
    pattern = tmp_path / "ribs.txt"
    pattern.write_text(
        "Title: Ribbed band\nCraft: needles\nSizes: S (M)\nGauge: 20 x 26\n"
        "Part: band\nCast on 60 (64) sts.\nWork in the round.\n"
        "Rnds 1-6: *k2, p2; rep from * to end.\nBind off all sts.\nWeave in ends.\n",
        encoding="utf-8",
    )
    pdf, svg = tmp_path / "r.pdf", tmp_path / "r.svg"
    assert run(tmp_path, "sheet", str(pattern), "--sizes", "S,M", "-o", str(pdf)) == 0
    text = read_pdf(pdf.read_bytes())
    assert "*k2, p2; rep from * to end" in text
    assert "Cast on 60 (64)" in text
    assert "p purl" in text
    assert run(tmp_path, "picture", str(pattern), "-o", str(svg)) == 0
    assert "30 cm around, 60 stitches" in svg.read_text("utf-8")


def test_a_make_has_one_size(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(tmp_path, "start", "throw", "--name", "evening")
    assert run(tmp_path, "sheet", "evening", "--sizes", "S,M") == 2
    assert "already" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ("typst", ("picture", "throw", "-o", "a.png")),
        ("jinja2", ("sheet", "throw", "-o", "a.html")),
    ],
)
def test_without_the_extra_it_says_how_to_get_it(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    missing: str,
    words: tuple[str, ...],
) -> None:
    monkeypatch.setitem(sys.modules, missing, None)
    assert run(tmp_path, *words) == 2
    assert "pip install 'spokenrow[paper]'" in capsys.readouterr().err


def test_a_make_called_like_a_design_is_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run(tmp_path, "start", "throw", "--name", "throw") == 0
    capsys.readouterr()
    target = tmp_path / "t.html"
    assert run(tmp_path, "sheet", "throw", "-o", str(target)) == 2
    assert "make:throw or design:throw" in capsys.readouterr().err
    assert not target.exists()
    assert run(tmp_path, "sheet", "make:throw", "-o", str(target)) == 0
    assert run(tmp_path, "write", "throw") == 2
    assert run(tmp_path, "write", "design:throw") == 0
    assert "Title: Throw" in capsys.readouterr().out

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr("sys.stdin", Terminal("d\n"))
    assert run(tmp_path, "sheet", "throw", "-o", str(target), "--overwrite") == 0
    assert "m for the make" in capsys.readouterr().out


def test_an_edge_that_is_not_there_is_no_measurement_and_no_ease_is_one() -> None:
    gauge = read_gauge("5 x 3.75")
    bare = make_plan("pullover", gauge, size="M", given={"ease": 0.0})
    hemmed = make_plan("pullover", gauge, size="M", given={"ribbed_hem": 5.0})
    told, more = (
        dict(r[:2] for r in sheet([(p, script_for(p))]).body.rows) for p in (bare, hemmed)
    )
    assert told["Ease"] == "0 cm"
    assert not {"Ribbed edge", "Garter edge"} & set(told)
    assert more["Ribbed edge"] == "5 cm"

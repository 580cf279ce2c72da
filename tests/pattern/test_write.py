"""A script written out as a pattern reads back as the same script, for each of its sizes."""

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counter.commandline import main
from engine.base.refusal import Refusal
from engine.craft.sizes import table_of
from engine.designs import DESIGNS
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.text.read import read
from engine.pattern.write import write
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.builder import ScriptBuilder, op
from models.plan import Plan
from models.script import Craft, Direction, Hand, Kind
from models.stitch import STITCHES, Role
from tests.designs.strategies import GAUGES, plans
from tests.times import times

CORPUS = Path(__file__).parent / "corpus"
SWATCH = read_gauge("20 x 28")


def scripts(name, gauge, sizes, craft=None, **more):
    """The scripts of those sizes that can be worked."""
    found = []
    for size in sizes or ("",):
        try:
            found.append(script_for(make_plan(name, gauge, size=size, craft=craft, **more)))
        except Refusal:
            continue
    return found


def read_back(text, script):
    return script_of(plan_from_text(text, size=script.size, hand=script.hand))


def assert_same(script, again):
    for ours, theirs in zip(script.steps, again.steps, strict=False):
        assert theirs == ours
    # What a design claims of its sleeves and rounds beside is for the audit, and is not written.
    assert again == script.model_copy(update={"alike": (), "regular": ()})


EACH = [
    pytest.param(name, craft, id=f"{name}-{craft.value}")
    for name, chosen in DESIGNS.items()
    for craft in chosen.info.crafts
]
SHORT = sorted(set(DESIGNS) - {"pullover", "raglan", "yoke-pullover"})
"""Those that are not all rows of fine stitches: reading them takes long and shows no more."""
COMMON = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "14 x 20"}


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_all_sizes_read_back_the_same(name, craft):
    table = table_of(DESIGNS[name].usual)
    sizes = tuple(s for s in DESIGNS[name].info.sizes if not table or s in table)
    made = scripts(name, read_gauge(COMMON[craft]), sizes[:: 1 if name in SHORT else 8], craft)
    text = write(made)
    for script in made:
        assert_same(script, read_back(text, script))
    assert_explained(text)
    assert_edited(text, made)


def assert_edited(text, made):
    """As a technical editor would have it: rounds are no rows, each part tells its length once,
    what is named by one row is no stretch of rows, and no line goes on beside "all other rows"."""
    kinds = {s.part: {x.kind for x in made[0].steps if x.part == s.part} for s in made[0].steps}
    lengths = re.findall("^Part: (.*)\nLength: .*?(rows|rounds)\\b", text, re.M)
    for part, word in lengths:
        assert word == ("rows" if Kind.ROW in kinds.get(part, {Kind.ROUND}) else "rounds"), part
    told = [part for part, _ in lengths]
    again = [p for p in re.findall("^Part: (.*)$", text, re.M) if kinds.get(p)]
    assert len(told) == len(set(told)) or len(again) > len(set(again))
    assert "All other" not in text
    assert not re.search(r"rows (\d+) to \1\b", text)
    for first, last in re.findall(r"^(?:.*: )?(?:Rows|Rnds) ([\d (),]+)–([\d (),]+):", text, re.M):
        begins, ends = (re.findall(r"\d+", one) for one in (first, last))
        width = max(len(begins), len(ends))
        pairs = zip(begins * (width // len(begins)), ends * (width // len(ends)), strict=True)
        assert all(int(a) < int(b) for a, b in pairs), (first, last)


SPELT_OUT = frozenset(
    re.findall(
        "[a-z]+",
        """all along of bind back cast chain check cm cut each end fasten finish fit for foundation
        free from graft in into join last leave left loop loops marker measure more needle next off
        on once other pair pick rest resting right row rows seam size sizes stitch stitches tail
        take the three times to turn twice up with yarn between after before around and a at
        change""",
    )
)
"""Words that need no explanation."""


def assert_explained(text):
    """Every word of the rows is a plain one or is told what it stands for; and nothing else is."""
    front, _, parts = text.partition("\nPart: ")
    told = re.search("^Abbreviations: (.*)\\.$", front, re.M)[1]
    meant = dict(one.split(" = ") for one in told.split("; "))
    rows = [
        line
        for line in f"Part: {parts}".splitlines()
        if not line.startswith(("Part:", "Length:", "Note"))
    ]
    words = set()
    for row in rows:
        bare = re.sub("For sizes? [^:]*:", "", re.sub('"[^"]*"', "", row))
        words |= set(re.findall("[a-z0-9]*[a-z]+[a-z0-9]*", bare.lower()))
    words = {re.sub(r"(?<=^[kp])\d+$", "", word) for word in words}
    short = {word for key in meant for word in key.lower().split()}
    assert words - SPELT_OUT - short == set()
    assert short - words == set()
    assert all(key != name for key, name in meant.items())


@settings(max_examples=times(8), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_any_sizes_at_any_gauge_read_back_the_same(data):
    name = data.draw(st.sampled_from(SHORT))
    info = DESIGNS[name].info
    craft = data.draw(st.sampled_from(info.crafts))
    gauge = data.draw(GAUGES[craft])
    sizes = info.sizes and data.draw(
        st.lists(st.sampled_from(info.sizes), min_size=1, max_size=4, unique=True)
    )
    hand = data.draw(st.sampled_from(Hand))
    made = scripts(name, gauge, sizes, craft, hand=hand)
    if not made:
        return
    text = write(made)
    script = data.draw(st.sampled_from(made))
    assert_same(script, read_back(text, script))


@settings(max_examples=times(8), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(names=SHORT), st.integers(0, 30))
def test_a_make_of_ones_own_measures_reads_back_the_same(plan, more):
    """Measures, hand and scale as they come, and rows that the tape has decided since."""
    try:
        script = script_for(plan)
        lead = next((s.part for s in script.steps if s.counts_row and s.rows is None), None)
        if lead and more % 3 == 0:
            rows = sum(s.counts_row for s in script.steps if s.part == lead)
            script = script_for(plan.model_copy(update={"rows": {lead: rows + more}}))
    except Refusal:
        return
    assert_same(script, read_back(write([script]), script))


def built(craft=Craft.NEEDLES):
    return ScriptBuilder(Plan(design="swatch", title="Swatch", gauge=SWATCH, craft=craft))


ROWS = {
    "slips": [op("sl kwise"), op("k", 2), op("sl wyif", 2), op("p", 5)],
    "back": [op("k tbl", 3), op("p tbl"), op("k", 6)],
    "lace": [op("k"), op("yo"), op("k2tog"), op("k", 4), op("ssk"), op("yo"), op("k")],
    "passed over": [op("sl"), op("k"), op("psso"), op("k", 8)],
    "made": [op("k", 2), op("m1l"), op("k", 6), op("m1r"), op("k", 2)],
    "many": [op("k2tog", 2), op("p2tog"), op("kfb", 2), op("pfb"), op("p")],
    "pairs": [op("yo"), op("k2tog", 3), op("inc", 2), op("k", 2)],
    "three": [op("k3tog"), op("p3tog"), op("k"), op("1 into 3"), op("k", 2)],
    "seed": [op("k"), op("p")] * 5,
    "rib": [op("k", 2), *[op("p", 2), op("k", 2)] * 2],
}


PLAIN = [
    entry
    for entry in STITCHES.values()
    if entry.role in {Role.WORKED, Role.SLIP, Role.DECREASE, Role.INCREASE, Role.CROSS}
    and entry.leaves >= 0
    and not entry.needs
]


@pytest.mark.parametrize("times", [1, 3])
@pytest.mark.parametrize("entry", PLAIN, ids=lambda e: e.key)
def test_every_stitch_of_the_table_reads_back_the_same(entry, times):
    b = built()
    taken = entry.takes * times
    b.step("piece", Kind.FOUNDATION, op("co", taken + 4), direction=Direction.LEFT_TO_RIGHT)
    row = [op("k", 2), op(entry.key, times), op("k", 2)]
    b.step("piece", Kind.ROW, *row, row=1, rows=1, side="RS", direction=Direction.RIGHT_TO_LEFT)
    b.step("piece", Kind.BIND_OFF, op("bo", b.live - 1), op("fasten"), op("tail"))
    b.step("piece", Kind.FINISH)
    script = b.finish()
    assert_same(script, read_back(write([script]), script))


@pytest.mark.parametrize("row", ROWS)
def test_stitches_of_every_kind_read_back_the_same(row):
    b = built()
    b.step("piece", Kind.FOUNDATION, op("co", 10), direction=Direction.LEFT_TO_RIGHT)
    b.step(
        "piece", Kind.ROW, *ROWS[row], row=1, rows=1, side="RS", direction=Direction.RIGHT_TO_LEFT
    )
    b.step("piece", Kind.BIND_OFF, op("bo", b.live - 1), op("fasten"), op("tail"))
    b.step("piece", Kind.FINISH)
    script = b.finish()
    assert_same(script, read_back(write([script]), script))


def test_patterns_that_others_wrote_read_back_the_same():
    """Whatever notation a sound pattern of the corpus came in, ours says the same."""
    checked = 0
    for file in sorted(CORPUS.glob("*.txt")):
        text = file.read_text(encoding="utf-8")
        try:
            sizes = read(text).sizes
            made = [
                script_of(plan_from_text(text, file.stem, size=size, gauge=SWATCH))
                for size in sizes
            ]
        except Refusal:
            continue  # what is wrong with it is the reader's to say
        for script in made:
            assert_same(script, read_back(write(made), script))
        checked += 1
    assert checked >= 2


def test_rows_on_an_unusual_side_say_so():
    b = built()
    b.step("piece", Kind.FOUNDATION, op("co", 4), direction=Direction.LEFT_TO_RIGHT)
    for row, side in enumerate(("WS", "RS", "RS", None, "RS", "WS"), 1):
        b.step(
            "piece",
            Kind.ROW,
            op("k", 4),
            row=row,
            rows=6,
            side=side,
            direction=Direction.RIGHT_TO_LEFT,
        )
    b.step("piece", Kind.BIND_OFF, op("bo", 3), op("fasten"), side="RS")
    b.step("piece", Kind.FINISH, note="Admire it")
    script = b.finish()
    text = write([script])
    assert_same(script, read_back(text, script))
    # What is said of one row is not said of two that alternate.
    assert "Row 1 (WS): K to end.\nRow 2: K to end." in text
    assert "Row 3 (RS): K to end." in text


def test_a_step_below_a_note_is_a_step_whatever_the_note_ends_with():
    b = built()
    b.step("piece", Kind.FOUNDATION, op("co", 4), direction=Direction.LEFT_TO_RIGHT)
    way = {"side": "RS", "direction": Direction.RIGHT_TO_LEFT}
    b.step("piece", Kind.ROW, op("k", 4), row=1, rows=1, note="Pull one loop through both", **way)
    b.step("piece", Kind.BACK_CHECK, note="Look at the back, and then")
    b.step("piece", Kind.FIT_CHECK, note="Try it on for")
    b.step("piece", Kind.BIND_OFF, op("bo", 3), op("fasten"), note="Cut it with")
    b.step("piece", Kind.FINISH)
    script = b.finish()
    assert_same(script, read_back(write([script]), script))


def test_the_notation_is_the_standard_one():
    """Numbers by size, repeats and stretches as published patterns have them."""
    # Craft Yarn Council, "How to Read a Knitting Pattern" (from memory): sizes as 24 (28, 32),
    # repeats as *…; rep from *, and what is the same for all sizes said once.
    gauge = read_gauge("20 x 26 / 4in")
    text = write(scripts("cap", gauge, ("S", "M", "L"), Craft.NEEDLES))
    lines = text.splitlines()
    assert "Sizes: S (M, L)" in lines
    assert "Gauge: 20 stitches and 26 rows = 4 in" in lines
    assert "Foundation: Cast on 100 (104, 110)." in lines
    assert "Rnds 1–10: *k1, p1; rep from * to end." in lines
    assert any(line.startswith("For sizes M, L: Rnd 3: *k8, k2tog; rep from *") for line in lines)


def test_shaping_is_said_by_repeats():
    text = write(scripts("cardigan", read_gauge("5 x 3.75"), ("S", "M", "L")))
    assert "Rows 1–10: K to end." in text  # to and fro is the usual way, so it is not said
    assert "Row 1: Leave the last 32 (35, 40) loops resting" in text
    assert "Rep rows 2–3 1 (2, 2) times more." in text
    assert len(text.splitlines()) < 225  # three sizes of some 120 steps


def test_two_patterns_are_not_one():
    one, other = (scripts("vest", read_gauge(g), ("S",))[0] for g in ("5 x 3.75", "6 x 5"))
    with pytest.raises(Refusal, match="twice"):
        write([one, one])
    with pytest.raises(Refusal, match="differ in their gauge"):
        write([one, other.model_copy(update={"size": "M"})])
    with pytest.raises(Refusal, match="no size"):
        write([])


def test_command(capsys, tmp_path):
    assert main(["write", "cardigan", "--sizes", "S,M,L"]) == 0
    text = capsys.readouterr().out
    assert "Sizes: S (M, L)" in text
    script = script_for(make_plan("cardigan", read_gauge("5 x 3.75"), size="M"))
    assert_same(script, read_back(text, script))
    file = tmp_path / "cardigan.txt"
    file.write_text(text, encoding="utf-8")
    assert main(["write", str(file)]) == 0
    assert capsys.readouterr().out == text
    assert main(["write", "shawl", "--width", "120"]) == 0
    assert "Sizes:" not in capsys.readouterr().out
    assert main(["write", "cardigan", "--sizes", "S,Q"]) == 2
    assert "'Q'" in capsys.readouterr().err
    assert main(["write", "cardigan", "--sizes", "S", "--size", "M"]) == 2
    assert main(["--data", str(tmp_path), "write", "no-such-make"]) == 2


def test_a_part_that_is_taken_up_again_goes_on_with_its_rows():
    b = built(Craft.LOOP)
    b.step("panel", Kind.FOUNDATION, op("co", 6), direction=Direction.LEFT_TO_RIGHT)
    ways = (Direction.RIGHT_TO_LEFT, Direction.LEFT_TO_RIGHT, Direction.RIGHT_TO_LEFT)
    for row, way in enumerate(ways, 1):
        if row == 3:
            b.step("marks", Kind.MARKER, op("pm", 1, "here"))
        b.step("panel", Kind.ROW, op("k", 6), row=row, planned=3, direction=way)
    b.step("panel", Kind.BIND_OFF, op("bo", 5), op("fasten"), op("tail"))
    b.step("panel", Kind.FINISH, note="Done")
    script = b.finish()
    assert_same(script, read_back(write([script]), script))


def test_what_rests_on_the_way_is_not_counted_from_the_far_end():
    # By hand: of 50 stitches 30 are worked, ten rest, ten follow; from the far end those are 20.
    plan = make_plan("raglan", read_gauge("14 x 20"), size="M", craft=Craft.NEEDLES)
    (row,) = re.findall(r"Rnd 1: (.*leave the next.*)\n", write([script_for(plan)]))
    assert re.match(r"K\d+, leave the next", row)
    head = "Craft: needles\nGauge: 20 x 28\n\nPart: body\nCast on 50.\nRow 1: K to last "
    ways = ('20 sts, leave the next 10 sts resting at "a", k10.', "10 sts, place 10 on a holder.")
    for end, worked in zip(ways, ((30, 10, 10), (10, 40)), strict=True):
        row = next(s for s in script_of(plan_from_text(head + end)).steps if s.counts_row)
        assert tuple(o.times for o in row.operations) == worked

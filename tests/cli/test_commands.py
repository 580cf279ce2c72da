"""The commands gauge, size, yarn, pickup and repair, as a person types them."""

import json
import re

import pytest

from counter.commandline import BAD_INPUT, main
from engine.keep.store import Store
from tests.advise.helpers import THROW, Action, AtWork


@pytest.fixture
def run(capsys, tmp_path):
    def typed(*words):
        code = main(["--data", str(tmp_path), *words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


@pytest.fixture
def make(tmp_path):
    """A throw on the shelf, four rows worked and a loop of row 2 dropped."""
    store = Store(tmp_path / "makes.db")
    work = AtWork(THROW)
    work.advance(2)
    work.do(Action.DROPPED, 7)
    work.advance(3)
    store.create("lap", THROW)
    store.append("lap", work.making.events)
    store.close()
    return "lap"


def read(run, *words):
    code, out, _ = run(*words, "--json")
    assert code == 0
    return json.loads(out)


def test_a_gauge_from_swatches(run):
    code, out, _ = run("gauge", "8 x 7 over 16 x 20", "8 x 7 over 15 x 20", "--across", "100")
    assert code == 0
    assert out.startswith("5.16 loops x 3.50 rows per 10 cm.")
    assert "4.4 cm over 100 cm" in out
    data = read(run, "gauge", "20 x 26 over 4 x 4", "--unit", "in")
    assert data["gauge"]["loops_per_10cm"] == pytest.approx(20 / 10.16 * 10)


def test_a_gauge_from_the_work(run):
    assert run("gauge", "--rows", "12", "--measured", "31")[1] == "3.87 rows per 10 cm.\n"


def test_a_garment_beside_the_body(run):
    data = read(run, "size", "cardigan", "--size", "m", "--intent", "loose")
    assert data["nearest"]["name"] == "M"
    assert data["cm"]["around"]["wanted"] == pytest.approx(94 + 12.7)
    code, out, _ = run("size", "cardigan", "--bust", "40", "--ease", "4", "--unit", "in")
    assert code == 0
    assert "around" in out


def test_the_yarn_of_a_design(run):
    data = read(run, "yarn", "throw", "--width", "40", "--height", "32", "--ball", "100")
    assert (data["loops"], data["parts"]) == (264, {"throw": 264})
    assert data["purchase"]["balls"] == 3
    assert data["lots"] is None
    size = ("--width", "40", "--height", "32")
    lots = read(run, "yarn", "throw", *size, "--ball", "100", "--lots", "3", "2")["lots"]
    assert lots[0].startswith("Two dye lots in turn, every 2 rows: ")
    code, out, _ = run("yarn", "throw", "--width", "40", "--height", "32", "--ball", "100")
    assert code == 0
    assert "Ball 1 does not reach through throw, row 4: join the next at its start" in out
    striped = ("yarn", "throw", "--width", "100", "--stripes", "cream 8, sand 4", "--ball", "250")
    out = run(*striped, "--have", "cream 9, sand 2")[1]
    assert "9 of cream, 2 of sand do not reach" in out
    assert re.search(r"They do if you work the throw \d+ rows shorter: .* 2 of sand\), ", out)


def test_of_what_is_made_twice_yarn_is_bought_for_both(run, tmp_path):
    at = ("mittens", "--gauge", "9 x 11", "--ball", "100")
    data = read(run, "yarn", *at)
    assert (data["loops"], data["purchase"]["balls"]) == (594, 14)  # 1188, and a tenth: 13.07
    assert "one mitten; what is to be bought is for two" in run("yarn", *at)[1]
    assert "reach. That is for one mitten; the second takes" in run("yarn", *at, "--have", "9")[1]
    html = tmp_path / "mittens.html"
    assert run("sheet", *at, "-o", str(html))[0] == 0
    page = html.read_text(encoding="utf-8")
    assert "for one mitten: as many again for the second" in page
    assert "Balls of 100 for both" in page


def test_the_yarn_by_weight_and_length(run):
    words = ("yarn", "throw", "--swatch", "100 x 99 over 45 x 36 cm, 70 g", "--ball-grams", "50")
    data = read(run, *words, "--ball-length", "100")
    loops = data["loops"]
    assert data["purchase"]["grams"] == pytest.approx(loops * 0.007)
    assert data["metres"] == pytest.approx(loops * 0.007 * 2)


def test_a_ball_on_the_kitchen_scale(run, make):
    data = read(run, "yarn", make, "--ball-grams", "250", "--weighs", "50")
    assert data["left_by_weight"] == 20
    assert data["forecast"]["ball"] == 1


def test_the_yarn_by_colour(run):
    data = read(run, "yarn", "cardigan", "--colour", "right sleeve=red")
    assert data["colours"]["red"] == data["parts"]["right sleeve"]


def test_picking_up(run):
    _, out, _ = run("pickup", "88", "--loops", "71")
    assert out.startswith("71 loops over 88 rows: pick up 4, skip 1, 17 times, then 3 from the")
    assert read(run, "pickup", "120", "--gauge", "16 x 24 / 4in")["loops"] == 80
    assert read(run, "pickup", "8", "--lost", "4")["loops"] == 11
    assert read(run, "pickup", "--curve", "12,10,9,8,8")["rows"] == 4
    assert read(run, "pickup", "8", "--armhole", "8", "--underarm", "3")["loops"] == 25
    assert "Front: 11 loops" in run("pickup", "8", "--armhole", "8")[1]


def test_repairing(run, make):
    code, out, _ = run("repair", make)
    assert code == 0
    assert "Row 2 of the throw, loop 7:" in out
    assert "work up: 2 loops" in out
    assert "You will stand at the start of row 2 of the throw with 20 loops in work" in out
    data = read(run, "repair", make, "--step", "3", "--loop", "4")
    assert data[0]["ways"][0]["name"] == "rip back"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("gauge",), "at least one swatch"),
        (("gauge", "8 x"), "is not understood"),
        (("gauge", "--rows", "3"), "together"),
        (("gauge", "8 x 7 over 9 x 9", "--rows", "3", "--measured", "9"), "not both"),
        (("gauge", "8 x 7 over 9 x 9", "--across", "0"), "more than nothing"),
        (("size", "cardigan", "--intent", "close", "--ease", "3"), "not both"),
        (("size", "hood"), "no make"),
        (("yarn", "throw", "--ball", "3"), "its own ends"),
        (("yarn", "throw", "--ball", "90", "--reserve", "400"), "reserve"),
        (("yarn", "throw", "--ball", "90", "--have", "a few"), "how many there are of it"),
        (("yarn", "throw", "--ball", "90", "--have", "sea 2"), "worked from one yarn"),
        (("yarn", "throw", "--colour", "red"), "part=colour"),
        (("yarn", "throw", "--colour", "hood=red"), "no part"),
        (("yarn", "throw", "--ball-length", "90"), "weighed --swatch"),
        (("yarn", "throw", "--swatch", "8 x 7 over 9 x 9, 10 g"), "--ball-grams"),
        (("yarn", "throw", "--weighs", "9"), "--ball-grams"),
        (
            ("yarn", "throw", "--ball", "90", "--ball-grams", "50", "--weighs", "60"),
            "cannot weigh",
        ),
        (("pickup",), "how many rows"),
        (("pickup", "5", "--loops", "11"), "more than two"),
        (("pickup", "--curve", "a,b"), "row by row"),
        (("repair", "throw"), "name a make"),
    ],
)
def test_a_mistake_is_one_sentence_and_exit_2(run, words, said):
    code, out, err = run(*words)
    assert (code, out) == (BAD_INPUT, "")
    assert said in err
    assert err.count("\n") == 1


def test_a_step_that_is_not_worked_is_refused(run, make):
    code, _, err = run("repair", make, "--step", "99")
    assert code == BAD_INPUT
    assert "not worked" in err
    code, _, err = run("repair", make, "--step", "2", "--loop", "99")
    assert code == BAD_INPUT
    assert "20 loops" in err


def test_lengths_on_a_command_line_are_typed_as_people_type_them(capsys):
    def rows(*words):
        assert main(["rows", "throw", *words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    same = [
        rows("--width", "50,8", "--height", "61"),
        rows("--width", '20"', "--height", "61 cm"),
        rows("--width", "1 ft 8 in", "--height", "610 mm"),
        rows("--unit", "in", "--width", "20", "--height", "61 cm"),
    ]
    assert all(one == same[0] for one in same)


def test_a_length_on_a_command_line_that_is_none_is_refused_as_typed(capsys):
    with pytest.raises(SystemExit):
        main(["rows", "throw", "--width", "fifty"])
    assert "“fifty” is not understood as a length" in capsys.readouterr().err

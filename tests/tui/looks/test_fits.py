"""Nothing of the instruction is cut off, whatever the design says and however small the window."""

import pytest

from counter.shared.demo import demo_making
from counter.shared.settings import Settings, save
from counter.shared.work import Work
from counter.tui.widgets.keyline import Offer, line
from counter.tui.widgets.lettering import Lettering, arrange, word_picture
from engine.designs import DESIGNS
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from engine.script import wording
from engine.script.headline import Headline, headline
from models.script import ROW_KINDS, Craft, Kind
from tests.tui.scenes import SIZES, shown

_LONGEST = 4
"""Steps of all designs that are looked at: those with most to say."""


def _wordiest():
    """(making, step) of the longest instructions, each told once."""
    found = {}
    for name in DESIGNS:
        making = Making(make_plan(name, read_gauge(usual_gauge(name)), ball_loops=200))
        for step in making.state.script.steps:
            found.setdefault((len(wording.text(step, Craft.LOOP)), step.kind), (making, step))
    longest = sorted(found, key=lambda key: key[0], reverse=True)[:_LONGEST]
    return [found[key] for key in longest]


async def test_every_word_of_the_wordiest_steps_is_seen(app_of):
    app = app_of()
    async with app.run_test(size=SIZES[0]) as pilot:
        wordiest = _wordiest()
        app.open_make(Work("make", wordiest[0][0]))
        await pilot.pause()
        for size in SIZES:
            await pilot.resize_terminal(*size)
            for making, step in wordiest:
                app.row_screen.work.making = making
                making.state = making.state.model_copy(update={"at": step.number - 1})
                app.row_screen.show()
                await pilot.pause()
                sentence = app.row_screen.query_one("#sentence")
                for part in (sentence, app.row_screen.query_one("#keys")):
                    assert app.screen.region.contains_region(part.region), (size, step.number)
                assert app.row_screen.query_one("#doing", Lettering).region.height >= 1
                if size[0] <= 80:  # beside it, in a wide window, stands what is coming
                    # In a low window what the hands do stands in the big lines alone.
                    told = wording.beside if size[1] < 24 else wording.text
                    wanted = told(step, Craft.LOOP) or wording.text(step, Craft.LOOP)
                    seen = " ".join([page async for page in _pages(app, pilot)])
                    assert " ".join(wanted.split()) in seen, (size, step.number)


async def _pages(app, pilot):
    """The instruction as it is seen, page by page: mostly there is one."""
    sentence, first = app.row_screen.query_one("#sentence"), ""
    while (page := " ".join(sentence.content.plain.split())) != first:
        assert page in " ".join(shown(app).split())
        yield page
        first = first or page
        app.row_screen.action_read_on(1)
        await pilot.pause()


async def test_marks_question_and_refusal_are_on_the_screen_together(app_of):
    app = app_of()
    async with app.run_test(size=SIZES[-1]) as pilot:
        app.open_make(Work("demo", demo_making()))
        await pilot.press("d", "4", "enter", "r", "enter")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            text = " ".join(shown(app).split())
            assert "◆ 1" in text, size
            assert "row 3 of the right front, loop 4" in text, size
            asked = app.row_screen.query_one("#question").content.plain
            assert "Rip back 1 row" in asked, size
            assert " ".join(asked.split()) in text, size
            assert "yes" in text, size
            assert "no" in text, size


async def test_large_type_keeps_instruction_marks_and_question(app_of, tmp_path):
    save(tmp_path / "settings.json", Settings(large=True))
    app = app_of()
    async with app.run_test(size=SIZES[-1]) as pilot:
        app.open_make(Work("demo", demo_making()))
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            usual = 1 if size[0] < 60 else 5
            assert app.row_screen.query_one("#doing").size.height >= usual, size
        await pilot.press("d", "4", "enter", "r", "enter")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            text = " ".join(shown(app).split())
            assert "row 3 of the right front, loop 4" in text, size
            assert "Rip back 1 row" in text, size


def test_lettering_never_leaves_its_room():
    script = script_for(make_plan("cardigan", read_gauge("5 x 3.75")))
    for step in script.steps:
        for width, height in ((38, 3), (38, 5), (58, 6), (78, 9), (150, 30)):
            drawn = arrange(headline(step, script.craft), width, height).plain.split("\n")
            if len(drawn) == 1:
                continue  # plain words wrap by themselves
            assert len(drawn) <= height
            assert max(map(len, drawn)) <= width


def test_lettering_is_as_large_as_the_room():
    one = (Headline(words="knit 6", short="k 6"),)
    heights = [
        len(arrange(one, width, height).plain.split("\n"))
        for width, height in ((20, 2), (40, 4), (78, 9), (150, 12), (190, 20))
    ]
    assert heights == [1, 3, 5, 10, 20]


def test_what_changes_the_loop_count_is_never_smaller_than_the_rest():
    shaping = Headline(words="decrease 1", short="dec 1", shaping=True)
    plain = Headline(words="knit 5", short="k 5")
    drawn = arrange((shaping, plain), 78, 9)
    rows = drawn.plain.split("\n")
    bold = [span for span in drawn.spans if "accent" in str(span.style)]
    assert len(rows) == 9  # five rows of the shaping word, a gap, three of the other
    assert bold
    assert max(span.end for span in bold) <= sum(len(row) + 1 for row in rows[:5])


def test_a_foundation_a_look_and_a_marker_have_their_words():
    script = script_for(make_plan("cardigan", read_gauge("5 x 3.75")))
    words = {}
    for step in script.steps:
        words.setdefault(step.kind, [one.words for one in headline(step, script.craft)])
    assert words[Kind.FOUNDATION] == ["count 42"]
    assert words[Kind.BACK_CHECK] == ["look at the back"]
    assert words[Kind.MARKER] == ["place a marker"]
    assert words[Kind.MEASURE][0] == "measure"


def test_every_stretch_is_in_large_letters_where_there_is_room_for_them():
    """Three-row letters may follow each other closely: six rows hold two stretches."""
    shaping = Headline(words="decrease 1", short="dec 1", shaping=True)
    plain = Headline(words="knit 5", short="k 5")
    drawn = arrange((shaping, plain), 38, 6).plain.split("\n")
    assert len(drawn) == 6
    assert not any(letter.isalpha() for row in drawn for letter in row)
    # With less room the standard abbreviations stand side by side.
    (row, *more) = arrange((shaping, plain), 38, 5).plain.split("\n")
    assert len(more) == 2
    assert not any(letter.isalpha() for letter in row)


def test_a_number_stays_with_its_word():
    stretches = tuple(Headline(words=f"knit {n}", short=f"k {n}") for n in (11, 12, 13, 14))
    drawn = arrange(stretches, 60, 8).plain.split("\n")
    alone = arrange(stretches[:1], 60, 3).plain.split("\n")
    assert drawn[0].startswith(alone[0])
    # Two a line, and neither line ends in a word that has lost its number.
    assert [len(drawn[0].rstrip()), len(drawn[4].rstrip())] == [
        len(arrange(pair, 60, 3).plain.split("\n")[0].rstrip())
        for pair in (stretches[:2], stretches[2:])
    ]


@pytest.mark.parametrize("name", DESIGNS)
def test_the_big_words_work_as_many_loops_as_the_step(name):
    """Folded repeats and all: what is read from across the room is the whole row."""
    script = script_for(make_plan(name, read_gauge(usual_gauge(name))))
    for step in script.steps:
        if step.kind not in ROW_KINDS:
            continue
        worked = [o for o in step.operations if o.stitch in {"k", "p", "dec", "inc"}]
        shown = [one.short for one in headline(step, script.craft)]
        assert _times(shown) == sum(o.times for o in worked), (step.number, shown)


def _times(shown):
    """How often something is worked, by the headline's own words."""
    total = bracketed = 0
    for said in shown:
        words = said.strip("()").split()
        if said.startswith("("):
            bracketed = total
        if words[-1] == "times":
            total = bracketed + (total - bracketed) * int(words[0])
        elif words[0] in {"k", "p", "dec", "inc"}:
            total += int(words[-1])
    return total


def test_the_foot_of_a_screen_cuts_no_key_in_two():
    offers = (
        Offer("space", "the practice piece", "practice", loud=True),
        Offer("n", "another make", "new"),
        Offer("?", "keys and words", "help"),
        Offer("q", "leave"),
    )
    assert line(offers, 80).plain == (
        " space  the practice piece   n another make   ? keys and words   q leave"
    )
    assert line(offers, 50).plain == " space  the practice piece  n new  ? help  q leave"
    assert line(offers, 38).plain == " space  practice  n new  ? help"
    for width in range(17, 90):
        assert len(line(offers, width).plain) <= width


def test_a_word_of_low_signs_has_letters_as_high_as_others():
    """`-` has no ink in its last row, and `_` none in the first ones."""
    for sign in ("-", "_", ".", "'", "*", "~", '"', "|", "!", "+", "=", "@"):
        for size, high in ((0, 3), (1, 5), (2, 10)):
            picture = word_picture(sign, size)
            assert picture is None or len(picture) == high, (sign, size)

"""All that the hands do stands in the big lines, whole, in every window from 40 x 15.

Every step of every design, of stitch patterns laid over designs and of twenty and more written
patterns is set at 40 x 15 and, by turns, at one of the larger sizes (`SPOKENROW_TIMES=2`: at all
five, and of all the written patterns that are kept). What is set is read back letter by letter, in
order, and what was read must hold every operation of the step. The app runs once, to measure the
room that each way of dressing the screen leaves to the big lines; the rest needs no app.
"""

import re
from functools import cache
from itertools import cycle

import pytest
from textual.content import Content

from counter.shared.settings import Unit
from counter.shared.work import Work
from counter.shared.written import pattern_text
from counter.tui.screens import row_words
from counter.tui.widgets.lettering import PLAIN, Lettering, arrange, word_picture
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.make.making import Making
from engine.pattern.make import plan_from_text, stated_gauge
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.headline import Headline, big
from models.script import Craft, Kind, Step
from tests.pattern.test_pasted import SWATCH, file_of, texts
from tests.times import times
from tests.tui.scenes import SIZES

GAUGES = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "14 x 18"}
LAID = (("pullover", "moss"), ("hat", "rib-2x2"), ("scarf", "cable-4"), ("shawl", "moss"))
"""Stitch patterns over designs, shaped and not."""
WRITTEN = 20
"""Written patterns, at the least."""
STANDARD = {
    "k": "k", "p": "p", "k2tog": "k2tog", "p2tog": "p2tog", "ssk": "ssk", "kfb": "kfb",
    "m1l": "m1l", "m1r": "m1r", "sl": "sl", "yo": "yo", "bo": "bo", "co": "co",
    "inc": "inc", "dec": "dec", "pm": "pm", "rm": "rm",
}  # fmt: skip
"""Abbreviations of the Craft Yarn Council's list (from memory)."""
_LEAST_LARGE = {40: 0.55, 60: 0.8, 80: 0.9, 120: 0.99, 200: 0.99}
"""Share of steps whose big lines are letters of three rows or more, by columns: the others have too
many stretches for the room and stand in plain capitals."""


def plans():
    """Name, plan and script; garment sizes by turns, so that each is tried somewhere."""
    turn = cycle(range(9))
    for name in DESIGNS:
        for craft in design(name).info.crafts:
            sizes = tuple(design(name).info.sizes) or ("",)
            size = sizes[next(turn) % len(sizes)]
            plan = make_plan(name, read_gauge(GAUGES[craft]), size=size, craft=craft)
            yield name, plan, script_for(plan)
    for name, stitch in LAID:
        craft = design(name).info.crafts[-1]
        plan = make_plan(name, read_gauge(GAUGES[craft]), craft=craft, stitch=stitch)
        yield f"{name} {stitch}", plan, script_for(plan)
    yield from written()


def written():
    """The same of patterns that are read without a question."""
    read = 0
    for name in sorted(texts())[:: 1 if times(1) > 1 else 4]:
        text = pattern_text(file_of(name))
        try:
            plan = plan_from_text(text, name, gauge=None if stated_gauge(text) else SWATCH)
            script = script_for(plan)
        except Refusal:
            continue  # it asks something first
        yield name, plan, script
        read += 1
        if read == WRITTEN and times(1) == 1:
            return


@cache
def steps():
    """(plan, step) of every way in which the big lines and the sentence can be filled."""
    found, read, met = {}, 0, set()
    kept = [name for name in Step.model_fields if name not in {"number", "row", "rows"}]
    for name, plan, script in plans():
        read += name in texts()
        for step in script.steps:
            # Most rows are like another but for their number: they need no words of their own.
            like = (plan.craft, len(str(step.row)), len(str(step.rows)))
            key = (*like, *(getattr(step, field) for field in kept))
            if key in met:
                continue
            met.add(key)
            told = row_words.sentence(step, plan.craft, Unit.CM, 24)
            # The sentence counts by how many rows it takes, not by which number the row has.
            shape = re.sub(r"\d+", lambda n: "0" * len(n[0]), told)
            found.setdefault((big(step, plan.craft), shape), (plan, step))
    assert read >= WRITTEN, read
    return list(found.values())


def dressed(step, craft, size):
    """What the style sheet of the row heeds."""
    return tuple(sorted(row_words.told(step, craft, Unit.CM, size).dress))


async def _rooms(app):
    """By size and dress: the width of the big lines, of the sentence, and the rows of both."""
    wearers = {}
    for plan, step in steps():
        for size in SIZES:
            wearers.setdefault((size, dressed(step, plan.craft, size)), (plan, step))
    rooms = {}
    async with app.run_test(size=SIZES[-1]) as pilot:
        app.open_make(Work("make", Making(steps()[0][0])))
        await pilot.pause()
        row, makings = app.row_screen, {}
        for (size, dress), (plan, step) in sorted(wearers.items(), key=lambda one: one[0]):
            if tuple(app.size) != size:
                await pilot.resize_terminal(*size)
            if id(plan) not in makings:
                makings[id(plan)] = Making(plan)
            row.work.making = making = makings[id(plan)]
            making.state = making.state.model_copy(update={"at": step.number - 1})
            row.show()
            await pilot.pause()
            doing, sentence = row.query_one("#doing", Lettering), row.query_one("#sentence")
            both = doing.size.height + sentence.size.height
            rooms[size, dress] = (doing.size.width, sentence.size.width, both)
    return rooms


def read_back(content, said):
    """The words of `said` read off the cells, in order; None where one of them is not there.

    Nothing else may stand there but the points between clauses in plain capitals.
    """
    rows = [list(row) for row in content.plain.split("\n")]
    wide = max(map(len, rows))
    for row in rows:
        row.extend(" " * (wide - len(row)))
    top, left, size = 0, 0, None
    for word in said:
        at = _find(rows, word, top, left, size)
        while at is None and top < len(rows):
            top, left, size = top + 1, 0, None
            if any(cell not in " ·" for row in rows[:top] for cell in row):
                return None  # something was passed over
            at = _find(rows, word, top, left, size)
        if at is None:
            return None
        left, size, picture = at
        for down, line in enumerate(picture):
            for across, cell in enumerate(line):
                if cell != " ":
                    rows[top + down][left + across] = " "
        left += len(picture[0])
    rest = {cell for row in rows for cell in row}
    return said if rest <= {" ", "·"} else None


def _find(rows, word, top, left, size):
    """(left, size, picture) of a word whose letters begin in row `top`."""
    for height in (4, 3, 2, 1, 0, PLAIN) if size is None else (size,):
        picture = word_picture(word, height)
        if picture is None or top + len(picture) > len(rows):
            continue
        band = rows[top : top + len(picture)]
        start = left
        while start < len(rows[0]) and all(row[start] in " ·" for row in band):
            start += 1
        # A letter may begin with less than its whole height.
        for at in range(start, max(left, start - 3) - 1, -1):
            cells = ["".join(row[at : at + len(picture[0])]) for row in band]
            if cells == [line.ljust(len(picture[0])) for line in picture]:
                return at, height, picture
    return None


def worked_as_told(step, row):
    """Whether the stretches, brackets opened, are the row's operations by standard words."""
    wanted = {}
    for operation in step.operations:
        if operation.stitch in STANDARD:
            key = STANDARD[operation.stitch]
            wanted[key] = wanted.get(key, 0) + operation.times
    told, inside = {}, {}
    for number, one in enumerate(row):
        words = one.strip("()").split()
        if words[-1] == "times":
            for key, count in inside.items():
                told[key] = told.get(key, 0) + count * (int(words[0]) - 1)
            inside = {}
            continue
        if one.startswith("("):
            inside = {}
        count = int(words[-1]) if words[-1].isdigit() else 1
        name = f"{words[0]} tbl" if "tbl" in words else words[0]  # another stitch
        # Two markers placed in one go are one thing to do.
        told[name] = told.get(name, 0) + count
        inside[name] = inside.get(name, 0) + count
        if number + 1 < len(row) and one.endswith(")") and "times" not in row[number + 1]:
            inside = {}
    markers = {"pm", "rm"}
    return all(told.get(key, 0) == n for key, n in wanted.items() if key not in markers) and all(
        key in told for key in markers & set(wanted)
    )


async def test_every_operation_of_every_step_is_read_off_the_big_lines_at_every_size(app_of):
    rooms = await _rooms(app_of())
    seen, set_before, lost, turned = 0, {}, [], 0
    large, tried, others = dict.fromkeys(SIZES, 0), dict.fromkeys(SIZES, 0), cycle(SIZES[1:])
    for plan, step in steps():
        lines, craft = big(step, plan.craft), plan.craft
        shorts = [one.short for one in lines.row]
        # A row taken whole ("the last 3 of all") may be told by its end alone.
        if step.kind in {Kind.ROW, Kind.ROUND}:
            assert worked_as_told(step, shorts), (plan.title, step.number, shorts)
        before, after = " ".join(lines.before).split(), " ".join(lines.after).split()
        ways = [" ".join(one.words for one in lines.row).split(), " ".join(shorts).split()]
        for size in SIZES if times(1) > 1 else (SIZES[0], next(others)):
            width, across, both = rooms[size, dressed(step, craft, size)]
            told = row_words.sentence(step, craft, Unit.CM, size[1])
            first, *more = row_words.pages(step, craft, told, size)
            turned += bool(more)
            assert " ".join((first, *more)).split() == told.split()
            height = both - Content(first).get_height({}, across)
            key = (lines, width, height)
            if key not in set_before:
                content = arrange(lines.row, width, height, lines.before, lines.after)
                found = any(read_back(content, [*before, *row, *after]) for row in ways)
                fits = content.plain.count("\n") < max(1, height)
                set_before[key] = (content, found, fits)
                seen += 1
            content, found, fits = set_before[key]
            if not (found and fits and max(map(len, content.plain.split("\n"))) <= width):
                where = f"{plan.title}, step {step.number} at {size}, {height} rows"
                lost.append(f"{where}, {lines}:\n{content.plain}")
            tried[size] += 1
            large[size] += any(sign in content.plain for sign in "█▀▄")
    assert not lost, "\n".join([f"{len(lost)} of {seen}", *lost[:5]])
    assert 0 < turned < seen / 100  # an instruction in pages is the exception
    assert seen >= 1500
    shares = {size: large[size] / tried[size] for size in SIZES}
    assert all(shares[size] >= _LEAST_LARGE[size[0]] for size in SIZES), shares


@pytest.mark.parametrize("lost", range(4))
def test_a_word_that_is_not_set_is_missed(lost):
    """The reading itself: without one of its words a row is not read as whole."""
    words = ["knit", "12", "decrease", "1"]
    kept = [word for place, word in enumerate(words) if place != lost]
    for width, height in ((60, 8), (150, 20), (20, 3)):
        said = " ".join(kept)
        content = arrange((Headline(words=said, short=said),), width, height)
        assert read_back(content, kept)
        assert not read_back(content, words)
        assert not read_back(content, kept[:-1])

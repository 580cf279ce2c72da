"""Every kind of word that an evening needs, said once through the stream in the midst of a make.

Each came of something seen: deaf while it speaks, two words in one breath, a sign that a refusal
wiped out, pages and dialogs that only keys opened. What must come of each is checked here, in the
app's own state; `tests.whole.spoken --seen` prints the transcript.
"""

from counter.shared.settings import Readback

LONG = (
    "You are in the first round of many. There is a good deal of yarn left in the ball, and the "
    "piece is to be as wide as a wide hat. After this one comes another round, and then one more."
)


_KNOWN_AGAIN = 3
"""A busy machine loses sound of ours, and the way must be found again: then it is tried anew."""


async def into_our_voice(maker, rows_from):
    """A word into our own voice interrupts it, once it knows its way back: after two sentences."""
    maker.spoken_over = False
    for _ in range(_KNOWN_AGAIN):
        await maker.say("row done", rows_from(1), into=LONG)
        if maker.spoken_over:
            return
    raise AssertionError("the word waited for the end of the voice")


async def every_kind(maker):
    app = maker.app

    def state():
        return app.row_screen.work.state

    def rows_from(count):
        """Whether so many more are worked, or so many fewer; more where it was said again."""
        to = state().at + count
        return lambda: state().at >= to if count > 0 else state().at <= to

    def reads(readback):
        return lambda: app.settings.readback is readback

    await maker.say("read everything", reads(Readback.FULL))
    await maker.say("where am i", lambda: _heard(maker, "where"))
    if maker.aloud:
        await into_our_voice(maker, rows_from)

    # Words in one breath; and what moved keeps its sign beside what was asked.
    await maker.say("row done … row done", rows_from(2))
    moved = rows_from(1)
    await maker.say("row done … where am i", lambda: moved() and _heard(maker, "where"))
    assert " done" in maker.signs(), maker.signs()
    await maker.say("take back", rows_from(-1))
    await maker.say("be quiet", reads(Readback.OFF))
    await maker.say("read aloud", reads(Readback.FULL))
    await maker.say("be quiet", reads(Readback.OFF))
    count, at = len(app.row_screen.work.making.events), state().at
    tries = maker.tries
    await maker.say(
        "row done … no … take back",
        lambda: len(app.row_screen.work.making.events) >= count + 2 or asks(app),
    )
    # Done, or where only its end was understood asked; what was tried in vain before is told.
    if asks(app):
        await maker.say("yes", lambda: not asks(app))
    assert state().at == at or maker.tries > tries + 1, maker.signs()
    while state().at > at:
        await maker.say("take back", rows_from(-1))
    while state().at < at:
        await maker.say("row done", rows_from(1))
    # A break that a row ends is said to be over.
    await maker.say("take a break", lambda: state().paused)
    await maker.say("row done", rows_from(1))
    assert "the break is over" in maker.signs(), maker.signs()
    # Worked before she spoke; where a part ends among them, it is asked.
    done = rows_from(3)
    await maker.say("three rows done", lambda: done() or asks(app))
    if not done():
        await maker.say("yes", done)

    await pages(maker)
    await dialogs(maker)
    await balls_and_notes(maker)


def asks(app):
    """Whether a question is open."""
    return app.row_screen.work.making.talk.left(app.clock()) > 0


def _heard(maker, word):
    return any(word in heard.heard.split() for heard in maker.heard)


def _on(app, screen):
    return lambda: isinstance(app.screen, screen)


def _home(app):
    return lambda: app.screen is app.row_screen


async def pages(maker):
    """Every page by word; one straight from another; the shelf, and back from it by number."""
    from counter.tui.screens.help import HelpScreen
    from counter.tui.screens.journal import JournalScreen
    from counter.tui.screens.piece import PieceScreen
    from counter.tui.screens.shelf import Shelf

    app = maker.app
    await maker.say("show the journal", _on(app, JournalScreen))
    await maker.say("show the piece", _on(app, PieceScreen))
    await maker.say("close the page", _home(app))
    await maker.say("help", _on(app, HelpScreen))
    page = app.screen.query_one("#page")
    await maker.say("further", lambda: page.scroll_offset.y > 0)
    await maker.say("earlier", lambda: page.scroll_offset.y == 0)
    name = app.row_screen.work.name
    await maker.say("show the shelf", _on(app, Shelf))
    await maker.say("go on with it", _home(app))
    assert app.row_screen.work.name == name


async def dialogs(maker):
    """A phrase without its number asks for it, and says why one does not fit."""
    from counter.tui.screens.ask import Ask

    app = maker.app

    at = app.row_screen.work.state.at
    await maker.say("rip back", _on(app, Ask))
    why = app.screen.query_one("#ask-trouble")
    await maker.say("ninety", lambda: why.display)
    assert isinstance(app.screen, Ask), "the dialog is gone"
    await maker.say("one", lambda: asks(app))
    await maker.say("no", lambda: not asks(app))
    await maker.say("measured", _on(app, Ask))
    await maker.say("no", _home(app))
    assert app.row_screen.work.state.at == at


async def balls_and_notes(maker):
    from counter.tui.screens.spoken_note import SpokenNote

    app = maker.app

    def events():
        return app.row_screen.work.making.events

    # The attention word is answered.
    await maker.say("listen now", lambda: any("listens" in answer for answer in maker.answers))

    count = len(events())
    await maker.say("new ball", lambda: len(events()) > count)

    # A note is kept, and nothing of it is a command.
    at, count = app.row_screen.work.state.at, len(events())
    await maker.say("take a note", _on(app, SpokenNote))
    await maker.speak("the row is done and the left side is a little tight")
    await maker.until(_home(app))
    await maker.until(lambda: len(events()) > count)
    assert events()[-1].kind == "note"
    assert app.row_screen.work.state.at == at
    await maker.say("play the note", lambda: "Your note of" in maker.signs() or not maker.aloud)

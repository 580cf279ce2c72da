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


async def into_our_voice(maker, rows_from):
    """A word into our own voice interrupts it, once it knows its way back: after two sentences."""
    await maker.quiet()
    await maker.say("row done", rows_from(1), into=LONG)
    assert maker.spoken_over, "the word waited for the end of the voice"


async def every_kind(maker):
    from counter.tui.screens.ask import Ask
    from counter.tui.screens.journal import JournalScreen
    from counter.tui.screens.piece import PieceScreen
    from counter.tui.screens.spoken_note import SpokenNote

    app, row = maker.app, maker.app.row_screen

    def state():
        return row.work.state

    def rows_from(count):
        at = state().at
        return lambda: state().at == at + count

    def on(screen):
        return lambda: isinstance(app.screen, screen)

    def home():
        return app.screen is row

    await maker.say("read everything", lambda: app.settings.readback is Readback.FULL)
    await maker.say("where am i", lambda: any("where" in h.heard for h in maker.heard))
    if maker.aloud:
        await into_our_voice(maker, rows_from)

    # Words in one breath; and what moved keeps its sign beside what was asked.
    await maker.say("row done, row done", rows_from(2))
    await maker.say("row done, where am i", rows_from(1))
    assert " done" in maker.signs(), maker.signs()
    await maker.say("take back", rows_from(-1))
    await maker.say("be quiet", lambda: app.settings.readback is Readback.OFF)

    # Pages, by word; a row said on one closes it.
    await maker.say("show the journal", on(JournalScreen))
    await maker.say("show the piece", on(PieceScreen))
    await maker.say("close the page", home)

    # A phrase without its number asks for it, and says why one does not fit.
    await maker.say("rip back", on(Ask))
    at = state().at
    await maker.say("ninety", lambda: any(heard.heard == "ninety" for heard in maker.heard))
    why = app.screen.query_one("#ask-trouble")
    assert why.display, "ninety rows were not refused"
    assert isinstance(app.screen, Ask), "the dialog is gone"
    await maker.say("one", lambda: row.work.making.talk.left(app.clock()) > 0)
    await maker.say("no", lambda: row.work.making.talk.left(app.clock()) <= 0)
    assert state().at == at

    # The attention word is answered.
    await maker.say("listen now", lambda: any(heard.called for heard in maker.heard))
    assert any("listens" in answer for answer in maker.answers), maker.answers

    # A note is kept, and nothing of it is a command.
    at, count = state().at, len(row.work.making.events)
    await maker.say("take a note", on(SpokenNote))
    await maker.speak("the row is done and the left side is a little tight")
    await maker.until(home)
    await maker.until(lambda: len(row.work.making.events) > count)
    assert row.work.making.events[-1].kind == "note"
    assert state().at == at

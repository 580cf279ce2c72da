"""Spoken notes without a screen: what was said is kept, and played again."""

import time
from datetime import datetime

from counter.shared.work import Work
from counter.sound.listening import EarsNote
from counter.sound.voice import Voice
from engine.base.refusal import Refusal
from engine.keep.notes import RATE
from engine.make.decisions.replies import refused
from models.state import Reply, Tone

BEGUN = Reply(taken=True, say="Speak; a little quiet ends it.", tone=Tone.LISTENS)


def kept(work: Work, note: EarsNote) -> Reply:
    """What became of it."""
    if not note.sound:
        return refused("Nothing was said: no note is kept.")
    return work.keep_note(note.sound, time.time())


def played(work: Work, voice: Voice | None) -> Reply:
    """Her last spoken note."""
    try:
        sound, event = work.note()
    except Refusal as refusal:
        return refused(str(refusal))
    if voice is None or not voice.play(sound, RATE):
        return refused("There is no loudspeaker to play the note with.")
    when = datetime.fromtimestamp(event.at)
    told = f"Your note of {when:%d %B, %H:%M}, {event.seconds:.0f} s."
    return Reply(taken=True, say=told, tone=Tone.ANSWER)

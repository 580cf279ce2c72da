"""Ears that open in their own thread, for whoever has a microphone to listen with."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from counter.sound.listening import Ears, Recording
from counter.sound.microphone import Microphone

if TYPE_CHECKING:
    from counter.sound.voice import Voice
    from engine.ears.decoding import Cleaner, Decoder
    from engine.ears.fluency import Fluency


def ears_from(
    voices: Path, model: Path | None, microphone: str | None, play: Path | None, voice: Voice
) -> Ears:
    """Ears with the voice models in `voices`, or the one in the folder `model`.

    They hear `microphone`, or the recording `play` at the pace of speech. What they lack they say
    in their thread.
    """

    def find(language: str) -> Fluency:
        from engine.ears.fluency import model_for

        return model_for(language, voices, model)

    def read(found: Fluency) -> Decoder:
        from engine.ears.trial import open_recogniser

        return open_recogniser(found.folder, found.language, voices)

    def clean(found: Fluency) -> Cleaner | None:
        from engine.ears.denoise import cleaner_for

        return cleaner_for(found.folder)

    source = Recording(play) if play is not None else Microphone(microphone, voice.around)
    return Ears(source, find, read, clean)

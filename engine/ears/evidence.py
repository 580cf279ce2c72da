"""What is known of one utterance when it is decided."""

from __future__ import annotations

from engine.ears.fit import Fit
from engine.words.phrases import Reading
from models.frozen import Frozen
from models.text import Words


class Evidence(Frozen):
    """One utterance, measured. Times in seconds, loudness in dB of full scale."""

    text: Words
    confidence: float
    reading: Reading
    agreed: bool
    """The recogniser's running answer equalled its last one."""
    quiet_before_s: float
    """Quiet between the last voice heard and this utterance."""
    talk_s: float = 0.0
    """Seconds of talk that was no command and went before, as far as it is remembered."""
    again: bool = False
    """It is a part of what was heard, and was heard again by itself."""
    passed_over: int = 0
    """Command words in the rest of that, which made no sense."""
    phones: int
    """How many phones the text has."""
    voiced_s: float
    """From the first voiced frame to the last."""
    hurried_s: float | None = None
    """Time per phone of the quickest word; None where the recogniser gives no times."""
    level_db: float
    room_db: float
    room_spread_db: float
    rises_db: float = 0.0
    """How far it rises over the moments before it."""
    falls_db: float = 0.0
    """How far the sound falls at its end."""
    background_db: float = -120.0
    """What the loudness of what is not near goes up to."""
    fit: Fit | None = None
    """How well the phones fit, where the voice model tells."""
    unlike: float | None = None
    """How much likelier it is than with one of its words replaced by what sounds like that, natural
    logarithm; None where the voice model does not tell."""
    rival: float | None = None
    """How much likelier its numbers are than any other in their place, natural logarithm."""
    own_phone_s: float | None = None
    """How long a phone of this maker's taken commands lasts; None until there are enough."""
    own_level_db: float | None = None
    """How loud this maker's taken commands were; None until there are enough."""
    hers: float | None = None
    """How much likelier it was her voice than another's, natural logarithm; None where hers is not
    asked for, or not known yet."""
    answered: bool = False
    """The same sound was heard as something else before, and she was told that it was refused."""
    tried: bool = False
    """The same phrase was refused as doubtful a moment ago."""
    called: bool = True
    """The attention word went before, or none is asked for."""

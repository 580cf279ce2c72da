"""The recipe of the student voice model: a small TDNN that learnt from the CMU mixtures.

Not in the wheel. The teacher (`engine.ears.forge`) labels clean speech; the student learns the
same senones from the same speech with noise, echo, talk, gain and band limits added. No transcript
is needed, so language does not matter. One command per stage:

    python -m engine.ears.student gather WORK     speech from Debian packages and synthesis
    python -m engine.ears.student train WORK      a network (minutes on an accelerator)
    python -m engine.ears.student export WORK DIR a Vosk model folder with the starter's graph

Speakers are parted into train, tune and report before anything else (`speech.SOURCES`); the
voices that the hearing bench reports on are in none of them.
"""

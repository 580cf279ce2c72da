"""The recipe of the student voice model: a small TDNN that learnt from the CMU mixtures.

Not in the wheel; what it learnt ships. The teacher (`engine.forge`) labels clean speech; the
student learns the same senones from the same speech with noise, echo, talk, gain and band limits
added. No transcript is needed, so language does not matter; synthetic speech, whose words are
known, is labelled along them. One command per stage:

    python -m engine.forge.student gather WORK     speech from Debian packages and synthesis
    python -m engine.forge.student read WORK       by natural voices (hours, or many cores)
    python -m engine.forge.student train WORK      a network (minutes on an accelerator)
    python -m engine.forge.student export WORK     its layers into the forge (`learnt.npz`)
    python -m engine.forge                   the starter voice model with them

Speakers are parted into train, tune and report before anything else (`speech.SOURCES`); the
voices that the hearing bench reports on are in none of them.
"""

"""Sound in and out, without Textual: the microphone, the ears' thread, tones and the voice.

Doors: `listening.Ears` hears, `voice.Voice` answers.
"""

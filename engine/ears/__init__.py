"""The ears: from sound to a command, offline.

`gate` opens on a voice, `recogniser` says the words, `guard` lets them through or not. They know
the words and nothing of a make. Door: `listener.Listener`.
"""

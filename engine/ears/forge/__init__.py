"""The forge: makes the starter voice model from the CMU en-us model and the one table of phrases.

A diagonal Gaussian mixture is an affine map of (x, x²), a softmax and a weighted sum, so the CMU
model can be written as a Kaldi nnet3 network that Vosk loads like any other. The forge is no part
of the installed program; `python -m engine.ears.forge` needs the `forge` extra.
"""

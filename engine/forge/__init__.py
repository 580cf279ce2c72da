"""The forge: makes the starter voice model from a network and the one table of phrases.

The network that ships (`tdnn`) learnt its senones from the CMU en-us model. That teacher can be
built, too: a diagonal Gaussian mixture is an affine map of (x, x²), a softmax and a weighted sum,
so it can be written as a Kaldi nnet3 network that Vosk loads like any other. The forge is no part
of the installed program; `python -m engine.forge` needs the `forge` extra.
"""

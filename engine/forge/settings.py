"""What the model's configuration files say, and the mean that it starts from."""

from engine.forge.network import CEPSTRA

MFCC_OPTIONS = {
    "sample-frequency": "16000",
    "frame-length": "25.625",
    "frame-shift": "10",
    "window-type": "hamming",
    "preemphasis-coefficient": "0.97",
    "remove-dc-offset": "false",
    "dither": "1.0",
    "snip-edges": "true",
    "use-energy": "false",
    "num-mel-bins": "25",
    "low-freq": "130",
    "high-freq": "6800",
    "num-ceps": str(CEPSTRA),
    "cepstral-lifter": "22",
}
"""The original's front end (its feat.params) in Kaldi's words."""

DECODER_OPTIONS = {
    "min-active": "200",
    "max-active": "2000",
    "beam": "14.0",
    "lattice-beam": "6.0",
    "frame-subsampling-factor": "1",
    "frames-per-chunk": "10",
    # The gate in front decides where an utterance ends, so Vosk's own end-pointer never does.
    "endpoint.rule1.min-trailing-silence": "60",
    "endpoint.rule2.min-trailing-silence": "60",
    "endpoint.rule3.min-trailing-silence": "60",
    "endpoint.rule4.min-trailing-silence": "60",
    "endpoint.rule5.min-utterance-length": "600",
}

PRIOR_MEAN = (68.4, -12.6, 0.1, 3.5, 2.5, -5.2, -1.7, -2.8, -5.3, -2.7, -6.4, -1.7, 1.1)
"""The cepstral mean to begin with: the one CMU gives for a live start (41.00 -5.29 -0.12 5.09 2.48
-4.07 -1.37 -1.78 -5.08 -2.05 -6.45 -1.42 1.17; from memory), less the constant by which the two
front ends differ. No voice of ours is in it."""
PRIOR_FRAMES = 1000

"""The layers of the shipped network computed with numpy, apart from PyTorch and from Vosk."""

import kaldi_native_fbank as fbank
import numpy as np

from engine.ears.matrices import Reader
from engine.forge.tdnn import FRONT_END, OFFSETS


def computed(layers, frames):
    """Scores (T - reach, outputs) of cepstra (T, C); no frame is added at the ends."""
    *hidden, neck, output = layers
    x = np.asarray(frames, float)
    for offsets, (weights, bias) in zip(OFFSETS, hidden, strict=True):
        low, high = min(offsets), max(offsets)
        length = len(x) - (high - low)
        joined = np.concatenate([x[o - low : o - low + length] for o in offsets], 1)
        x = np.maximum(joined @ weights.T + bias, 0)
    for weights, bias in (neck, output):
        x = x @ weights.T + bias
    return x


def stored(path):
    """The affine layers as a model file has them."""
    reader = Reader(path.read_bytes())
    reader.seek("<NumComponents>")
    found = []
    for number in range(len(OFFSETS) + 2):
        reader.seek(f"affine{number}")
        reader.seek("<LinearParams>")
        weights = reader.matrix()
        reader.seek("<BiasParams>")
        found.append((weights, reader.vector()))
    return found


def kaldi_cepstra(sound, settings=FRONT_END):
    """The cepstra that Vosk computes, by the same code in a package of its own."""
    options = fbank.MfccOptions()
    frame, mel = options.frame_opts, options.mel_opts
    frame.samp_freq = float(settings["sample-frequency"])
    frame.frame_length_ms = float(settings["frame-length"])
    frame.window_type = settings["window-type"]
    frame.preemph_coeff = float(settings["preemphasis-coefficient"])
    frame.remove_dc_offset = settings["remove-dc-offset"] == "true"
    frame.snip_edges = settings["snip-edges"] == "true"
    frame.dither = 0
    mel.num_bins = int(settings["num-mel-bins"])
    mel.low_freq, mel.high_freq = float(settings["low-freq"]), float(settings["high-freq"])
    options.num_ceps = int(settings["num-ceps"])
    options.cepstral_lifter = float(settings["cepstral-lifter"])
    options.use_energy = settings["use-energy"] == "true"
    computer = fbank.OnlineMfcc(options)
    computer.accept_waveform(frame.samp_freq, sound.astype(np.float32).tolist())
    computer.input_finished()
    return np.array([computer.get_frame(i) for i in range(computer.num_frames_ready)])

"""The shipped network read back from its file and computed with numpy, apart from Vosk."""

import numpy as np

from engine.ears.matrices import Reader
from engine.forge.network import CEPSTRA, CONTEXT, STREAMS

LEAST_POSTERIOR = 1e-20
LEAST_LOG = -22.87
"""The floors of Kaldi's SoftmaxComponent and NormalizeComponent."""


class Network:
    """Scores of every output for cepstra of any number of frames."""

    def __init__(self, path):
        reader = Reader(path.read_bytes())
        reader.seek("<NumComponents>")
        self.affine = {}
        for name in ["feature", *(f"density{stream}" for stream in range(STREAMS))]:
            self.affine[name] = self._affine(reader, name)
        self.mixtures = []
        for stream in range(STREAMS):
            reader.seek(f"mixture{stream}")
            reader.seek("<NumBlocks>")
            blocks = reader.int32()
            weights, _ = self._parameters(reader)
            self.mixtures.append(weights.reshape(blocks, -1, weights.shape[1]))
        reader.seek("<ColumnMap>")
        self.columns = reader.int_vector()

    def _affine(self, reader, name):
        reader.seek(name)
        return self._parameters(reader)

    def _parameters(self, reader):
        reader.seek("<LinearParams>")
        weights = reader.matrix()
        reader.seek("<BiasParams>")
        return weights, reader.vector()

    def scores(self, cepstra, outputs):
        """(frames, outputs) log likelihoods, each frame but for a constant."""
        frames = len(cepstra)
        padded = np.pad(cepstra, ((CONTEXT, CONTEXT), (0, 0)), mode="edge")
        spliced = np.concatenate([padded[i : i + frames] for i in range(2 * CONTEXT + 1)], 1)
        weights, bias = self.affine["feature"]
        features = spliced @ weights.T + bias
        total = 0
        for stream in range(STREAMS):
            part = features[:, stream * CEPSTRA : (stream + 1) * CEPSTRA]
            weights, bias = self.affine[f"density{stream}"]
            density = np.concatenate([part, part**2], 1) @ weights.T + bias
            posterior = np.exp(density - density.max(1, keepdims=True))
            posterior = np.maximum(posterior / posterior.sum(1, keepdims=True), LEAST_POSTERIOR)
            mixing = self.mixtures[stream]
            blocks = posterior.reshape(frames, len(mixing), -1)
            mixed = np.einsum("tbk,bjk->tbj", blocks, mixing).reshape(frames, -1)
            total = total + np.maximum(np.log(mixed), LEAST_LOG)
        return total[:, (self.columns[:outputs] - 1) // 2]

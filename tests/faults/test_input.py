"""Bad input: command lines, settings, recordings. One sentence, exit 2, nothing changed.

Exports and archives have their own: tests/keep, tests/ears.
"""

import io
import struct
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from counter.commandline import BAD_INPUT, main
from counter.shared.settings import Settings, load
from engine.base.refusal import Refusal
from engine.ears import wav
from engine.keep.store import Store
from tests.keep.conftest import a_plan
from tests.times import times

IN_PROCESS = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]

# --- command lines ---------------------------------------------------------------------------

ODD = st.one_of(
    st.sampled_from(
        [
            "", " ", "-", "--", "-1", "0", "nan", "-inf", "1e999", "1e-999", "9" * 400, "0x10",
            "1,5", "½", "5 x", "x 5", "0 x 0", "5 x nan", "1e9 x 1e9", "5 x 3.75 / 0cm",
            "20 x 26 / 4parsec", "../../etc/passwd", "/dev/null", "/dev/full", "\udcff", "\0",
            "a\nb", "M", "5X", "XXXXL", "throw", "cardigan", "M; rm -rf /", "%s%n", "{0}",
            "\x1b[2J", "毛衣",
        ]
    ),
    st.text(max_size=30),
    st.floats().map(str),
    st.integers(-(10**20), 10**20).map(str),
)  # fmt: skip
COMMANDS = st.sampled_from(
    ["rows", "words", "hear", "log", "export", "import", "verify", "voices", "licences", "size",
     "gauge", "yarn", "pickup", "repair", "chart", "sheet", "picture", "write", "check", "start",
     "nonsense", "app", "plain"]
)  # fmt: skip
OPTIONS = st.sampled_from(
    ["--size", "--gauge", "--bust", "--ease", "--ball", "--scale", "--unit", "--craft", "--hand",
     "--json", "--make", "--name", "--model", "--language", "--sensitivity", "--overwrite", "-o",
     "--schema", "--title", "--width", "--help"]
)  # fmt: skip


@settings(max_examples=times(60), deadline=None, suppress_health_check=IN_PROCESS)
@given(COMMANDS, st.lists(st.one_of(ODD, ODD, OPTIONS), max_size=5))
@example("rows", ["throw", "--gauge", "100 x 150", "--width", "400"])
@example("rows", ["cardigan", "--bust", "-98"])
def test_any_command_line_ends_in_a_sentence(
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    command: str,
    rest: list[str],
) -> None:
    data = tmp_path / "data"
    if not data.exists():
        with Store(data / "makes.db") as store:
            store.create("throw", a_plan())
    (tmp_path / "here").mkdir(exist_ok=True)
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"")))
    try:
        code = main(["--data", str(data), command, *rest])
    except SystemExit as end:
        code = end.code  # argparse's own way out
    out, err = capfd.readouterr()
    assert code in (0, 1, BAD_INPUT), (code, err)
    assert "Traceback" not in out + err
    if code == BAD_INPUT:
        assert err.strip()
        assert len(err.strip().splitlines()) == 1, err
    with Store(data / "makes.db") as store:
        assert store.load("throw")[1] == []


# --- settings ----------------------------------------------------------------------------------


@settings(max_examples=times(60), deadline=None, suppress_health_check=IN_PROCESS)
@given(
    st.one_of(
        st.binary(max_size=200),
        st.text(max_size=80).map(lambda text: text.encode("utf-8", "replace")),
        st.dictionaries(
            st.sampled_from(["unit", "readback", "look", "large", "reminder_minutes", "zzz"]),
            st.one_of(st.none(), st.integers(), st.floats(), st.text(max_size=5)),
        ).map(lambda table: repr(table).replace("'", '"').encode("utf-8", "replace")),
    )
)
@example(b"[" * 100_000)
@example(b'{"reminder_minutes": 1' + b"0" * 5000 + b"}")
def test_any_settings_file_costs_the_settings_and_never_the_start(
    tmp_path: Path, content: bytes
) -> None:
    path = tmp_path / "settings.json"
    path.write_bytes(content)
    found, told = load(path)
    assert isinstance(found, Settings)
    assert "\n" not in told.strip()
    assert path.read_bytes() == content, "left as it is"


def test_a_huge_settings_file_is_not_swallowed(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    with path.open("wb") as file:
        file.truncate(4 * 2**30)  # sparse
    found, told = load(path)
    assert found == Settings()
    assert told


# --- recordings --------------------------------------------------------------------------------


def recording(rate: int = 16_000, channels: int = 1, seconds: float = 0.5) -> bytes:
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        tone = np.sin(np.arange(int(rate * seconds)) / 10) * 9000
        file.writeframes(np.repeat(tone.astype("<i2"), channels).tobytes())
    return buffer.getvalue()


GOOD = recording()


def heard(path: Path) -> int:
    """Samples read; bounded, since what is read is dropped."""
    return sum(len(block) // 2 for block in wav.blocks(path))


@settings(max_examples=times(100), deadline=None, suppress_health_check=IN_PROCESS)
@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(0, 255)), max_size=6), st.integers(0, 16044)
)
def test_any_damage_to_a_recording_is_a_sentence_or_sound(
    tmp_path: Path, changes: list[tuple[int, int]], length: int
) -> None:
    content = bytearray(GOOD)
    for at, value in changes:
        content[at] = value
    path = tmp_path / "sound.wav"
    path.write_bytes(content[: length or len(content)])
    try:
        samples = heard(path)
    except Refusal as refusal:
        samples, told = 0, str(refusal)
        assert_sentence = "\n" not in told and str(path) in told
    else:
        assert_sentence = True
    assert assert_sentence
    assert samples <= 16_000 * 20


@pytest.mark.parametrize(
    ("rate", "channels"), [(8_000, 1), (44_100, 2), (48_000, 1), (96_000, 6), (11_025, 2)]
)
def test_other_rates_and_channels_are_made_to_fit(rate: int, channels: int, tmp_path: Path) -> None:
    path = tmp_path / "sound.wav"
    path.write_bytes(recording(rate, channels, 1.0))
    assert abs(heard(path) - 16_000) < 200


@pytest.mark.parametrize("kind", ["FLOAT", "DOUBLE", "PCM_24", "PCM_U8", "ULAW"])
def test_other_number_formats_are_made_to_fit(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "sound.wav"
    soundfile.write(path, np.full(16_000, 0.25), 16_000, subtype=kind)
    assert abs(heard(path) - 16_000) < 200


def test_a_recording_of_a_thousand_hours_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "sound.wav"
    size = 2**32 - 100
    head = GOOD[:40].replace(GOOD[4:8], struct.pack("<I", size + 36)) + struct.pack("<I", size)
    with path.open("wb") as file:
        file.write(head)
        file.truncate(size)  # sparse: 37 hours
    with pytest.raises(Refusal, match="longer than 4 hours"):
        heard(path)


@pytest.mark.parametrize(
    "content", [b"", b"RIFF", GOOD[:44], b"\0" * 5000, b"ID3" + bytes(500), b"<html>" * 50]
)
def test_what_is_no_recording_is_exit_2(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "sound.wav"
    path.write_bytes(content)
    assert main(["hear", str(path)]) == 2
    (told,) = capsys.readouterr().err.splitlines()
    assert str(path) in told

"""Which voice model hears a language: told by the words that it knows."""

import json
from pathlib import Path

import pytest
import soundfile

from counter.commandline import main
from counter.shared.recordings import demo_recording
from engine.base.refusal import Refusal
from engine.ears import fluency, voices
from engine.ears.fluency import model_for
from engine.ears.recogniser import ModelError, starter_dir
from engine.words.grammar import vocabulary
from tests.ears.languages import korean_model, needs_espeak
from tests.recording import RATE, room, spoken


def model(data: Path, name: str, words: frozenset[str]) -> Path:
    """A model folder that knows these words; it looks like one from outside."""
    folder = voices.voices_folder(data) / name
    for needed in voices.NEEDED:
        (folder / needed).parent.mkdir(parents=True, exist_ok=True)
        (folder / needed).write_text("")
    (folder / "graph").mkdir()
    lines = [f"{word} {number}" for number, word in enumerate(["<eps>", *sorted(words)])]
    (folder / "graph" / "words.txt").write_text("\n".join(lines), encoding="utf-8")
    return folder


def test_english_is_heard_with_the_starter_though_another_could(tmp_path: Path) -> None:
    model(tmp_path, "larger", vocabulary("en"))
    found = model_for("en", tmp_path)
    assert (found.folder, found.missing) == (starter_dir(), ())


def test_the_model_that_knows_most_of_the_words_hears_the_language(tmp_path: Path) -> None:
    model(tmp_path, "a-half", frozenset(sorted(vocabulary("de"))[::2]))
    best = model(tmp_path, "b-most", vocabulary("de") - {"reihe", "masche"})
    model(tmp_path, "c-fewer", vocabulary("de") - {"reihe", "masche", "fertig"})
    found = model_for("de", tmp_path)
    assert (found.folder, found.missing) == (best, ("masche", "reihe"))
    assert "does not know masche, reihe: what is said with them is not heard" in found.told
    assert fluency.spoken_by(best) == ["de"]


def test_where_no_model_speaks_it_one_sentence_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r"No voice model here speaks Français: put a Vosk model"):
        model_for("fr", tmp_path)


def test_a_model_that_is_given_must_speak_it(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="does not speak Español: give another with --model"):
        model_for("es", tmp_path, starter_dir())
    with pytest.raises(ModelError, match="word list"):
        model_for("es", tmp_path, tmp_path)


def test_a_damaged_model_does_not_stand_in_the_way_of_another(tmp_path: Path) -> None:
    broken = model(tmp_path, "a-broken", frozenset())
    (broken / "graph" / "words.txt").write_text("no numbers here")
    whole = model(tmp_path, "b-whole", vocabulary("es"))
    assert model_for("es", tmp_path).folder == whole
    with pytest.raises(ModelError, match="a-broken"):
        model_for("fr", tmp_path)  # it might have been the one


def test_a_package_of_korean_is_found_and_its_extra_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = korean_model()
    assert model_for("ko", tmp_path).folder == package
    assert fluency.spoken_by(package) == ["ko"]
    monkeypatch.setattr(voices, "packaged", list)
    with pytest.raises(Refusal, match=r"speaks 한국어: pip install 'spokenrow\[korean\]'"):
        model_for("ko", tmp_path)


def test_the_commands_refuse_a_language_that_nobody_here_speaks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = demo_recording()
    assert main(["--data", str(tmp_path), "hear", str(said), "--language", "fr"]) == 2
    assert capsys.readouterr().err.startswith("No voice model here speaks Français")
    (tmp_path / "settings.json").write_text('{"language": "fr"}')
    assert main(["--data", str(tmp_path), "hear", str(said)]) == 2
    assert capsys.readouterr().err.startswith("No voice model here speaks Français")


def test_the_demos_recording_is_heard_in_its_own_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--data", str(tmp_path), "demo", "--language", "ko"]) == 2
    assert "recording speaks English" in capsys.readouterr().err


def test_the_attention_word_of_the_settings_is_asked_for_and_a_flag_goes_before_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sound, rate = soundfile.read(demo_recording())
    said = tmp_path / "first-word.wav"
    soundfile.write(said, sound[: 5 * rate], rate)
    (tmp_path / "settings.json").write_text('{"attention": true}')

    def reasons(*command: str) -> set[str]:
        assert main(["--data", str(tmp_path), *command]) == 0
        return {line.split("”", 1)[1].strip() for line in capsys.readouterr().out.splitlines()}

    # No one says “listen now” in it.
    refused = reasons("hear", str(said))
    assert refused
    assert all("attention word" in reason for reason in refused)
    assert not any(
        "attention word" in reason for reason in reasons("hear", str(said), "--no-attention")
    )


@needs_espeak
@pytest.mark.system
def test_korean_words_move_a_make_by_the_language_of_the_settings(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    korean_model()
    quiet = [0.0] * (2 * RATE)
    sound = [*quiet, *spoken("지금 위치", "ko"), *quiet]
    noise = room(len(sound) / RATE)[: len(sound)]
    soundfile.write(tmp_path / "said.wav", noise + [0.6 * value for value in sound], RATE)
    (tmp_path / "settings.json").write_text('{"language": "ko"}')
    assert main(["--data", str(tmp_path), "hear", str(tmp_path / "said.wav"), "--json"]) == 0
    (line,) = map(json.loads, capsys.readouterr().out.splitlines())
    assert (line["heard"], line["command"], line["taken"]) == ("지금 위치", "where am i", True)


def test_doctor_looks_at_the_model_that_the_words_are_heard_with(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def told() -> str:
        assert main(["--data", str(tmp_path), "doctor"]) == 0
        return capsys.readouterr().out.splitlines()[-1]

    assert told() == "ok  voice model: the starter model loads and speaks English"
    (tmp_path / "settings.json").write_text('{"language": "fr"}')
    assert told().startswith("NO  voice model: No voice model here speaks Français")

import io
import lzma
import shutil
import struct
import subprocess
import tempfile
import wave

import numpy as np
import pytest
import soxr

from engine.ears.recogniser import ModelError, Recogniser, context_graph, missing_words, starter_dir
from engine.words.phrases import phrase_book
from models.command import Context
from tests.ears.languages import korean_model
from tests.times import times

BLOCK = 1600


def spoken(program, *arguments):
    """What a program says on its standard output, at 16 kHz with some quiet room around it."""
    if shutil.which(program) is None:
        pytest.skip(f"sudo apt-get install -y {program}")
    said = subprocess.run([program, *arguments], capture_output=True, check=True).stdout
    with wave.open(io.BytesIO(said)) as file:
        rate = file.getframerate()
    voice = np.frombuffer(said[44 : len(said) // 2 * 2], "<i2").astype(np.float32)
    voice = soxr.resample(voice, rate, 16_000) * (7000 / np.abs(voice).max())
    room = np.random.default_rng(0).normal(0, 10, len(voice) + 12_000)
    room[5000 : 5000 + len(voice)] += voice
    return room.astype("<i2")


def flite(text):
    return spoken("flite", "-voice", "slt", "-t", text, "-o", "/dev/stdout")


def hear(recogniser, sound, context=Context.ROW):
    recogniser.start(context)
    partials = [
        recogniser.feed(sound[place : place + BLOCK].tobytes())
        for place in range(0, len(sound), BLOCK)
    ]
    return recogniser.finish(), partials


@pytest.fixture(scope="module")
def starter():
    recogniser = Recogniser()
    yield recogniser
    recogniser.close()


@pytest.mark.system
@pytest.mark.parametrize(
    "text",
    [
        "row done",
        "take back",
        "dropped loop at forty two",
        "measured thirty one and a half",
        "too loose",
        "where am i",
        "stop listening",
    ],
)
def test_a_synthetic_voice_is_understood(starter, text):
    answer, partials = hear(starter, flite(text))
    assert answer.text == text
    assert answer.confidence > 0.5
    assert partials[-1] == text
    assert " ".join(word.word for word in answer.words) == text


@pytest.mark.system
@pytest.mark.parametrize(
    "text", ["hello there", "the kettle is boiling", "did you see the cat", "maybe"]
)
def test_other_speech_is_no_row_command(starter, text):
    """Unknown, or at worst a number that nobody asked for."""
    answer, _ = hear(starter, flite(text))
    assert phrase_book().read(answer.text, Context.ROW).command is None


@pytest.mark.system
def test_word_times_lie_inside_the_utterance(starter):
    """Also after other utterances on the same recogniser."""
    sound = flite("row done")
    for _ in range(2):
        first, last = hear(starter, sound)[0].words
        assert 0.2 < first.start_s < first.end_s <= last.start_s < last.end_s
        assert last.end_s < len(sound) / 16_000


@pytest.mark.system
def test_an_utterance_begun_anew_forgets_the_one_before(starter):
    sound = flite("row done")
    starter.start(Context.ROW)
    starter.feed(sound[:12_000].tobytes())
    assert hear(starter, flite("too loose"))[0].text == "too loose"


@pytest.mark.system
@pytest.mark.parametrize(
    ("text", "asked"), [("yes", Context.YES_NO), ("no", Context.YES_NO), ("seven", Context.NUMBER)]
)
def test_an_answer_is_surer_where_it_is_asked_for(starter, text, asked):
    """In loud noise, over many noises: heard as often or more, and surer in all."""
    voice = flite(text)
    found = {asked: [], Context.ROW: []}
    for seed in range(times(6)):
        noise = np.random.default_rng(seed).normal(0, 1500, len(voice))
        sound = np.clip(voice + noise, -32768, 32767).astype("<i2")
        for context, answers in found.items():
            answer, _ = hear(starter, sound, context)
            answers.append((answer.text == text, answer.confidence))
    heard = {context: sum(right for right, _ in answers) for context, answers in found.items()}
    sure = {c: sum(conf for right, conf in answers if right) for c, answers in found.items()}
    assert heard[asked] >= heard[Context.ROW]
    assert sure[asked] > sure[Context.ROW] + 0.1  # the decoder's dither moves it by 0.01


@pytest.mark.system
@pytest.mark.parametrize("context", list(Context))
def test_every_phrase_is_heard_whatever_is_asked(starter, context):
    """She may well say the doubted phrase again instead of yes."""
    for text in ("dropped loop at forty two", "row done", "measured thirty one and a half"):
        assert hear(starter, flite(text), context)[0].text == text


def test_silence_is_no_word(starter):
    room = np.random.default_rng(1).normal(0, 10, 16_000).astype("<i2")
    assert hear(starter, room)[0].text in ("", "[unk]")


def test_nothing_fed_is_nothing_heard(starter):
    starter.start(Context.ROW)
    assert starter.finish().text == ""


def test_the_calls_have_an_order():
    recogniser = Recogniser()
    with pytest.raises(RuntimeError):
        recogniser.feed(b"")
    recogniser.close()
    with pytest.raises(RuntimeError):
        recogniser.start(Context.ROW)


def test_a_folder_that_is_no_model_is_said_in_one_sentence(tmp_path):
    with pytest.raises(ModelError, match=r"^No voice model in .*words\.txt is missing; .*\.$"):
        Recogniser(tmp_path)


def test_a_model_that_lacks_a_file_says_which(tmp_path):
    shutil.copytree(starter_dir(), tmp_path / "model")
    (tmp_path / "model" / "am" / "final.mdl").unlink()
    with pytest.raises(ModelError, match=r"am/final\.mdl"):
        Recogniser(tmp_path / "model")


def test_a_graph_of_a_context_that_is_none_is_said(tmp_path):
    folder = tmp_path / "model"
    shutil.copytree(starter_dir(), folder)
    graph = context_graph(folder, Context.NUMBER)
    graph.write_bytes(lzma.compress(b"no graph at all"))
    with pytest.raises(ModelError, match=r"does not load; unpack it again\.$"):
        Recogniser(folder)
    graph.write_bytes(b"not packed either")
    with pytest.raises(ModelError, match=r"damaged: a graph .* cannot be unpacked; unpack the"):
        Recogniser(folder)


def test_where_a_graph_cannot_be_laid_out_it_is_said(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    with pytest.raises(ModelError, match=r"temporary folder \(No such file.*\): make room there"):
        Recogniser()


def test_a_model_with_one_graph_needs_no_other(tmp_path):
    folder = tmp_path / "model"
    shutil.copytree(starter_dir(), folder)
    shutil.rmtree(folder / "contexts")
    recogniser = Recogniser(folder)
    for context in Context:
        recogniser.start(context)
        assert recogniser.finish().text == ""
    recogniser.close()


def test_a_word_list_that_is_none_is_said(tmp_path):
    (tmp_path / "graph").mkdir()
    (tmp_path / "graph" / "words.txt").write_text("row\n", encoding="utf-8")
    with pytest.raises(ModelError, match=r"words\.txt is not a word list"):
        missing_words(tmp_path)


def test_words_that_a_model_lacks_are_named(tmp_path):
    shutil.copytree(starter_dir() / "graph", tmp_path / "graph")
    path = tmp_path / "graph" / "words.txt"
    kept = [line for line in path.read_text().splitlines() if not line.startswith("loose ")]
    path.write_text("\n".join(kept) + "\n")
    assert missing_words(tmp_path) == ["loose"]


@pytest.mark.parametrize("cut", [2, 40, 90, 130])
def test_a_cut_grammar_file_is_said(tmp_path, cut):
    text = struct.pack("<i", 3) + b"abc"
    table = struct.pack("<i", 2125658996) + text + struct.pack("<qq", 2, 2)
    table += text + struct.pack("<q", 0) + text + struct.pack("<q", 1)
    whole = struct.pack("<i", 2125659606) + text * 2 + struct.pack("<ii", 1, 1)
    whole += bytes(32) + table
    (tmp_path / "graph").mkdir()
    (tmp_path / "graph" / "Gr.fst").write_bytes(whole[:cut])
    if cut >= len(whole):
        assert missing_words(tmp_path)
    else:
        with pytest.raises(ModelError, match=r"Gr\.fst is not a word list"):
            missing_words(tmp_path)


# Korean, with a real model ----------------------------------------------------------------------


KOREAN = ("너무 헐거워", "너무 작아", "지금 위치", "아니요", "작업 마무리", "듣기 시작")


@pytest.fixture(scope="module")
def korean():
    return korean_model()


def test_the_korean_model_knows_every_korean_word(korean):
    assert missing_words(korean, "ko") == []


def test_the_korean_model_lacks_the_english_words(korean):
    assert "loose" in missing_words(korean, "en")


@pytest.mark.system
def test_korean_commands_are_understood(korean):
    """Most of them: the only Korean voice at hand is a formant synthesiser's."""
    recogniser = Recogniser(korean, "ko")
    right = []
    for text in KOREAN:
        sound = spoken("espeak-ng", "-v", "ko", "-s", "150", "--stdout", text)
        answer, _ = hear(recogniser, sound)
        right.append(answer.text == text)
        assert all(0 <= word.end_s < len(sound) / 16_000 for word in answer.words)
    recogniser.close()
    assert sum(right) >= 4, right

import io
import zipfile

from engine.ears.recogniser import missing_words, starter_dir


def test_the_model_is_small():
    """12 MB as a wheel packs it, by zip."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as wheel:
        for path in starter_dir().rglob("*"):
            if path.is_file():
                wheel.write(path)
    assert packed.tell() < 12_000_000


def test_its_licence_goes_with_it():
    text = (starter_dir() / "LICENSE.cmu-en-us").read_text(encoding="utf-8")
    assert "Copyright (c) 2015 Alpha Cephei Inc." in text
    assert "Redistributions in binary form must reproduce" in text


def test_it_knows_every_word_of_the_table():
    assert missing_words(starter_dir()) == []

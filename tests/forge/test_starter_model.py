from engine.ears.recogniser import missing_words, starter_dir


def test_the_model_is_small():
    files = [path for path in starter_dir().rglob("*") if path.is_file()]
    assert sum(path.stat().st_size for path in files) < 7_000_000


def test_its_licence_goes_with_it():
    text = (starter_dir() / "LICENSE.cmu-en-us").read_text(encoding="utf-8")
    assert "Copyright (c) 2015 Alpha Cephei Inc." in text
    assert "Redistributions in binary form must reproduce" in text


def test_it_knows_every_word_of_the_table():
    assert missing_words(starter_dir()) == []

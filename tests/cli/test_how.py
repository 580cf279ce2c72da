"""`spokenrow how`."""

import xml.etree.ElementTree as ET

import pytest

from counter.commandline import main
from engine.draw.movement.movements import MOVEMENTS


def test_without_a_name_it_lists_all(capsys):
    assert main(["how"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(MOVEMENTS)


@pytest.mark.parametrize("key", MOVEMENTS)
def test_each_is_drawn_and_told(key, capsys):
    assert main(["how", *key.split()]) == 0
    out = capsys.readouterr().out
    assert all(stage.sentence in out for stage in MOVEMENTS[key].stages)
    assert any("\u2800" <= letter <= "\u28ff" for letter in out)


def test_words_alone_are_for_those_who_listen(capsys):
    assert main(["how", "knit", "--words"]) == 0
    assert all(ord(letter) < 0x2800 for letter in capsys.readouterr().out)


def test_left_handed_is_the_mirror_image(capsys):
    main(["how", "foundation"])
    right = capsys.readouterr().out
    main(["how", "foundation", "--hand", "left"])
    assert capsys.readouterr().out != right


def test_a_picture_is_written_and_not_over_another(tmp_path, capsys):
    file = tmp_path / "knit.svg"
    assert main(["how", "knit", "-o", str(file)]) == 0
    ET.parse(file)
    assert main(["how", "knit", "-o", str(file)]) == 2
    assert main(["how", "knit", "-o", str(tmp_path / "knit.doc")]) == 2
    assert main(["how", "juggle"]) == 2
    assert "juggle" in capsys.readouterr().err

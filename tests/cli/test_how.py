"""`spokenrow how`."""

import xml.etree.ElementTree as ET

import pytest

from counter.commandline import main
from engine.draw.movement.movements import MOVEMENTS
from engine.draw.movement.on_needles import ON_NEEDLES


def test_without_a_name_it_lists_all(capsys):
    assert main(["how"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(MOVEMENTS)


@pytest.mark.parametrize("key", MOVEMENTS)
def test_each_is_drawn_and_told(key, capsys):
    assert main(["how", *key.split()]) == 0
    out = capsys.readouterr().out
    assert all(stage.sentence in out for stage in MOVEMENTS[key].stages)
    assert any("\u2800" <= letter <= "\u28ff" for letter in out)


@pytest.mark.parametrize("key", ON_NEEDLES)
def test_on_needles_each_is_told_and_no_loop_yarn_is_shown(key, capsys, tmp_path):
    assert main(["how", *key.split(), "--craft", "needles"]) == 0
    out = capsys.readouterr().out
    assert all(stage.sentence in out for stage in ON_NEEDLES[key].stages)
    assert all(ord(letter) < 0x2800 for letter in out)
    assert main(["how", *key.split(), "--craft", "needles", "-o", str(tmp_path / "a.svg")]) == 2
    assert "leave out" in capsys.readouterr().err


def test_a_movement_of_the_other_craft_says_where_it_is(capsys):
    assert main(["how", "k2tog"]) == 2
    assert "--craft 'needles'" in capsys.readouterr().err
    assert main(["how", "decrease", "--craft", "needles"]) == 2
    assert "--craft 'loop yarn'" in capsys.readouterr().err


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

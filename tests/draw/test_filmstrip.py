"""The filmstrip plays a make to its end and looks at it as often as asked."""

import struct
import xml.etree.ElementTree as ET

from counter.paper import page
from models.script import Hand
from tests.filmstrip import SIZE, looks, play


def test_looks_are_spread_from_the_first_step_to_the_last() -> None:
    assert looks(118, 3) == {0, 58, 117}
    assert looks(5, 5) == {0, 1, 2, 3, 4}
    assert looks(10, 1) == {0}


async def test_a_cap_is_played_to_its_end() -> None:
    frames = await play("cap", 3, Hand.LEFT, SIZE)
    assert [name[:3] for name, _ in frames] == ["001", "002", "003"]
    for _, svg in frames:
        assert ET.fromstring(svg).tag.endswith("svg")
        assert "http" not in svg.replace("http://www.w3.org", "").replace("https://www.text", "")
    first, last = (page.png(svg) for _, svg in (frames[0], frames[-1]))
    assert first != last
    wide, high = struct.unpack(">II", first[16:24])
    assert wide > high

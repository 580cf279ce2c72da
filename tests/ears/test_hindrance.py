"""The ears say what they cannot do."""

from engine.ears.hindrance import hindrance

CALL = ("listen", "now")


def test_in_a_quiet_room_there_is_nothing_to_say():
    assert hindrance(-26.0, None, -60.0, CALL) == ""
    assert hindrance(-26.0, -50.0, -60.0, CALL) == ""


def test_music_or_talk_nearly_as_loud_as_she_offers_the_attention_word():
    told = hindrance(-26.0, -35.0, -60.0, CALL)
    assert "Music or talk" in told
    assert "“listen now”" in told
    assert "Call first" not in hindrance(-26.0, -35.0, -60.0)
    assert hindrance(-26.0, -36.5, -60.0, CALL) == ""


def test_a_loud_room():
    assert "The room" in hindrance(-26.0, None, -37.0, CALL)
    assert "speak up" in hindrance(-26.0, None, -37.0, CALL)
    assert hindrance(-26.0, None, -39.0) == ""
    assert hindrance(-26.0, None, -39.0, CALL, restless=True) == ""


def test_talk_that_has_become_the_room_offers_the_attention_word_too():
    """Of six talkers who go on for long the gate learns the room."""
    assert "“listen now”" in hindrance(-26.0, None, -37.0, CALL, restless=True)

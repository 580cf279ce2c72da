"""The ears say what they cannot do."""

from engine.ears.hindrance import Tries, hindrance
from models.command import Action, Command, Heard

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


def answer(at_s: float, **how: object) -> Heard:
    """One answer to a word of half a second, decided a third of a second after it."""
    done = Command(action=Action.ADVANCE)
    return Heard(
        start_s=at_s,
        end_s=at_s + 0.5,
        decided_s=at_s + 0.8,
        heard="row done",
        confidence=0.9,
        command=done,
        taken=False,
    ).model_copy(update=how)


def tried(pattern: str, gap_s: float = 2.0) -> Tries:
    """Her tries: `x` is refused, `o` taken, `?` asked back, `w` withdrawn."""
    tries, at_s = Tries(), 0.0
    for letter in pattern:
        how = {"x": {}, "o": {"taken": True}, "?": {"asks": True}, "w": {"withdrawn": True}}[letter]
        tries.add(answer(at_s, **how))
        at_s += gap_s
    return tries


def test_what_is_said_again_until_it_is_taken_tells_of_a_room_like_rain():
    told = tried("xoxooxoxoxo").told(CALL)
    assert "Of your last 11 tries 6 were understood" in told
    assert "“listen now”" in told
    assert "Call first" not in tried("xoxooxoxoxo").told()


def test_seven_in_ten_are_enough_and_a_few_tries_tell_nothing():
    assert not tried("xoxoxooooo").few
    assert tried("xoxoxoxooo").few
    assert not tried("xoxoxoxo").few
    assert not tried("???????oooo").few


def test_only_the_last_tries_count_so_a_room_that_grows_quiet_is_forgiven():
    assert not tried("xoxoxoxoxo" + "o" * 9).few


def test_talk_that_nobody_follows_up_is_no_try():
    """A television's sentences are refused all evening; hers come when she has finished a row."""
    assert not tried("xxxxxxxxxxxxxxxxxxxx").few
    assert not tried("xoxoxoxoxoxoxo", gap_s=7.0).few


def test_what_is_far_softer_than_she_is_no_try_of_hers():
    tries = Tries()
    for at_s in range(0, 40, 2):
        tries.add(answer(at_s), near=False)
        tries.add(answer(at_s + 1, taken=True))
    assert not tries.few


def test_what_was_withdrawn_was_not_understood_and_not_missed():
    assert not tried("owowowowowow").few
    assert not tried("owowowowowowoooooooooo").few

"""A rehearsal: what is judged, what is kept, and how a recording is cut into tries."""

import json
import subprocess

import numpy as np
import pytest
import soundfile

from counter.commandline import main
from counter.shared.recordings import demo_recording
from counter.sound import profiles
from counter.sound.rehearsing import Tries, from_microphone
from engine.ears import wav
from engine.ears.evidence import Evidence
from engine.ears.guard import BOUNDS, Outcome, Sensitivity, judge
from engine.ears.rehearsal import Try, judge_tries, phrases_to_say, situation_of
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from engine.words.grammar import vocabulary
from engine.words.phrases import phrase_book
from engine.words.vocabulary import page_words, words
from models.command import Action, Command, Context, Situation
from tests.ears.tone_words import ToneDecoder, pcm, quiet, say

EVEN, EAGER = BOUNDS[Sensitivity.EVEN], BOUNDS[Sensitivity.EAGER]


def tries(phrase, heard=None, *, confidence=1.0, clear_db=20.0, fault="", times=3):
    heard = phrase if heard is None else heard
    one = Try(phrase=phrase, heard=heard, confidence=confidence, clear_db=clear_db, fault=fault)
    return [one] * times


def test_a_clear_voice_is_safe_and_changes_nothing():
    found = judge_tries(tries("row done") + tries("take back"))
    assert all(v.safe and v.taken == 3 for v in found.phrases)
    assert found.bounds == EVEN


def test_a_soft_unsure_voice_lowers_the_bounds_as_far_as_she_needs():
    found = judge_tries(tries("row done", confidence=0.62, clear_db=6.5))
    assert found.phrases[0].safe
    assert found.bounds.confidence == pytest.approx(0.57)
    assert found.bounds.margin_db == pytest.approx(4.5)


def test_numbers_that_are_never_quite_sure_lower_their_own_bound_only():
    spoken = tries("dropped loop at three", confidence=0.96) + tries("row done")
    found = judge_tries(spoken)
    assert all(v.safe for v in found.phrases)
    assert found.bounds.number_confidence == pytest.approx(0.91)
    assert found.bounds.confidence == EVEN.confidence


@pytest.mark.parametrize("sensitivity", Sensitivity)
@pytest.mark.parametrize("confidence", [0.0, 0.3, 0.51, 0.8, 1.0])
@pytest.mark.parametrize("clear_db", [-10.0, 1.0, 5.0, 30.0])
def test_bounds_never_go_below_the_eager_ones_or_above_what_was_set(
    sensitivity, confidence, clear_db
):
    found = judge_tries(
        tries("row done", confidence=confidence, clear_db=clear_db), sensitivity
    ).bounds
    base = BOUNDS[sensitivity]
    assert EAGER.confidence <= found.confidence <= base.confidence
    assert EAGER.margin_db <= found.margin_db <= base.margin_db
    same = {"quiet_before_s", "after_talk_s", "phone_s", "hurried_s"}
    assert found.model_dump(include=same) == base.model_dump(include=same)


def test_a_phrase_below_even_the_eager_bounds_is_not_safe_and_has_a_spare():
    (found,) = judge_tries(tries("row done", confidence=0.2)).phrases
    assert (found.safe, found.taken, found.spare) == (False, 0, "advance")


def test_no_spare_is_offered_that_is_itself_unsafe_or_of_another_meaning():
    both = judge_tries(tries("row done", heard="") + tries("advance", heard=""))
    assert [v.spare for v in both.phrases] == ["", ""]
    with_number = judge_tries(tries("dropped loop at three", heard="")).phrases[0]
    assert with_number.spare == "missed loop at three"
    assert phrase_book().read(with_number.spare) == phrase_book().read("dropped loop at three")
    assert judge_tries(tries("new ball", heard="")).phrases[0].spare == ""


def test_a_mistake_makes_both_unsafe_and_is_kept_out():
    wrong = tries("new ball", heard="repaired", confidence=0.81, times=1)
    found = judge_tries([*tries("new ball", times=2), *wrong, *tries("repaired")])
    assert [v.safe for v in found.phrases] == [False, False]
    assert found.phrases[0].reason == "taken for “repaired”"
    assert found.bounds.surer == {Action.REPAIRED: pytest.approx(0.83)}
    evidence = Evidence(
        text="repaired",
        confidence=0.81,
        reading=phrase_book().read("repaired"),
        agreed=True,
        quiet_before_s=5,
        phones=6,
        voiced_s=0.8,
        level_db=-20,
        room_db=-60,
        room_spread_db=0,
    )
    assert judge(evidence, Situation()).outcome is Outcome.TAKEN
    refused = judge(evidence, Situation(), found.bounds)
    assert (refused.outcome, refused.reason) == (Outcome.REFUSED, "not sure enough")


def evidence(phrase, voiced_s, **more):
    given = {
        "text": phrase,
        "confidence": 1.0,
        "reading": phrase_book().read(phrase),
        "agreed": True,
        "quiet_before_s": 5,
        "phones": phrase_book().phones(phrase),
        "voiced_s": voiced_s,
        "level_db": -20,
        "room_db": -60,
        "room_spread_db": 0,
    }
    return Evidence.model_validate(given | more)


def test_a_try_is_judged_by_the_guard_that_will_judge_it_in_earnest():
    """Said so quickly that the eager guard takes it and the even one never does."""
    phones = phrase_book().phones("dropped loop")
    quick = evidence("dropped loop", phones * (EAGER.phone_s + EVEN.phone_s) / 2)
    said = [t.model_copy(update={"evidence": quick}) for t in tries("dropped loop")]
    (found,) = judge_tries(said).phrases
    assert (found.safe, found.taken) == (False, 0)
    assert found.reason == "too short for those words"
    assert judge_tries(said, Sensitivity.EAGER).phrases[0].safe


def test_the_word_that_wakes_the_ears_is_judged_asleep():
    awake = [
        t.model_copy(update={"evidence": evidence("start listening", 1.2)})
        for t in tries("start listening")
    ]
    assert judge_tries(awake).phrases[0].safe


def test_each_phrase_is_heard_where_it_would_be_said():
    assert situation_of("start listening").context is Context.ASLEEP
    assert situation_of("yes").context is Context.YES_NO
    assert situation_of("row done").context is Context.ROW
    waking = Tries(ToneDecoder())
    waking.expect("start listening")
    assert waking.listener._judging.context is Context.ASLEEP


def in_earnest(phrase):
    """What the app tells the ears where that phrase is said: of a make in hand, as it comes."""
    gauge, making = read_gauge("5 x 3.75"), None
    making = Making(make_plan("throw", gauge, given={"width": 10.0, "height": 20.0}))
    for at in (1.0, 60.0, 120.0):
        making.do(Command(action=Action.ADVANCE), at)
    if phrase == "start listening":
        making.do(Command(action=Action.STOP_LISTENING), 180.0)
    if phrase in ("yes", "no"):
        making.do(Command(action=Action.RIP_BACK, value=1), 180.0)
    return making.situation(181.0)


@pytest.mark.parametrize("sensitivity", Sensitivity)
@pytest.mark.parametrize(
    "heard",
    [{}, {"confidence": 0.6}, {"level_db": -54.0}, {"voiced_s": 0.1}, {"quiet_before_s": 0.1}],
)
def test_every_phrase_of_the_table_is_judged_as_the_app_does_it(sensitivity, heard):
    """Safe is what will be taken: the same guard, the bounds that come of it, the same moment."""
    phrases = [p for line in (*words(), *page_words()) for p in line.phrases if "{" not in p]
    assert {"dropped loop", "start listening", "show the shelf"} < set(phrases)
    assert set(phrases) < set(phrases_to_say(every=True))
    for phrase in phrases:
        measured = evidence(phrase, 0.06 * phrase_book().phones(phrase)).model_copy(update=heard)
        said = [t.model_copy(update={"evidence": measured}) for t in tries(phrase)]
        found = judge_tries(said, sensitivity)
        (verdict,) = found.phrases
        in_app = judge(measured, in_earnest(phrase), found.bounds)
        assert verdict.taken == 3 * (in_app.outcome is Outcome.TAKEN), phrase
        assert verdict.reason == in_app.reason, phrase


def test_a_profile_keeps_what_a_try_was_judged_on(tmp_path):
    said = tries("row done", times=1)[0]
    said = said.model_copy(update={"evidence": evidence("row done", 0.6)})
    path = tmp_path / "voices.json"
    kept = profiles.Profiles().with_tries("Ines", "Desk", (said,))
    assert profiles.save(path, kept) == ""
    assert profiles.load(path) == (kept, "")


def test_another_number_is_another_command():
    found = judge_tries(tries("choice three", heard="choice two"))
    assert found.phrases[0].reason == "taken for “choice two”"


def test_a_refused_try_teaches_no_bound():
    odd = tries("row done", confidence=0.5, fault="too long for those words", times=1)
    assert judge_tries([*tries("row done", times=2), *odd]).bounds == EVEN


def test_every_phrase_of_the_list_is_one_that_the_table_reads():
    for phrase in phrases_to_say(every=True):
        assert phrase_book().read(phrase).command is not None, phrase
    assert set(phrases_to_say()) < set(phrases_to_say(every=True))


# --- what is kept ---------------------------------------------------------------------------


def test_a_profile_is_of_one_person_at_one_microphone(tmp_path):
    path = tmp_path / "config" / "voices.json"
    mine = tuple(tries("row done", confidence=0.6))
    kept = profiles.Profiles().with_tries("Ines", "Desk", mine)
    assert profiles.save(path, kept) == ""
    found, trouble = profiles.load(path)
    assert (found, trouble) == (kept, "")
    even = Sensitivity.EVEN
    assert profiles.bounds_for(found, "ines", "desk", even).confidence == pytest.approx(0.55)
    assert profiles.bounds_for(found, "ines", None, even) is even
    assert profiles.bounds_for(found, "", "desk", even) is even


def test_a_phrase_rehearsed_again_replaces_its_own_tries_only():
    first = profiles.Profiles().with_tries("", None, tuple(tries("row done") + tries("yes")))
    again = first.with_tries("", None, tuple(tries("yes", heard="")))
    assert [(t.phrase, t.heard) for t in again.of("", None).tries] == [("row done", "row done")] * (
        3
    ) + [("yes", "")] * 3


def test_a_phrase_left_half_way_keeps_its_earlier_tries_beside_the_new_ones():
    first = profiles.Profiles().with_tries("", None, tuple(tries("row done") + tries("yes")))
    left = first.with_tries("", None, tuple(tries("row done", heard="", times=1)))
    kept = left.of("", None).tries
    assert [t.heard for t in kept if t.phrase == "row done"] == ["row done"] * 3 + [""]
    assert [t.heard for t in kept if t.phrase == "yes"] == ["yes"] * 3


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b'{"profiles": [{"person": 3}]}'])
def test_a_broken_file_costs_one_sentence(tmp_path, content):
    path = tmp_path / "voices.json"
    path.write_bytes(content)
    found, trouble = profiles.load(path)
    assert found == profiles.Profiles()
    assert str(path) in trouble
    assert path.read_bytes() == content


# --- with sound -----------------------------------------------------------------------------


class Spoken:
    """A microphone in front of which the pieces are said, one after each prompt."""

    trouble = ""
    breaks = 0

    def __init__(self, *said):
        self.said = list(said)
        self.sound = [pcm(quiet(2))]
        self.closed = False

    def open(self):
        pass

    def prompt(self, _phrase, _count):
        self.sound += [pcm(np.concatenate([quiet(0.5), self.said.pop(0), quiet(1.6)]))]

    def read(self, _timeout_s=0.1):
        return self.sound.pop(0) if self.sound else b""

    def close(self):
        self.closed = True


def test_live_tries_are_heard_in_turn_and_no_sound_is_kept_unless_asked(tmp_path):
    source = Spoken(say("row done"), say("take back"), say("row done"))

    def rehearse(source, keep):
        return list(
            from_microphone(
                source,
                ["row done"],
                Tries(ToneDecoder()),
                prompt=source.prompt,
                tell=print,
                deaf=lambda: False,
                keep=keep,
            )
        )

    found = rehearse(source, None)
    assert [t.heard for t in found] == ["row done", "take back", "row done"]
    assert source.closed
    assert list(tmp_path.iterdir()) == []
    rehearse(Spoken(*[say("row done")] * 3), tmp_path)
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["row-done-1.wav", "row-done-2.wav", "row-done-3.wav"]
    assert all(0.5 < soundfile.info(tmp_path / name).duration <= 8 for name in names)


def test_where_no_sound_can_be_kept_the_tries_are(tmp_path):
    source, told = Spoken(*[say("row done")] * 3), []
    found = from_microphone(
        source,
        ["row done"],
        Tries(ToneDecoder()),
        prompt=source.prompt,
        tell=told.append,
        deaf=lambda: False,
        keep=tmp_path / "gone",
    )
    assert [t.heard for t in found] == ["row done"] * 3
    (sentence,) = told
    assert str(tmp_path / "gone") in sentence


@pytest.fixture
def recorded(tmp_path, needs_program):
    """A recording of phrases by a synthetic voice, each said three times in a quiet room."""

    def made(*phrases, times=3, program="espeak-ng"):
        needs_program(program, program)
        pieces = [quiet(2, level=12)]
        for number, phrase in enumerate(phrases):
            said = tmp_path / f"{number}.wav"
            options = {
                "espeak-ng": ["-v", "en-us", "-s", "140", "-w", said, phrase],
                "flite": ["-voice", "slt", "-t", phrase, "-o", said],
            }
            subprocess.run([program, *options[program]], check=True)
            speech = np.frombuffer(wav.read(said), "<i2") * 0.4
            for _ in range(times):
                pieces += [speech, quiet(2, level=12)]
        path = tmp_path / "rehearsal.wav"
        soundfile.write(path, np.concatenate(pieces).astype("<i2"), 16_000)
        return path

    return made


@pytest.mark.system
def test_a_recording_is_rehearsed_and_the_profile_kept(recorded, tmp_path, capsys):
    path = recorded("take back", "new ball", "stop listening")
    data = tmp_path / "data"
    only = ["take back", "new ball", "stop listening"]
    asked = ["--data", str(data), "rehearse", *only, "--from", str(path), "--json"]
    assert main([*asked, "--person", "Ines"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [v["phrase"] for v in found["phrases"]] == only
    assert sum(v["safe"] for v in found["phrases"]) >= 2
    kept, _ = profiles.load(data / "voices.json")
    assert len(kept.of("ines", None).tries) == 9


@pytest.mark.system
def test_a_recording_of_the_wrong_length_is_a_sentence_and_keeps_nothing(
    recorded, tmp_path, capsys
):
    path = recorded("take back", times=2)
    data = tmp_path / "data"
    assert main(["--data", str(data), "rehearse", "take back", "--from", str(path)]) == 2
    assert "holds 2 utterances where 3 are wanted" in capsys.readouterr().err
    assert not (data / "voices.json").exists()


@pytest.mark.system
def test_the_starter_model_hears_the_attention_word(recorded, capsys):
    path = recorded("row done", "listen now row done", times=1, program="flite")
    assert main(["--data", str(path.parent), "hear", str(path), "--attention", "--json"]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [(h["heard"], h["command"]) for h in lines] == [
        ("row done", "advance"),
        ("listen now row done", "advance"),
    ]
    assert lines[0]["reason"] == "the attention word did not come first"
    assert [h["taken"] for h in lines] == [False, True]


def test_what_is_to_be_said_is_listed(capsys):
    assert main(["rehearse", "--list"]) == 0
    assert capsys.readouterr().out.splitlines() == list(phrases_to_say())
    assert main(["rehearse", "nonsense"]) == 2
    assert "is no phrase to rehearse" in capsys.readouterr().err


def test_a_model_without_the_attention_word_is_a_sentence(tmp_path, capsys):
    (tmp_path / "graph").mkdir()
    known = sorted(vocabulary() - {"now"})
    lines = [f"{word} {number}" for number, word in enumerate(["<eps>", *known])]
    (tmp_path / "graph" / "words.txt").write_text("\n".join(lines) + "\n")
    said = str(demo_recording())
    assert main(["hear", said, "--attention", "--model", str(tmp_path)]) == 2
    assert "does not know now, so it cannot wait" in capsys.readouterr().err

"""What others wrote becomes text that can be shown, character by character.

Checked against the Unicode data that comes with Python, and the XML standard.
"""

import json
import re
import sys
import typing
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, BeforeValidator, TypeAdapter

from counter.shared.settings import Settings
from counter.sound.profiles import Profile
from engine.base.refusal import LONGEST, Refusal
from models.command import Command, Heard
from models.event import EVENT, Noted
from models.exchange import MakeFile
from models.script import RowScript
from models.text import Words, legible, legible_lines

UNSEEN = st.sampled_from("\x1b\x9b\n\u202e\u200b")
ANY = st.text(st.characters(codec=None, categories=None) | UNSEEN)
XML_CHAR = re.compile("[\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]*")
"""Source: Extensible Markup Language (XML) 1.0, fifth edition, production [2] Char."""


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("a\x1b[31mb", "a␛[31mb"),
        ("\x1b]0;title\x07", "␛]0;title␇"),
        ("one\ntwo\r\nthree", "one␊two␍␊three"),
        ("nul\0del\x7f", "nul␀del␡"),
        ("\x9b2J\x85\u2028", "�2J␤␤"),
        ("\u202eabc\u202c \u2066x\u2069", "�abc� �x�"),
        ("zero\u200bwidth\ufeff\u00ad", "zero�width��"),
        ("\ud83e lone", "� lone"),
        ("tab\there", "tab here"),
        ("e\u0301 × ½ – “q” ÄŒ 編み物 שלום", "e\u0301 × ½ – “q” ÄŒ 編み物 שלום"),
        ("a\u00a0b\u3000c", "a\u00a0b\u3000c"),
        # Joiners and selectors where a script or an emoji needs them, and nowhere else.
        ("👩\u200d👧 ❤\ufe0f 1\ufe0f\u20e3 👍🏽", "👩\u200d👧 ❤\ufe0f 1\ufe0f\u20e3 👍🏽"),
        ("می\u200cخواهم क\u094d\u200dष 葛\U000e0100", "می\u200cخواهم क\u094d\u200dष 葛\U000e0100"),
        ("row\u200d3 a\ufe0f \u200d", "row�3 a� �"),
        ("[/MC] [@click=app.quit]x[/]", "[/MC] [@click=app.quit]x[/]"),
    ],
)
def test_what_is_shown(written, shown):
    assert legible(written) == shown


def test_lines_keep_their_breaks_and_tabs():
    assert legible_lines("a\r\nb\x0cc\u2028d\n\te\x1b") == "a\nb\nc\nd\n\te␛"


@given(ANY)
def test_every_sign_stands_for_one_character_and_stays(text):
    shown = legible(text)
    assert len(shown) == len(text)
    assert legible(shown) == shown
    assert legible_lines(shown) == shown
    assert len(shown.splitlines()) <= 1
    assert XML_CHAR.fullmatch(shown)
    shown.encode()


@given(ANY)
def test_the_lines_of_a_text_are_those_that_it_had(text):
    shown = legible_lines(text).split("\n")
    assert shown[: len(text.splitlines())] == [legible_lines(line) for line in text.splitlines()]


def test_no_control_format_or_unpaired_character_is_shown_alone():
    allowed = {
        # They are seen: signs that stand before a number or a verse, and hieroglyph groups.
        *range(0x600, 0x606), 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD,
        *range(0x13430, 0x13440),
    }  # fmt: skip
    unseen = {"Cc", "Cf", "Cs", "Zl", "Zp"}
    for code in set(range(sys.maxunicode + 1)) - allowed:
        if unicodedata.category(chr(code)) in unseen:
            signs = {" ", "�", "␡", "␤", chr(0x2400 + code % 0x20)}
            assert legible(chr(code)) in signs, hex(code)


# --- every field through which text comes in -------------------------------------------------


def _plain_text(annotation, where):
    """Places in an annotation where a string is taken as it is."""
    if annotation is str:
        yield where
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        for name, field in annotation.model_fields.items():
            if not any(isinstance(m, BeforeValidator) for m in field.metadata):
                yield from _plain_text(field.annotation, f"{annotation.__name__}.{name}")
    elif typing.get_origin(annotation) is typing.Annotated:
        of, *more = typing.get_args(annotation)
        if not any(isinstance(m, BeforeValidator) for m in more):
            yield from _plain_text(of, where)
    elif typing.get_origin(annotation) is not typing.Literal:
        for inner in typing.get_args(annotation):
            yield from _plain_text(inner, where)


@pytest.mark.parametrize(
    "model", [MakeFile, RowScript, Settings, Profile, Heard, Command], ids=lambda m: m.__name__
)
def test_every_field_of_text_is_made_legible_when_it_is_read(model):
    known = {"Settings.language", "Profile.language", "Try.phrase", "Try.heard", "Try.fault"}
    assert sorted(set(_plain_text(model, "")) - known) == []


def test_the_walk_would_find_a_field_that_is_not():
    class Open(BaseModel):
        name: str
        names: dict[str, tuple[str | None, ...]]
        safe: Words

    assert set(_plain_text(Open, "")) == {"Open.name", "Open.names"}


def test_an_event_as_json_is_made_legible_too():
    event = EVENT.validate_json(json.dumps({"kind": "note", "at": 1.0, "text": "a\nb\x1b"}))
    assert event == Noted(at=1.0, text="a␊b␛")
    assert TypeAdapter(dict[Words, int]).validate_python({"a\n": 1}) == {"a␊": 1}


@pytest.mark.parametrize("quoted", ["x" * 200_000, "word " * 40_000, "x" * 5_000 + " " + "y" * 50])
def test_a_refusal_quotes_no_more_than_fits_a_sentence(quoted: str) -> None:
    told = str(Refusal(f"The part {quoted!r} is not in the plan: give one that is."))
    assert len(told) <= LONGEST
    assert told.startswith("The part '")
    assert told.endswith("give one that is.")
    assert str(Refusal("The gauge is missing: give it.")) == "The gauge is missing: give it."

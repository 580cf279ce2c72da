"""Settles a line that was not read: it is talk, or it is one of the lines that would be read.

What was written stays in the text as a remark, so that nothing is lost.
"""

from engine.base.refusal import Refusal
from engine.pattern.text.signs import made_plain
from engine.pattern.text.written import Written
from models.pattern import LineRead


def settled(text: str, line: LineRead, reading: str = "") -> str:
    """The text with a line, or a sentence of one, as it is meant; no reading: it is talk.

    What it said stands below it behind a #. Raises Refusal where it is not found in its line.
    """
    lines = text.split("\n")
    here = lines[line.line - 1 : line.last]
    remarks = [raw for raw in here if raw.startswith("#")]
    plain = (made_plain(Written.at(raw, 1)).strip().text for raw in here if raw not in remarks)
    whole = " ".join(part for part in plain if part)
    at = whole.find(line.text)
    if at < 0:
        raise Refusal(
            f"Line {line.line} holds more than this sentence: change it in the pattern's text."
        )
    before, after = whole[:at].strip(), whole[at + len(line.text) :].strip()
    said = " ".join(part for part in (before, reading, after) if part)
    now = [*([said] if said else []), *remarks, f"# {line.text}"]
    return "\n".join([*lines[: line.line - 1], *now, *lines[line.last :]])

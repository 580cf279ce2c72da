"""The list of numbers that makers write instead of measurements, line by line."""

from collections.abc import Mapping

from engine.base.refusal import Refusal
from engine.plan.listed.reading import read_list

LOOP_LINES = (
    ("foundation", "Foundation", "Loops laid out; left empty, the others make it.", "42"),
    (
        "body",
        "Body",
        "Rows up to the armholes, or '45 cm'; the tape decides it.",
        "your own height",
    ),
    ("front", "Front", "Loops, to how many, over how many rows.", "9 to 5 over 8"),
    ("bind", "Armhole", "Loops bound off at each; the last of them stays.", "4"),
    ("back", "Back", "Loops.", "18"),
    ("sleeve", "Sleeve", "Loops, to how many: one fewer in every other round.", "25 to 15"),
)
"""Name, label, what it is for, and an example."""


def list_of(typed: Mapping[str, str]) -> str:
    """The lines that were answered, by their names, as one list; "" where none was.

    Raises Refusal, with the text as typed, for what is no number of its own line: such a list may
    say several things in a line, one that was asked for may not.
    """
    said = []
    for name, label, _, example in LOOP_LINES:
        text = typed.get(name, "").strip()
        if not text:
            continue
        line = f"{name} {text}"
        try:
            found = read_list(line).numbers
        except Refusal as refusal:
            raise Refusal(f"{label}: “{text}” is not understood. {refusal}") from None
        own = any(place.startswith("body") for place in found) if name == "body" else name in found
        if not own:
            wanted = "your own height, as in 45 cm, or rows" if name == "body" else example
            raise Refusal(f"{label}: “{text}” is not understood; write it as in {wanted}.")
        said.append(line)
    return "\n".join(said)

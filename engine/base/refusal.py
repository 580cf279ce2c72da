"""The one error a maker can cause: a sentence that says what is wrong, where, and what to do."""

import re

LONGEST = 900
"""Characters of a refusal. A file may hold a name of any length, and the sentence quotes it."""
_WORD = 60
"""Characters that are kept of a word without end."""
_END = 300
"""Characters that are kept at the end, where it is said what to do."""


class Refusal(ValueError):
    """Bad input or an impossible wish. Its text is one sentence, fit to be shown as it is.

    What it quotes is shortened where the sentence would get longer than `LONGEST`.
    """

    def __init__(self, text: str) -> None:
        super().__init__(text if len(text) <= LONGEST else _shortened(text))


def _shortened(text: str) -> str:
    text = re.sub(rf"(\S{{{_WORD}}})\S{{{_WORD},}}", r"\1…", text)
    if len(text) <= LONGEST:
        return text
    return f"{text[: LONGEST - _END - 3]} … {text[-_END:]}"

"""The one error a maker can cause: a sentence that says what is wrong, where, and what to do."""


class Refusal(ValueError):
    """Bad input or an impossible wish. Its text is one sentence, fit to be shown as it is."""

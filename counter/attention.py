"""Whether a voice model can hear the attention word."""

from pathlib import Path

from engine.ears.grammar import attention


def lacks_attention(model: Path | None) -> str:
    """What the model lacks for it, in one sentence; empty where it hears it.

    Raises ModelError for a folder without a word list.
    """
    from engine.ears.recogniser import missing_words

    lacking = sorted(set(attention()) & set(missing_words(_folder(model))))
    if not lacking:
        return ""
    return (
        f"This voice model does not know {', '.join(lacking)}, so it cannot wait for "
        f"“{' '.join(attention())}”: use another model, or do without the attention word."
    )


def _folder(model: Path | None) -> Path:
    from engine.ears.recogniser import starter_dir

    return model or starter_dir()

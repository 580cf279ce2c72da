"""What is told of how well the phones of a phrase fit; `engine.ears.phones` works it out."""

from models.frozen import Frozen


class Fit(Frozen):
    """How a phrase lies along an utterance. Logarithms are natural; times in seconds."""

    worst: float
    """The fit of the phone that fits worst."""
    mean: float
    """The mean fit of the phones."""
    margin: float
    """How much better each phone fits its stretch than the best other phone: of the least."""
    free: float
    """How much better the best phones whatever fit the whole stretch, a frame."""
    start_s: float
    """Where the first phone begins in the sound that was given."""
    end_s: float
    """Where the last phone ends there."""
    shortest_s: float
    """The shortest phone."""
    silent_before: float
    """The share of silence in the quarter second before the first phone, 0 to 1."""
    silent_after: float
    """The same after the last."""
    total: float
    """The logarithm of the likelihood of all that was given, silence too."""

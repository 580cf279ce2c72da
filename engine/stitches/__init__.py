"""Stitch patterns, each a text file in the written notation, laid over any shape.

`patterns/` holds them: what they are a multiple of, for which crafts, where they come from, and
their rows as worked flat on needles. `library` reads the files, `expanded` has the rows counted by
`engine.pattern`, `cloth` lays them over a width, for needles or loop yarn, to and fro or around.
"""

from engine.stitches.cloth import Cloth, laid
from engine.stitches.library import NAMES, StitchPattern, read_stitch, stitch_pattern

__all__ = ["NAMES", "Cloth", "StitchPattern", "laid", "read_stitch", "stitch_pattern"]

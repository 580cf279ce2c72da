"""Small drawings of what the hands do: strands in space, and who lies over whom follows from it.

Doors: `movements.MOVEMENTS`, `svg.svg`, `cells.cells`.
"""

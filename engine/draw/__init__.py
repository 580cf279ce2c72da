"""A script as a picture: `chart` for one part, `schematic` for the whole piece to scale.

`schematic.layout` decides where things lie; `schematic_svg` and `schematic_cells` paint it.
"""

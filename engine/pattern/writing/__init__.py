"""How a script becomes the lines of a pattern: `engine.pattern.write` is the door.

`words` are a line's pieces, `row_words` a row in them, `size_lines` the lines of one size, and
`all_sizes` lays them side by side.
"""

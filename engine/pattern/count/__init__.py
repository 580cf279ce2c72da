"""From statements to counted rows: `count.Counting` is the door.

`expand` works a single row; the others keep what stands between rows (loops, rests, templates).
"""

"""The row script: its stitches, loops and words."""
